"""The door schedule: its columns against plain arithmetic, blank rows, rows in error, and what each row passes."""

import math

import pytest

from stillbook.catalogue import call
from stillbook.quantities import SYSTEMS
from stillbook.templates.door_schedule import ROWS
from stillbook.templates.door_schedule.rows import EXAMPLES
from stillbook.workbook.address import Area
from stillbook.workbook.lines import column
from stillbook.workbook.reprice import read_prices, reprice
from templates.columns import put, shipped, values

NAME = "door-schedule"
WORKED = [
    "door_areas",
    "targets",
    "slab_masses",
    "shortfalls",
    "added_masses",
    "door_masses",
    "hinge_counts",
    "hinge_pulls",
    "door_leaks",
    "added_thicknesses",
    "clear_widths",
    "door_counts",
    "slab_costs",
    "sheets_used",
    "sheet_costs",
    "hinges_needed",
    "hinge_costs",
    "set_costs",
    "material_costs",
    "door_hours",
    "labour_costs",
    "opening_costs",
    "opening_prices",
    "door_stcs",
    "opening_stcs",
    "row_states",
]


@pytest.fixture(scope="module")
def us():
    job = shipped(NAME, "US")
    job.calculate()
    return job


# The example doors, by hand: mass per area times area, 5 % over; a pair matches its heavier side, one door both sides;
# a light slab 3 lb/ft², a dense one 5, plywood 3/4 in 2.2; the upper hinge 7 in and the lower 11 in from the ends, 4-1/2 in
# high (common practice, no source); a gap of 1/8 in all round, 98 % sealed.
FACTS = [
    ("door_areas", 0, 36 * 80 / 144),
    ("door_areas", 3, 42 * 84 / 144),
    ("targets", 0, 4.4 * 20 * 1.05),
    ("targets", 2, 6.6 * 21 * 1.05),
    ("targets", 4, (2.2 + 2.2) * 20 * 1.05),
    ("targets", 5, (2.2 + 3.3) * 20 * 1.05),
    ("slab_masses", 0, 60),
    ("slab_masses", 7, 5 * 21),
    ("shortfalls", 0, 92.4 - 60),
    ("shortfalls", 7, 0),
    ("added_masses", 0, 2.2 * 20),
    ("added_masses", 7, 0),
    ("door_masses", 0, 104),
    ("hinge_counts", 0, 3),
    ("hinge_pulls", 0, 104 * 18 / (80 - 7 - 11 - 4.5)),
    ("door_leaks", 0, 2 * (36 + 80) * 0.125 * 0.02),
    ("added_thicknesses", 0, 0.75),
    ("clear_widths", 0, 36 - 1.75 - 0.75),
    ("door_counts", 0, 2),
    ("door_counts", 4, 1),
    ("sheets_used", 0, 2 * 20 * 1.15 / 32),
    ("hinges_needed", 0, 6),
    ("hinge_costs", 0, 6 * 34),
    ("set_costs", 0, 2 * (165 + 140 + 95)),
    ("material_costs", 0, 2 * 210 + 2 * 20 * 1.15 / 32 * 55 + 6 * 34 + 800),
    ("door_hours", 0, 2 * (1 / 0.5 + 1 / 0.25 + 1 / 0.5 + 1) + 6 / 3 + 2 * 20 * 1.15 / 32 / 2.5),
]


@pytest.mark.parametrize(("name", "row", "value"), FACTS)
def test_a_number_is_what_plain_arithmetic_gives(us, name, row, value):
    assert values(us, name)[row] == pytest.approx(value, rel=1e-6, abs=1e-9)


def test_metric_doors_weigh_what_their_walls_do():
    job = shipped(NAME, "SI")
    job.calculate()
    assert values(job, "targets")[0] == pytest.approx(24 * 0.915 * 2.03 * 1.05, rel=1e-6)
    assert values(job, "targets")[4] == pytest.approx(22 * 0.915 * 2.03 * 1.05, rel=1e-6)


def test_the_price_follows_from_the_cost(us):
    cost = values(us, "material_costs")[0] + values(us, "door_hours")[0] * 68
    assert values(us, "opening_costs")[0] == pytest.approx(cost)
    assert values(us, "opening_prices")[0] == pytest.approx(cost * 1.12 * 1.05 / 0.8)
    report = {result.name: result.value for result in us.calculate().results}
    prices = [price for price in values(us, "opening_prices") if price != ""]
    assert report["price"] == pytest.approx(sum(prices))
    assert report["openings"] == len(EXAMPLES) == len(prices)


def test_the_order_counts_every_door(us):
    ordered = {row[0]: row[2] for row in us.package.rows("Order", Area(5, 2, 30, 5))}
    pieces = sum(2 if row[6] == "pair" else 1 for row in EXAMPLES)
    assert ordered["SLAB"] == ordered["FRAME"] == pieces
    assert ordered["HINGE"] == 3 * pieces
    plywood = 2 * 20 + 2 * 20 + 2 * 24.5 + 20 + 20 + 20
    assert ordered["Plywood 3/4 in"] == math.ceil(plywood * 1.15 / 32)
    assert ordered["Gypsum board 1/2 in"] == 0


