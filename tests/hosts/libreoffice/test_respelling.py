"""Formulas of Calc as a workbook is to hold them."""

from __future__ import annotations

import pytest

from stillbook.hosts.libreoffice.stillbook_calc.respelling import calls_ours, respelled

NAMES = {"DOORMASS", "SOURCE"}


@pytest.mark.parametrize(
    ("formula", "held"),
    [
        # every spelling
        ("=STILL_DOORMASS(60;1)", "=STILL_DOORMASS(60;1)"),
        ("=STILL.DOORMASS(60;1)", "=STILL_DOORMASS(60;1)"),
        ("=_xldudf_STILL_DOORMASS(60)", "=STILL_DOORMASS(60)"),
        ("=_xludf.STILL_DOORMASS(60)", "=STILL_DOORMASS(60)"),
        ("=_xll.STILL.DOORMASS(60)", "=STILL_DOORMASS(60)"),
        ("=[1]!STILL_DOORMASS(60)", "=STILL_DOORMASS(60)"),
        ("='C:\\it''s here\\Stillbook.xlam'!STILL_DOORMASS(60)", "=STILL_DOORMASS(60)"),
        ("=still.doormass(60)", "=STILL_DOORMASS(60)"),
        ("{=STILL.DOORMASS(A1:A3)}", "{=STILL_DOORMASS(A1:A3)}"),
        ("=1+STILL.DOORMASS(STILL.SOURCE(1);2)*2", "=1+STILL_DOORMASS(STILL_SOURCE(1);2)*2"),
        # an empty place in our calls, and in no others
        ("=STILL_DOORMASS(60;;36)", '=STILL_DOORMASS(60;"";36)'),
        ("=STILL_DOORMASS(60;1;)", '=STILL_DOORMASS(60;1;"")'),
        ("=STILL_DOORMASS( ; ;36)", '=STILL_DOORMASS( ""; "";36)'),
        ("=STILL_DOORMASS()", "=STILL_DOORMASS()"),
        ("=SUM(A1;;2)+STILL_DOORMASS(IF(A1;;2);;)", '=SUM(A1;;2)+STILL_DOORMASS(IF(A1;;2);"";"")'),
        ("=STILL_DOORMASS({1;2|3};2)", "=STILL_DOORMASS({1;2|3};2)"),
        ("=STILL_DOORMASS((A1);;2)", '=STILL_DOORMASS((A1);"";2)'),
        # what only looks like ours
        ('="STILL.DOORMASS("&A1', '="STILL.DOORMASS("&A1'),
        ('=STILL_SOURCE("a "";; STILL.X(")', '=STILL_SOURCE("a "";; STILL.X(")'),
        ("='STILL.DOORMASS('.A1+$'STILL.SOURCE(;)'.A1", "='STILL.DOORMASS('.A1+$'STILL.SOURCE(;)'.A1"),
        ("=STILL.OTHER(1;;2)", "=STILL.OTHER(1;;2)"),
        ("=MYSTILL_DOORMASS(1;;2)", "=MYSTILL_DOORMASS(1;;2)"),
        ("=STILL_DOORMASS+1", "=STILL_DOORMASS+1"),
        ("=A1+1", "=A1+1"),
        # broken
        ("=STILL.DOORMASS(60;1", "=STILL_DOORMASS(60;1"),
        ("=1)+STILL.DOORMASS(60)", "=1)+STILL_DOORMASS(60)"),
    ],
)
def test_a_formula_as_it_is_held(formula: str, held: str) -> None:
    assert respelled(formula, NAMES) == held
    assert respelled(held, NAMES) == held


@pytest.mark.parametrize(
    ("formula", "ours"),
    [
        ("=1+STILL_DOORMASS(60)", True),
        ("=[1]!STILL.DOORMASS(60)", True),
        ('="STILL_DOORMASS("&A1', False),
        ("=STILL_OTHER(1)", False),
        ("=STILL_DOORMASS", False),
        ("=A1", False),
        ("", False),
    ],
)
def test_a_call_of_ours_is_known(formula: str, ours: bool) -> None:
    assert calls_ours(formula, NAMES) is ours
