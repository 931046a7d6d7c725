"""The price book: assemblies against plain arithmetic, take-off and order, levels, and what is wrong in a book."""

import math

import pytest

from stillbook.office.reprice import read_prices
from stillbook.quantities import SYSTEMS
from stillbook.templates.parts.examples import examples
from stillbook.workbook.file.address import Area
from stillbook.workbook.job.lines import price_rows
from templates.columns import put, shipped, values

NAME = "price-book"
PARTS = examples("example_parts", "US")


@pytest.fixture(scope="module")
def us():
    job = shipped(NAME, "US")
    job.calculate()
    return job


def by_code(job, codes, name):
    return dict(zip(values(job, codes), values(job, name), strict=True))


# What one unit takes, by hand from the geometry, at the invented example prices and rates of work.
BOARDS = 4 / 32 * 1.15 * 19
CENT = 0.005 + 1e-9
FRAMES = 2 * 0.75 / 8 * 1.15 * 5.2 + 4 / 64 * 1.1 * 6.5
FIXING = 4 * 28 / 32 / 1000 * 1.05 * 36 + 2 / 48 * 1.1 * 62 + 4 * 2 / 8 / 38 * 1.15 * 11
FACTS = [
    ("assembly_materials", "WALL", BOARDS + FRAMES + FIXING),
    ("assembly_equipment", "WALL", 65 / 400),
    ("assembly_counts", "WALL", 7),
    ("assembly_materials", "DECK", 2 / 32 * 1.1 * 55 + 1.05 * 3.4 + 45 / 32 / 1000 * 1.05 * 36),
    ("assembly_materials", "DOOR", 210 + 55 + 165 + 3 * 34 + 140 + 95 + 20 / 38 * 1.15 * 11),
    ("assembly_equipment", "DOOR", 90 / 4),
    # The last is the hoist, fetched and returned in an hour, for a quarter of its day.
    ("assembly_hours", "DOOR", 1 / 0.5 + 1 / 2.5 + 1 / 0.25 + 3 / 3 + 1 / 0.5 + 1 + 20 / 38 / 3 + 0.25 / 1),
    ("assembly_materials", "HOLE", 2 * 26 + 0.25 * 11 + 0.25 * 24),
    ("assembly_hours", "HOLE", 2 / 1 + 0.25 / 3 + 0.25 / 2),
]


@pytest.mark.parametrize(("name", "code", "value"), FACTS)
def test_an_assembly_is_the_sum_of_its_parts(us, name, code, value):
    assert by_code(us, "assembly_codes", name)[code] == pytest.approx(
        value, rel=1e-9, abs=0 if "hours" in name else CENT
    )


@pytest.mark.parametrize("system", SYSTEMS)
def test_cost_is_material_equipment_and_labour(system):
    job = shipped(NAME, system)
    job.calculate()
    names = ("assembly_materials", "assembly_equipment", "assembly_labour", "assembly_costs")
    for material, equipment, labour, cost in zip(*(values(job, name) for name in names), strict=True):
        if cost != "":
            assert cost == pytest.approx(material + equipment + labour)
    assert sum(cost != "" for cost in values(job, "assembly_costs")) == len({part[0] for part in PARTS})


def test_a_square_metre_of_wall_takes_the_hours_of_its_square_feet():
    hours = []
    for system in SYSTEMS:
        job = shipped(NAME, system)
        job.calculate()
        hours.append(by_code(job, "assembly_codes", "assembly_hours")["WALL"])
    assert hours[1] / hours[0] == pytest.approx(10.76, rel=0.05)


LEVELS = [("a", 1.0), ("b", 1.1), ("c", 1.18)]


@pytest.mark.parametrize(("level", "factor"), LEVELS)
def test_each_level_has_its_column(us, level, factor):
    for name in ("price_costs", "labour_rates", "assembly_costs"):
        for cost, price in zip(values(us, name), values(us, f"{name}_{level}"), strict=True):
            assert price == ("" if cost in ("", None) else pytest.approx(cost * factor, abs=CENT))


def test_the_take_off_expands_into_materials_and_hours(us):
    rows = {row[0]: row for row in us.package.rows("Order", Area(5, 2, 4 + len(values(us, "price_codes")), 8))}
    boards = (270 * 4 / 32 + 76 * 2 / 32) * 1.15
    assert rows["Gypsum board 5/8 in type X"][3] == pytest.approx(boards)
    assert rows["Gypsum board 5/8 in type X"][4] == math.ceil(boards)
    assert rows["Gypsum board 5/8 in type X"][5] == math.ceil(boards) * 19
    assert rows["SLAB"][4] == 2
    assert rows["LIFT"][4] == math.ceil(270 / 400 + 76 / 200)
    assert rows["FAN"][4] == 0
    found = {result.name: result.value for result in us.calculate().results}
    hours = by_code(us, "assembly_codes", "assembly_hours")
    quantities = by_code(us, "takeoff_codes", "takeoff_quantities")
    assert found["takeoff_hours_all"] == pytest.approx(sum(q * hours[code] for code, q in quantities.items() if code))
    assert sum(row[6] for row in rows.values() if row[6] != "") == pytest.approx(found["takeoff_hours_all"])
    assert found["takeoff_price"] == pytest.approx(found["takeoff_cost"] * 1.1, abs=len(quantities) * CENT)


