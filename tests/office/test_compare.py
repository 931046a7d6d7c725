"""What changed between two workbooks, as data and as a workbook."""

import openpyxl
import pytest

from stillbook.cells import Code, ErrorValue
from stillbook.office.compare import compare, same, write_comparison
from stillbook.workbook import WorkbookError
from workbook import books, jobs
from workbook.office import csv_rows


@pytest.fixture(scope="module")
def two(tmp_path_factory):
    folder = tmp_path_factory.mktemp("two")
    first = jobs.saved(jobs.estimate(), folder / "first.xlsx", {"sent": "2026-03-02"})
    dearer = (
        ("BOARD", "Gypsum board", "sheet", 20, "Shell", 2),
        *jobs.PRICES[1:],
        ("HOOK", "Hook", "piece", 3, "Doors", 9),
    )
    values = {"wall_area": 640, "doors": 3, "client": "=1+1", "sent": "2026-03-09"}
    second = jobs.saved(jobs.estimate(prices=dearer, spare=1), folder / "second.xlsx", values)
    return first, second, compare(first, second)


FOUND = [
    # subject, name, before, after, only. Quantities by hand: 320/32 = 10 and 640/32 = 20 boards, 320/8 and 640/8 studs.
    ("input", "client", "Invented client", "=1+1", ""),
    ("input", "wall_area", 320.0, 640.0, ""),
    ("input", "doors", 1.0, 3.0, ""),
    ("input", "sent", "2026-03-02", "2026-03-09", ""),
    ("quantity", "BOARD", 10.0, 20.0, ""),
    ("quantity", "STUD", 40.0, 80.0, ""),
    ("quantity", "DOOR", 1.0, 3.0, ""),
    ("line", "BOARD", 10 * 19 + 10 / 2 * 62, 20 * 20 + 20 / 2 * 62, ""),
    ("price", "BOARD", 19.0, 20.0, ""),
    ("price", "HOOK", None, 3.0, "second"),
    ("price", "HOOK", None, 9.0, "second"),
    ("check", "At most two doors", "passes", "fails", ""),
]


@pytest.mark.parametrize(("subject", "name", "before", "after", "only"), FOUND)
def test_each_difference_is_found(two, subject, name, before, after, only):
    found = [(d.before, d.after, d.only) for d in two[2].of(subject) if d.name == name]
    assert (before, after, only) in [(pytest.approx(b) if isinstance(b, float) else b, pytest.approx(a) if isinstance(a, float) else a, o) for b, a, o in found]  # fmt: skip


def test_what_is_alike_is_counted_and_not_listed(two):
    comparison = two[2]
    assert [d.name for d in comparison.of("input")] == ["client", "wall_area", "doors", "sent"]
    assert comparison.same == {
        "file": 1,
        "input": 1,
        "result": 0,
        "quantity": 0,
        "line": 0,
        "off": 0,
        "price": 7,
        "check": 0,
    }


def test_the_other_way_round_is_the_same_with_sides_exchanged(two):
    first, second, there = two
    back = compare(second, first)
    side = {"": "", "first": "second", "second": "first"}
    assert {(d.subject, d.name, d.label, d.after, d.before, side[d.only]) for d in back.differences} == {
        (d.subject, d.name, d.label, d.before, d.after, d.only) for d in there.differences
    }


def test_a_workbook_is_like_itself(two):
    assert compare(two[0], two[0]).differences == ()


def test_as_a_workbook_it_holds_text_as_text_and_no_formula_of_anyones(two, tmp_path):
    out = write_comparison(two[2], tmp_path / "changes.xlsx")
    sheet = openpyxl.load_workbook(out)["Changes"]
    cells = [cell for row in sheet.iter_rows() for cell in row if cell.value is not None]
    assert not [cell for cell in cells if cell.data_type == "f"]
    client = next(row for row in sheet.iter_rows(values_only=True) if row[1] == "client")
    assert client[3:5] == ("Invented client", "=1+1")
    assert ["client", "Name.", "Invented client", "=1+1"] in [
        row[1:5] for row in csv_rows(out, tmp_path, recalculate=True)
    ]
    with pytest.raises(WorkbookError, match="it exists already"):
        write_comparison(two[2], out)
    with pytest.raises(WorkbookError, match="one of the workbooks read"):
        write_comparison(two[2], two[0], replace=True)


ALIKE = [
    (1.0, 1.0 + 1e-12, True),
    (1.0, 1.0001, False),
    (None, "", True),
    (None, 0.0, False),
    ("1", 1.0, False),
    (True, 1.0, False),
    (ErrorValue(Code.VALUE, "a"), ErrorValue(Code.VALUE, "b"), True),
    (ErrorValue(Code.VALUE), ErrorValue(Code.NUMBER), False),
]


@pytest.mark.parametrize(("one", "two", "alike"), ALIKE)
def test_values_that_are_alike(one, two, alike):
    assert same(one, two) is alike


def test_units_that_differ_are_told(tmp_path):
    first = jobs.saved(jobs.estimate(), tmp_path / "a.xlsx")
    metric = tuple(
        s if s.name != "wall_area" else jobs.InputSpec("wall_area", "Walls.", "m²", 1, 900, 320) for s in jobs.INPUTS
    )
    second = jobs.saved(jobs.estimate(inputs=metric), tmp_path / "b.xlsx")
    (wall,) = compare(first, second).of("input")
    assert (wall.name, wall.unit) == ("wall_area", "ft² → m²")


def test_a_workbook_without_lines_or_prices_compares_what_it_has(tmp_path):
    for name, value in (("a", 1), ("b", 2)):
        (tmp_path / f"{name}.xlsx").write_bytes(books.book({"S": {"A1": value}}, {"x": ("S!$A$1", "X. | unit: ft")}))
    assert [(d.name, d.change) for d in compare(tmp_path / "a.xlsx", tmp_path / "b.xlsx").differences] == [("x", 1.0)]