def test_the_losses_are_those_of_the_formulas(us):
    leaf = [["Solid-core door slab 1-3/4 in light", "", 1], ["Plywood 3/4 in", "", 1]]
    one = call("DOORTL", leaf, 36, 80, 0.125, 0.98)[0]
    assert values(us, "door_losses")[0] == pytest.approx(one)
    assert values(us, "door_stcs")[0] == call("STCRATING", one)
    absorption = 2 * (36 + 80) * 8 * 0.5 / 144
    pair = [min(2 * loss + 10 * math.log10(absorption / 20), loss + 15) for loss in one]
    assert values(us, "opening_losses")[0] == pytest.approx(pair)
    assert values(us, "opening_stcs")[0] == call("STCRATING", pair)
    assert values(us, "opening_stcs")[4] == values(us, "door_stcs")[4]


@pytest.mark.parametrize("system", SYSTEMS)
def test_blank_rows_stay_blank(system):
    job = shipped(NAME, system)
    job.calculate()
    for name in WORKED:
        assert len(values(job, name)) == ROWS
        assert set(values(job, name)[len(EXAMPLES) :]) == {""}, name
        assert "" not in values(job, name)[: len(EXAMPLES)], name


def test_a_door_may_stand_below_blank_rows(us):
    job = shipped(NAME, "US")
    row = {
        "marks": "D40",
        "sides_a": 4.4,
        "sides_b": 4.4,
        "widths": 36,
        "heights": 80,
        "kinds": "single",
        "slabs": "5 lb/ft²",
    }
    for name, value in row.items():
        put(job, name, ROWS - 1, value)
    job.calculate()
    assert values(job, "targets")[-1] == pytest.approx(8.8 * 20 * 1.05)
    assert values(job, "slab_masses")[-1] == pytest.approx(100)
    assert values(job, "targets")[:-1] == values(us, "targets")[:-1]


WRONG = [
    ("heights", None, "height is blank"),
    ("widths", "wide", "it calculates with text"),
    ("kinds", "double", '"double"'),
    ("slabs", "Solid oak slab", "is not in the table"),
    ("sides_a", None, "side masses is blank"),
]


@pytest.mark.parametrize(("name", "value", "reason"), WRONG)
def test_an_error_stands_only_where_an_input_is_wrong(us, name, value, reason):
    job = shipped(NAME, "US")
    put(job, name, 1, value)
    report = job.calculate()
    assert any(reason in error.reason for error in report.errors), [error.reason for error in report.errors]
    for worked in WORKED:
        ours, theirs = values(job, worked), values(us, worked)
        assert ours[:1] + ours[2:] == theirs[:1] + theirs[2:], worked
    assert values(job, "row_states")[1] == "Waits"
    assert "Rows with an input missing or wrong" in {check.rule for check in report.failed}


FAILS = [
    ("slabs", "Hollow-core door slab 1-3/4 in", "mass_states", "Doors lighter than their wall asks for"),
    ("sides_a", 9, "mass_states", "Doors lighter than their wall asks for"),
    ("added_layers", 4, "added_states", "Doors with too much added thickness"),
    ("widths", 30, "width_states", "Doors with too little clear width"),
    ("weighed", 190, "hanging_states", "Doors above the mass that hangs without special care"),
    ("stc_wanted", 60, "stc_states", "Openings below the STC wanted"),
    ("marks", "D02", "mark_states", "Marks that stand twice"),
]


@pytest.mark.parametrize(("name", "value", "states", "rule"), FAILS)
def test_a_rule_broken_fails_in_its_row_and_says_what_to_do(name, value, states, rule):
    job = shipped(NAME, "US")
    put(job, name, 0, value)
    report = job.calculate()
    assert values(job, states)[0] == "Fails"
    assert values(job, "row_states")[0] == "Fails"
    assert next(check for check in report.failed if check.rule == rule).advice


def test_a_weighed_slab_comes_before_the_list():
    job = shipped(NAME, "US")
    put(job, "weighed", 0, 71.5)
    job.calculate()
    assert values(job, "slab_masses")[0] == 71.5
    assert values(job, "door_masses")[0] == pytest.approx(71.5 + 44)


def test_every_column_that_takes_ranges_is_one_formula(us):
    row_by_row = {"slab_masses", "added_masses", "added_thicknesses", "sheets_used", "sheet_costs", "door_hours"}
    for name in set(WORKED) - row_by_row - {"door_stcs", "opening_stcs"}:
        sheet, area = column(us.package, name)
        formulas = [at for at in us.package.sheet(sheet).formulas if area.holds(*at)]
        assert formulas == [(area.first_row, area.first_column)], name


def test_the_price_book_reprices_it(tmp_path):
    job = tmp_path / "doors.xlsx"
    job.write_bytes(shipped(NAME, "US").package.to_bytes())
    book = shipped("price-book", "US")
    put(book, "price_costs", values(book, "price_codes").index("SLAB"), 260)
    book.save(tmp_path / "book.xlsx")
    found = reprice(job, read_prices(tmp_path / "book.xlsx"))
    moved = [(one.code, one.before, one.after) for one in found.moved if one.what == "unit cost"]
    assert moved == [("SLAB", 210, 260)]
    assert found.refused == ()
    assert found.results