def test_the_level_of_the_take_off_is_chosen():
    job = shipped(NAME, "US")
    job.set({"level": "c"})
    found = {result.name: result.value for result in job.calculate().results}
    assert found["takeoff_price"] == pytest.approx(found["takeoff_cost"] * 1.18)


def test_it_needs_no_formulas_of_ours(us):
    for sheet in us.package.sheets:
        assert not any("STILL" in formula.text.upper() for formula in us.package.sheet(sheet).formulas.values())


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("estimate", ["booth-estimate", "door-schedule"])
def test_it_prices_every_code_of_the_estimates_in_their_units(estimate, system):
    ours = {row.code: row for row in price_rows(shipped(NAME, system).package)}
    for row in price_rows(shipped(estimate, system).package):
        assert (ours[row.code].unit, ours[row.code].cost, ours[row.code].rate) == (row.unit, row.cost, row.rate), (
            row.code
        )


def test_a_level_goes_by_its_name_and_leaves_costs_plain(tmp_path):
    job = shipped(NAME, "US")
    job.save(tmp_path / "book.xlsx")
    plain, small = (read_prices(tmp_path / "book.xlsx", level) for level in ("", "small job"))
    assert plain.levels == ("Returning client", "Usual client", "Small job")
    assert (small.level.name, small.level.markup) == ("Small job", 0.18)
    assert small.rows["slab"].cost == plain.rows["slab"].cost
    assert small.labour["doors"] == pytest.approx(68, rel=1e-3)


def test_it_waits_for_its_day_and_then_tells_what_is_old():
    job = shipped(NAME, "US")
    assert {check.state for check in job.calculate().checks} == {"passes", "waits"}
    job.set({"office": "Invented office", "book_date": "2026-06-15"})
    assert {check.state for check in job.calculate().checks} == {"passes"}
    assert set(values(job, "price_states")) == {"Passes", ""}
    job.set({"book_date": "2026-12-15"})
    assert [check.rule for check in job.calculate().failed] == ["Oldest price, in months"]
    assert "Fails" in values(job, "price_states")
    job.set({"book_date": "2026-01-01"})
    assert [check.rule for check in job.calculate().failed] == ["Prices dated after the book"]


FAILS = [
    ("price_codes", "STUD", "Codes that stand twice"),
    ("price_costs", None, "Codes without a cost"),
    ("price_costs", 0, "Codes without a cost"),
    ("price_costs", -2, "Codes without a cost"),
    ("price_costs", "on request", "Codes without a cost"),
    ("price_rates", 0, "Codes whose rate of work is none"),
    ("price_rates", "quick", "Codes whose rate of work is none"),
    ("wages", None, "Trades whose hour costs nothing"),
    ("wages", "sixty", "Trades whose hour costs nothing"),
    ("takeoff_quantities", None, "Take-off without a quantity"),
    ("price_dates", None, "Codes without a date"),
    ("price_suppliers", "S9", "Codes whose supplier is not known"),
    ("price_trades", "Thatch", "Codes whose trade is not known"),
    ("part_items", "NADA", "Parts whose item is not known"),
    ("part_assemblies", "ROOF", "Parts whose assembly is not known"),
    ("part_wastes", -1, "Parts whose waste is no share"),
    ("part_wastes", "some", "Parts whose waste is no share"),
    ("on_costs", None, "Trades whose on-costs are no share"),
    ("on_costs", -0.5, "Trades whose on-costs are no share"),
    ("assembly_codes", "VAULT", "Assemblies without parts"),
    ("takeoff_codes", "ROOF", "Take-off of assemblies not known"),
]


@pytest.mark.parametrize(("name", "value", "rule"), FAILS)
def test_what_is_wrong_in_the_book_fails(name, value, rule):
    job = shipped(NAME, "US")
    put(job, name, 0, value)
    failed = {check.rule: check.advice for check in job.calculate().failed}
    assert failed[rule]
    if name in ("price_costs", "price_rates"):
        assert f"First: {values(job, 'price_codes')[0]}." in failed[rule]


def test_a_part_without_a_quantity_fails():
    job = shipped(NAME, "US")
    put(job, "part_assemblies", len(PARTS), "WALL")
    put(job, "part_items", len(PARTS), "FRAME")
    failed = {check.rule: check.advice for check in job.calculate().failed}
    assert failed["Parts without a quantity"].endswith("First: WALL.")


BLANK = [
    ("price_codes", "price_mends"),
    ("part_assemblies", "part_costs"),
    ("part_assemblies", "parts_needed"),
    ("assembly_codes", "assembly_costs"),
    ("takeoff_codes", "takeoff_prices"),
    ("labour_trades", "labour_rates"),
]


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize(("key", "name"), BLANK)
def test_blank_rows_stay_blank(key, name, system):
    job = shipped(NAME, system)
    job.calculate()
    blank = [worked for typed, worked in zip(values(job, key), values(job, name), strict=True) if typed in (None, "")]
    assert set(blank) == {""}
