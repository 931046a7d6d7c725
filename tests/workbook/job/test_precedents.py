"""What a formula looks at: the same by its words, read alone, as by the tokens of the whole formula."""

import pytest

from stillbook.templates.shipped import template
from stillbook.workbook.calculation.spelling import tokens_of
from stillbook.workbook.file.address import read_area, split_reference
from stillbook.workbook.file.package import Package
from stillbook.workbook.job.precedents import Precedents, words_of

WORDS = [
    ("=A1+$B$2*C$3%", ["A1", "$B$2", "C$3"]),
    ('=IF(A1="see ""B2"", or \'C3\'",D4,"E5")', ["A1", "D4"]),
    ("='It''s (all) here'!A1:B2+Sheet2!C3", ["'It''s (all) here'!A1:B2", "Sheet2!C3"]),
    ("=SUM(A1:A9 B1:B9)-rate", ["A1:A9", "B1:B9", "rate"]),
    ("=IFERROR(#REF!,#N/A)&#DIV/0!&A1", ["A1"]),
    ("=SUM(Lines[A1],Lines[[A1]:[B2]],{1,2;3,4},A2)", ["Lines[A1]", "Lines[[A1]:[B2]]", "1", "2", "3", "4", "A2"]),
    ("=SUM(Lines[[#This Row],[A1 cost]],A2)", ["Lines[[#This Row],[A1 cost]]", "A2"]),
    ("=LOG10(A1)^1.5E-3", ["A1", "1.5E", "3"]),
    ('=STILL_DOORMASS("60 lb",,A1,80)', ["A1", "80"]),
]


@pytest.mark.parametrize(("formula", "words"), WORDS)
def test_the_words_of_a_formula_are_what_may_name_cells(formula, words):
    assert list(words_of(formula)) == words


@pytest.mark.parametrize("name", ["booth-estimate", "bid-comparison"])
def test_the_words_of_a_template_name_the_cells_that_its_tokens_name(name):
    package = Package.open(template(name).path("US"))
    names = {defined.name.casefold() for defined in package.names}
    texts = {formula.text for sheet in package.sheets for formula in package.sheet(sheet).formulas.values()}
    for text in sorted(texts)[::5]:
        by_tokens = [token.value for token in tokens_of(text) if (token.type, token.subtype) == ("OPERAND", "RANGE")]
        by_words = [
            word for word in words_of(text) if word.casefold() in names or read_area(word) or split_reference(word)
        ]
        assert by_words == [word for word in by_tokens if word in by_words] and set(by_words) == set(by_tokens), text


def test_cells_come_nearest_first_and_each_once():
    package = Package.open(template("quick-quote").path("US"))
    precedents = Precedents(package)
    sheet = next(sheet for sheet in package.sheets if len(package.sheet(sheet).formulas) > 20)
    start = (sheet, *max(package.sheet(sheet).formulas))
    found = list(precedents.within(start))
    assert len(found) == len(set(found))
    assert set(precedents.of(start)) - {start} == set(found[: len(set(precedents.of(start)) - {start})])
    followers = precedents.depending_on(found[-1:])
    assert start in followers
