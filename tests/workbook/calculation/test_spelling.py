import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stillbook.catalogue import formulas
from stillbook.workbook.calculation.spelling import (
    Spelling,
    calls,
    to_neutral,
    to_spelling,
    with_blanks_written,
    with_one_cell_of_ranges,
)

NEUTRAL = [
    ("=STILL_DOORMASS(60)", "=STILL_DOORMASS(60)"),
    ("=still_doormass(60)", "=STILL_DOORMASS(60)"),
    ("=Still.Co2Level(2,30,360)", "=STILL_CO2LEVEL(2,30,360)"),
    ("=STILL.DOORMASS(60)", "=STILL_DOORMASS(60)"),
    ("=Still.DoorMass(60)", "=STILL_DOORMASS(60)"),
    ("=_xldudf_STILL_DOORMASS(60)", "=STILL_DOORMASS(60)"),
    ("=_XLUDF.STILL_DOORMASS(60)", "=STILL_DOORMASS(60)"),
    ("=[1]!STILL_DOORMASS(60)", "=STILL_DOORMASS(60)"),
    ("=[12]!STILL_DOORMASS([1]Sheet1!A1)", "=STILL_DOORMASS([1]Sheet1!A1)"),
    ("='C:\\add ins\\still.xlam'!STILL_DOORMASS(60)", "=STILL_DOORMASS(60)"),
    ("='/home/it''s/still.xlam'!STILL.DOORMASS(60)", "=STILL_DOORMASS(60)"),
    ("=still.xlam!STILL_DOORMASS(60)", "=STILL_DOORMASS(60)"),
    ("=-STILL.DOORMASS(1)&@STILL.DOORMASS(2)", "=-STILL_DOORMASS(1)&@STILL_DOORMASS(2)"),
    ("=SUM(STILL.AREA(STILL.AREA(1)),[2]!STILL_AREA(2))", "=SUM(STILL_AREA(STILL_AREA(1)),STILL_AREA(2))"),
    ('="STILL.DOORMASS("&STILL.DOORMASS(1)', '="STILL.DOORMASS("&STILL_DOORMASS(1)'),
    ('="say ""[1]!STILL_X("" "&A1', '="say ""[1]!STILL_X("" "&A1'),
    ("='STILL.AREA(x)'!A1+1", "='STILL.AREA(x)'!A1+1"),
    ("=STANDSTILL_AREA(1)", "=STANDSTILL_AREA(1)"),
    ("=STILL_AREA2(1)", "=STILL_AREA2(1)"),
    ("=Still.Co2Level(3,45)+[1]!STILL_SESSIONCO2(1)", "=STILL_CO2LEVEL(3,45)+STILL_SESSIONCO2(1)"),
    ("=STILL.2AREA(1)", "=STILL.2AREA(1)"),
    ("=SUM( A1 ,  B1 )", "=SUM( A1 ,  B1 )"),
    ("STILL.AREA(1)", "STILL_AREA(1)"),
    ("=IF(A1>0,\n  STILL.AREA(1),\n  0)", "=IF(A1>0,\n  STILL_AREA(1),\n  0)"),
    ("just text", "just text"),
    ("=STILL.AREA(1", "=STILL_AREA(1"),
    ("=SUM(A1  B1)", "=SUM(A1  B1)"),
]


@pytest.mark.parametrize(("stored", "neutral"), NEUTRAL)
def test_every_spelling_reads_as_the_neutral_one(stored, neutral):
    assert to_neutral(stored) == neutral


@pytest.mark.parametrize(
    ("spelling", "written"),
    [
        (Spelling.NEUTRAL, "=STILL_AREA(1)+STILL_MASS(2)"),
        (Spelling.DOTTED, "=STILL.AREA(1)+STILL.MASS(2)"),
        (Spelling.WEB, "=_xldudf_STILL_AREA(1)+_xldudf_STILL_MASS(2)"),
        (Spelling.UNBOUND, "=_xludf.STILL_AREA(1)+_xludf.STILL_MASS(2)"),
    ],
)
def test_each_host_gets_its_own_spelling(spelling, written):
    assert to_spelling("=STILL.AREA(1)+[1]!STILL_MASS(2)", spelling) == written
    assert to_neutral(written) == "=STILL_AREA(1)+STILL_MASS(2)"


