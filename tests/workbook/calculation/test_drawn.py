"""Formulas drawn by chance, calculated here and by LibreOffice, an implementation of its own."""

import math
import os
import random

import pytest

from stillbook.cells import ErrorValue
from stillbook.workbook.calculation.recalculate import calculate
from stillbook.workbook.file.package import Package
from workbook import books, office
from workbook.calculation.drawn import Draw, cells

SEED = int(os.environ.get("STILLBOOK_SEED", "20"))
COUNT = int(os.environ.get("STILLBOOK_FORMULAS", "1500"))
_WIDE = "0.0000000000000##"


@pytest.mark.host
def test_libreoffice_gives_the_same_for_formulas_drawn_by_chance(tmp_path):
    chance = random.Random(SEED)
    given, draw = cells(chance), Draw(chance)
    drawn = [draw.formula() for _ in range(COUNT)]
    made = books.built({"S": {**given, **{f"K{n}": _stored(n, *formula) for n, formula in enumerate(drawn, start=1)}}})
    for n in range(1, COUNT + 1):
        made["S"][f"K{n}"].number_format = _WIDE
    path = tmp_path / "drawn.xlsx"
    path.write_bytes(books.saved(made))
    package = Package(path.read_bytes())
    calculation = calculate(package)
    package.write(calculation.changes)
    reasons = {error.cell: error.reason for error in calculation.errors}
    shown = [row[10] for row in office.csv_rows(path, tmp_path, recalculate=True)[:COUNT]]
    differing = []
    for n, ((formula, _), other) in enumerate(zip(drawn, shown, strict=True), start=1):
        value, why = package.value("S", n, 11), reasons.get(f"K{n}", "")
        if not _agrees(value, other) and not _is_allowed(formula, value, why):
            differing.append((formula, value, why, other))
    assert not differing, f"seed {SEED}: {differing[:20]}"
    assert sum(isinstance(package.value("S", n, 11), ErrorValue) for n in range(1, COUNT + 1)) < COUNT / 4


def _stored(number, formula, is_array):
    return books.array(f"K{number}", f"={formula}") if is_array else f"={formula}"


def _agrees(value, shown):
    if isinstance(value, ErrorValue):
        return shown.startswith(("#", "Err:"))
    if isinstance(value, bool):
        return shown in (str(value).upper(), str(int(value)))
    if isinstance(value, float):
        try:
            return math.isclose(float(shown), value, rel_tol=1e-9, abs_tol=1e-11)
        except ValueError:
            return False
    return shown == value


ALLOWED = {
    "a refusal": lambda formula, value, why: isinstance(value, ErrorValue) and any(word in why for word in _REFUSALS),
    "an error that COUNT passes over, or that LARGE and its like hand on past ISERROR: an error here": lambda formula, value, why: (
        isinstance(value, ErrorValue)
        and any(name in formula for name in ("COUNT(", "COUNTA(", "LARGE(", "SMALL(", "MEDIAN("))
    ),
    "truth values as numbers": lambda formula, value, why: any(
        name in formula for name in ("MATCH(TRUE", ",G", "ISLOGICAL(", "MATCH(A", "MATCH(E")
    ),
    "a link within a function of ranges, to which LibreOffice hands its address as well": lambda formula, value, why: (
        "HYPERLINK(" in formula and any(name in formula for name in ("CONCAT(", "TEXTJOIN("))
    ),
    "ATAN2(0,0) is an error": lambda formula, value, why: isinstance(value, ErrorValue) and "ATAN2(" in formula,
    "a fifteenth digit made text": lambda formula, value, why: (
        isinstance(value, str) and any(name in formula for name in ("PMT(", "MOD(", "RADIANS(", "SQRT(", "LN("))
    ),
    "what MOD leaves, made a step by its sixteenth digit": lambda formula, value, why: (
        "MOD(" in formula and "ROUND" in formula
    ),
}
"""Each class of difference that is allowed: LibreOffice follows another rule there, or this side gives an error."""

_REFUSALS = (
    "not calculated here",
    "programs",
    "not sorted",
    "keep them apart",
    "its criterion",
    "may be read",
    "digits as text",
    "blank cells",
)


def _is_allowed(formula, value, why):
    return any(allowed(formula, value, why) for allowed in ALLOWED.values())
