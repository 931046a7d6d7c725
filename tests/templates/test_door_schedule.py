"""The door schedule: its columns against plain arithmetic, blank rows, rows in error, and what each row passes."""

import math
import re

import pytest

from stillbook.catalogue import call
from stillbook.office.carry import carry
from stillbook.office.compare import compare
from stillbook.office.reprice import read_prices, reprice
from stillbook.office.returned_scope import read_scope
from stillbook.quantities import SYSTEMS
from stillbook.share.copies import share
from stillbook.templates.door_schedule import ROWS
from stillbook.templates.door_schedule.schedule import EXAMPLES
from stillbook.templates.parts.examples import examples
from stillbook.templates.shipped import template
from stillbook.workbook import WorkbookError
from stillbook.workbook.file.address import Area
from stillbook.workbook.file.package import Package
from stillbook.workbook.job.audience import AUDIENCES
from stillbook.workbook.job.estimate import Job
from stillbook.workbook.job.inputs import InputError
from templates.columns import put, shipped, values
from workbook.books import decoded

NAME = "door-schedule"
DOORS = examples(EXAMPLES, "US")
LIGHT = "Solid-core door slab 1-3/4 in light"


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
    ("sheets_used", 0, 2),
    ("hinges_needed", 0, 6),
    ("hinge_costs", 0, 6 * 34),
    ("set_costs", 0, 2 * (165 + 140 + 95)),
    ("material_costs", 0, 2 * 210 + 2 * 55 + 6 * 34 + 800),
    ("door_hours", 0, 2 * (1 / 0.5 + 1 / 0.25 + 1 / 0.5 + 1) + 6 / 3 + 2 / 2.5),
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
    assert report["openings"] == len(DOORS) == len(prices)


def test_the_order_counts_every_door(us):
    ordered = {row[0]: row[2] for row in us.package.rows("Order", Area(5, 2, 30, 5))}
    pieces = sum(2 if row[6] == "pair" else 1 for row in DOORS)
    assert ordered["SLAB"] == ordered["FRAME"] == pieces
    assert ordered["HINGE"] == 3 * pieces
    assert ordered["Plywood 3/4 in"] == 3 * 2 + 3 * 1  # a sheet of 4 × 8 ft gives one face of a door
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


def test_a_weighed_slab_comes_before_the_list():
    job = shipped(NAME, "US")
    put(job, "weighed", 0, 71.5)
    job.calculate()
    assert values(job, "slab_masses")[0] == 71.5
    assert values(job, "door_masses")[0] == pytest.approx(71.5 + 44)


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
    # Fourteen slabs, two hours each at 68 an hour (invented prices of the templates).
    line = next(line for line in found.lines if line.name.startswith("SLAB"))
    assert line.before == pytest.approx(14 * (210 + 2 * 68))
    assert line.after == pytest.approx(14 * (260 + 2 * 68))


# --- lines, shared pages and rows set by name -------------------------------------------------------------------------


def test_the_lines_count_what_is_bought_and_come_to_the_openings(us):
    lines = dict(zip(values(us, "line_codes"), values(us, "line_quantities"), strict=True))
    # Five pairs and four single doors, three hinges each.
    assert {code: lines[code] for code in ("SLAB", "FRAME", "SEALS", "LATCH", "HINGE")} == {
        "SLAB": 14, "FRAME": 14, "SEALS": 14, "LATCH": 14, "HINGE": 42,
    }  # fmt: skip
    # Three pairs and three single doors with a layer of plywood, a pair with one of MDF; a sheet gives one face.
    assert (lines["Plywood 3/4 in"], lines["MDF 3/4 in"]) == (9, 2)
    assert sum(values(us, "line_cost")) == pytest.approx(sum(v for v in values(us, "opening_costs") if v != ""))
    numbers = [number for number in values(us, "line_numbers") if number]
    assert numbers == list(range(1, 8))


@pytest.fixture(scope="module")
def copies(tmp_path_factory):
    folder = tmp_path_factory.mktemp("doors")
    job = shipped(NAME, "US")
    job.set({"client": "Quibberdunk Ltd (invented)", "project": "Invented rooms", "margin": 0.2137})
    put(job, "price_costs", values(job, "price_codes").index("SLAB"), 213.37)
    job.calculate()
    job.save(folder / "doors.xlsx")
    made = {audience: share(folder / "doors.xlsx", folder / f"{audience}.xlsx", audience) for audience in AUDIENCES}
    return job, made


def test_a_client_sees_each_opening_with_its_price(copies):
    job, made = copies
    copy = made["client"]
    assert copy.sheets == ("Proposal",)
    rows = Package.open(copy.path).rows("Proposal", Area(1, 2, 80, 8))
    prices = {row[0]: row[-1] for row in rows if str(row[0]).startswith("D0")}
    wanted = zip(values(job, "marks"), values(job, "opening_prices"), strict=True)
    assert prices == {mark: price for mark, price in wanted if mark}
    assert not any(str(row[0]).startswith("D") and row[-1] == "" for row in rows)