@pytest.mark.parametrize(
    ("formula", "written"),
    [
        ("=STILL_AREA(,1)", '=STILL_AREA("",1)'),
        ("=STILL_AREA(1,)", '=STILL_AREA(1,"")'),
        ("=STILL_AREA(1,,2)", '=STILL_AREA(1,"",2)'),
        ("=STILL_CO2LEVEL(3,,600)", '=STILL_CO2LEVEL(3,"",600)'),
        ("=STILL_AREA(,,)", '=STILL_AREA("","","")'),
        ("=STILL_AREA()", "=STILL_AREA()"),
        ("=STILL_AREA( , 1)", '=STILL_AREA( "", 1)'),
        ("=STILL_AREA((1),2)", "=STILL_AREA((1),2)"),
        ("=STILL_AREA({1,2},)", '=STILL_AREA({1,2},"")'),
        ("=IF(,1,)", "=IF(,1,)"),
        ("=STILL_AREA(IF(A1,,1),)", '=STILL_AREA(IF(A1,,1),"")'),
        ("=IF(A1,STILL_AREA(1,),)", '=IF(A1,STILL_AREA(1,""),)'),
        ('=STILL_AREA(",,")', '=STILL_AREA(",,")'),
        ("=STILL_AREA(T[[#All],[a,b]],)", '=STILL_AREA(T[[#All],[a,b]],"")'),
    ],
)
def test_an_empty_place_in_our_calls_is_written_as_a_blank(formula, written):
    assert with_blanks_written(formula) == written


@pytest.mark.parametrize(
    ("formula", "written"),
    [
        ("=A1:A9", "=@(@A1:A9)"),
        ("=A1:A9*B1", "=@(@A1:A9*@B1)"),
        ("=(A1:A9+1)*2", "=@((@A1:A9+1)*2)"),
        ("=SUM(A1:A9)*A1:A9", "=@(SUM(A1:A9)*@A1:A9)"),
        ("=ROUND(A1:A9,2)", "=@(ROUND(@A1:A9,2))"),
        ("=SUM(ROUND(A1:A9,2))", "=@(SUM(ROUND(A1:A9,2)))"),
        ("=SUM((A1:A9))", "=@(SUM((A1:A9)))"),
        ("=IF(A1:A9>0,SUM(A1:A9),masses)", "=@(IF(@A1:A9>0,SUM(A1:A9),@masses))"),
        ("=STILL_TOTALMASS(A1:A9,B1:B9)*2", "=@(STILL_TOTALMASS(A1:A9,B1:B9)*2)"),
        ('=@A1:A9&"A1:A9"', '=@(@A1:A9&"A1:A9")'),
        ("={1,2}+A1:A9", "=@({1,2}+@A1:A9)"),
    ],
)
def test_an_ordinary_formula_takes_one_cell_of_a_range(formula, written):
    assert with_one_cell_of_ranges(formula) == written


@pytest.mark.parametrize("spelling", Spelling)
@pytest.mark.parametrize("name", formulas())
def test_the_name_of_every_formula_is_respelled(name, spelling):
    written = to_spelling(f"=STILL_{name}(1)", spelling)
    assert written == f"={spelling.format(name=name)}(1)"
    assert to_neutral(written) == f"=STILL_{name}(1)"
    assert calls(written) == [name]


def test_calls_are_named_in_order():
    assert calls('=STILL.AREA(1)+SUM([1]!STILL_MASS(2),"STILL_NOT(")') == ["AREA", "MASS"]


TEXTS = st.text(st.characters(exclude_categories=["Cs", "Cc"]), max_size=20)


@settings(deadline=None)
@given(TEXTS)
def test_quoted_text_is_never_touched(text):
    quoted = '"' + text.replace('"', '""') + ' STILL.AREA("'
    assert to_neutral(f"=STILL.AREA({quoted})") == f"=STILL_AREA({quoted})"


@settings(deadline=None)
@given(st.text("A1()+-*,;{}[]'\"!.& \n@#:$%<>=eE", max_size=30))
def test_a_formula_without_our_calls_keeps_every_character(text):
    assert to_neutral(f"=STILL_AREA({text})").rstrip() == f"=STILL_AREA({text})".rstrip()


@settings(deadline=None)
@given(st.text(max_size=40))
def test_nothing_typed_makes_it_fail(text):
    assert isinstance(to_neutral("=still" + text), str)
    assert isinstance(with_blanks_written("=STILL_AREA(" + text), str)