def test_a_contractor_sees_every_door_and_no_price(copies):
    job, made = copies
    copy = made["contractor"]
    assert copy.sheets == ("Scope", "Door list")
    assert copy.fixed == ()
    rows = Package.open(copy.path).rows("Door list", Area(1, 2, 60, 13))
    doors = {row[0]: row for row in rows if str(row[0]).startswith("D0")}
    assert list(doors) == [mark for mark in values(job, "marks") if mark]
    assert doors["D01"][2:10] == ["pair", 36, 80, LIGHT, "Plywood 3/4 in", 1, 104, 3]
    scope = read_scope(copy.path)
    assert [offer.quantity for offer in scope.offers.values()] == [q for q in values(job, "line_quantities") if q]
    assert all(offer.price is None for offer in scope.offers.values())


def test_no_copy_tells_a_cost_and_the_contractors_no_client(copies):
    job, made = copies
    text = {audience: decoded(made[audience].path.read_bytes()) for audience in AUDIENCES}
    secret = ["213.37", "0.2137", "21.37", *(f"{cost:.8g}" for cost in values(job, "opening_costs") if cost != "")]
    for audience in AUDIENCES:
        assert [one for one in secret if one in text[audience]] == []
        assert "not a certified design" in text[audience]
    assert "quibberdunk" in text["client"]
    assert "quibberdunk" not in text["contractor"]
    prices = {f"{price:,.0f}" for price in values(job, "opening_prices") if price != ""}
    assert not any(price in text["contractor"] or price.replace(",", "") in text["contractor"] for price in prices)


@pytest.mark.parametrize("audience", AUDIENCES)
@pytest.mark.parametrize("system", SYSTEMS)
def test_the_price_book_is_for_the_office_only(tmp_path, audience, system):
    with pytest.raises(
        WorkbookError, match=r"it is for the office only and is not shared: share an estimate made with it$"
    ):
        share(template("price-book").path(system), tmp_path / "copy.xlsx", audience)
    assert not (tmp_path / "copy.xlsx").exists()


def test_rows_are_set_by_the_list_or_one_by_one():
    job = shipped(NAME, "US")
    job.set({
        "marks": ["A1", "A2", "=1+1"], "rooms": ["One"], "sides_a": ["22 kg/m²", 4.4, 4.4], "sides_b": [4.4, 4.4, 4.4],
        "widths": ["1 m", 36, 36], "heights": [80, "7 ft", 80], "kinds": ["single", "pair", "pair"],
        "slabs_2": "5 lb/ft²", "added_layers_2": 2,
    })  # fmt: skip
    report = job.calculate()
    assert values(job, "marks")[:4] == ["A1", "A2", "=1+1", None]
    assert set(values(job, "marks")[3:]) == {None}
    assert values(job, "widths")[0] == pytest.approx(1000 / 25.4)
    assert values(job, "sides_a")[0] == pytest.approx(22 / 4.882428, rel=1e-5)
    assert values(job, "heights")[:2] == [80, 84]
    # A slab of 5 lb/ft² over 36 × 84 in, with two layers of plywood at 2.2 lb/ft².
    assert values(job, "door_masses")[1] == pytest.approx(21 * (5 + 2 * 2.2))
    assert next(result.value for result in report.results if result.name == "openings") == 3
    # 1 m is 39.37 in to two places: a proposal shows no more
    sheet, area = "Proposal", Area(1, 2, 60, 8)
    assert "39.37 × 80 in" in {value for row in job.package.rows(sheet, area) for value in row}


WRONG_ROWS = [
    ({"widths": 36}, "widths is a column: give a list, or a row of it such as widths_1"),
    ({"marks": ["D"] * 41}, "marks has 41 values: give at most 40"),
    ({"widths": [36, 6]}, "widths_2 is 6 in: give 24 to 60 in"),
    ({"kinds_3": "triple"}, 'kinds_3 "triple" is not known: give one of "pair", "single"'),
    ({"added_sheets": ["Cardboard"]}, 'added_sheets_1 "Cardboard" is not known'),
    ({"widths_41": 36}, "there is no input widths_41"),
]


@pytest.mark.parametrize(("given", "message"), WRONG_ROWS)
def test_a_row_that_does_not_fit_is_refused_in_words(given, message):
    job = shipped(NAME, "US")
    before = values(job, "widths")
    with pytest.raises(InputError, match="^" + re.escape(message)):
        job.set(given)
    assert values(job, "widths") == before


def test_rows_are_carried_into_the_other_units_and_compared(tmp_path):
    job = shipped(NAME, "US")
    job.set({"marks": ["A1"], "widths_1": 42, "rooms_1": "One"})
    job.calculate()
    job.save(tmp_path / "old.xlsx")
    carry(tmp_path / "old.xlsx", template(NAME).path("SI"), tmp_path / "new.xlsx")
    new = Job.open(tmp_path / "new.xlsx")
    assert values(new, "marks")[:2] == ["A1", None]
    assert values(new, "widths")[0] == pytest.approx(42 * 25.4)
    moved = {found.name for found in compare(template(NAME).path("US"), tmp_path / "old.xlsx").of("input")}
    assert moved == {*(f"marks_{n}" for n in range(1, 10)), "widths_1", "rooms_1"}
