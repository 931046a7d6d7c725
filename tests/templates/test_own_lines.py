"""Lines of one's own, assemblies chosen as lines, and lines switched off: through price, proposal, scope and checks."""

import pytest

from stillbook.templates.shipped import template
from stillbook.workbook.file.address import Area
from stillbook.workbook.job.estimate import Job
from stillbook.workbook.job.lines import lines
from templates.columns import numbers, put, shipped, values

ESTIMATES = ("booth-estimate", "room-conversion")
TO_MEND = "Lines without a valid price"
LEFT_OUT = "Lines of your own: nameless, or with no place"
SWITCHED_OFF = "Lines switched off: without a reason, or not found"

TRAP = {
    "own_codes_1": "TRAP", "own_texts_1": "Bass trap", "own_quantities_1": 4, "own_units_1": "piece", "own_costs_1": 50,
    "own_hours_1": 1.5, "own_trades_1": "Shell", "own_readers_1": "client and contractor",
}  # fmt: skip


def line(job, text):
    """The cells of a line by its text."""
    row = values(job, "line_texts").index(text)
    parts = (
        "codes",
        "quantities",
        "units",
        "unit_costs",
        "material",
        "trade",
        "hours",
        "labour",
        "cost",
        "counts",
        "numbers",
    )
    return {part: values(job, f"line_{part}")[row] for part in (*parts, "faults", "offs")}


def said(job, sheet):
    """The words of a sheet, row by row."""
    return [
        " ".join(str(cell) for cell in row if cell not in (None, ""))
        for row in job.package.rows(sheet, Area(1, 2, 180, 8))
    ]


def failing(job):
    """The advice of each failing check, by its rule."""
    return {check.rule: check.advice for check in job.calculate().failed}


@pytest.fixture(scope="module", params=ESTIMATES)
def filled(request):
    """An estimate with a line of one's own of every sort."""
    job = shipped(request.param, "US")
    job.set(
        TRAP
        | {"own_codes_2": "HINGE", "own_quantities_2": 3, "own_readers_2": "contractor"}
        | {"own_codes_3": "WALL", "own_quantities_3": 100, "own_readers_3": "client"}
        | {"own_texts_4": "Carpet", "own_quantities_4": 1, "own_doers_4": "by others"}
        | {
            "own_texts_5": "Curtain",
            "own_quantities_5": 2,
            "own_units_5": "piece",
            "own_costs_5": 80,
            "own_off_5": "later",
        }
        | {"off_lines_1": "Cooling unit", "off_reasons_1": "the client has one"}
    )
    job.calculate()
    return job


# An hour in the Shell trade costs 62, a hinge 34 with three to the hour of a trade of 68.
LINES = [
    ("Bass trap", {"codes": "TRAP", "quantities": 4, "units": "piece", "material": 200, "hours": 6, "labour": 372, "cost": 572}),
    ("Heavy bearing hinge", {"codes": "HINGE", "quantities": 3, "units": "piece", "material": 102, "trade": "Doors", "hours": 1, "labour": 68}),
    ("Carpet", {"quantities": 1, "cost": 0, "counts": 0, "numbers": 0, "offs": "by others"}),
    ("Curtain", {"quantities": 2, "cost": 0, "counts": 0, "numbers": 0, "offs": "later"}),
    ("Cooling unit", {"codes": "COOLING", "quantities": 1, "cost": 0, "hours": 0, "counts": 0, "numbers": 0, "offs": "the client has one"}),
]  # fmt: skip


@pytest.mark.parametrize(("text", "cells"), LINES)
def test_a_line_has_its_quantity_price_and_reason(filled, text, cells):
    found = line(filled, text)
    assert {part: found[part] for part in cells} == cells
    assert not found["faults"]


def test_an_assembly_brings_the_material_and_hours_of_its_parts(filled):
    """Material and labour of a unit are the sums of its parts at the prices of this job, worked out again here."""
    parts = [
        row
        for row in zip(
            *(values(filled, f"part_{of}") for of in ("assemblies", "items", "quantities", "wastes")), strict=True
        )
        if row[0] == "WALL"
    ]
    price = {
        code: (cost, trade, rate)
        for code, cost, trade, rate in zip(
            *(values(filled, f"price_{of}") for of in ("codes", "costs", "trades", "rates")), strict=True
        )
    }
    wage = dict(zip(values(filled, "labour_trades"), values(filled, "labour_rates"), strict=True))
    material = sum(quantity * (1 + waste) * price[item][0] for _, item, quantity, waste in parts)
    hours = sum(quantity / price[item][2] for _, item, quantity, _ in parts)
    labour = sum(quantity / price[item][2] * wage[price[item][1]] for _, item, quantity, _ in parts)
    found = line(filled, "Wall of two separate leaves, two boards each, both frames filled")
    assert len(parts) == 7
    assert found["unit_costs"] == pytest.approx(material, abs=0.005)
    assert found["hours"] == pytest.approx(100 * hours, abs=0.005)
    assert found["labour"] == pytest.approx(100 * labour, abs=0.51)
    assert found["material"] == pytest.approx(100 * found["unit_costs"])
    assert (found["units"], found["trade"]) == ("ft²", "Shell")


@pytest.mark.parametrize("waste", [-1, "some"])
@pytest.mark.parametrize("name", ESTIMATES)
def test_an_assembly_with_a_waste_that_is_no_share_fails(name, waste):
    job = shipped(name, "US")
    job.set({"own_codes_1": "WALL", "own_texts_1": "Wall", "own_quantities_1": 10, "own_trades_1": "Shell"})
    assert "Lines without a valid price" not in failing(job)
    put(job, "part_wastes", values(job, "part_assemblies").index("WALL"), waste)
    assert "WALL: its parts are to be mended" in failing(job)["Lines without a valid price"]


def test_the_price_grows_by_its_lines_and_what_is_off_costs_nothing(filled):
    counted = [
        cost for cost, counts in zip(values(filled, "line_cost"), values(filled, "line_counts"), strict=True) if counts
    ]
    assert numbers(filled)["direct_cost"] == pytest.approx(sum(counted))
    names = {entry.text for entry in lines(filled.package)}
    assert {"Bass trap", "Heavy bearing hinge"} <= names
    assert not names & {"Carpet", "Curtain", "Cooling unit"}


def test_each_reader_sees_what_is_for_him(filled):
    proposal, scope = said(filled, "Proposal"), said(filled, "Scope")
    included = proposal[
        proposal.index("Also included in the price:") + 1 : proposal.index("Not included, done by others:")
    ]
    others = proposal[proposal.index("Not included, done by others:") + 1]
    assert "Bass trap" in " ".join(included)
    assert "Wall of two separate leaves" in " ".join(included)
    assert not {"hinge", "Curtain", "Carpet"} & set(" ".join(included).split())
    assert others == "– Fire detection or sprinkler; Carpet"
    asked = " ".join(scope[scope.index("Lines to be priced") :])
    assert "Bass trap Shell 4" in asked
    assert "Heavy bearing hinge Doors 3" in asked
    assert "Wall of two" not in asked
    assert "Cooling unit" not in asked
    assert "– Fire detection or sprinkler; Carpet" in scope


FAULTS = [
    ({"own_costs_1": None}, "TRAP: cost no number"),
    ({"own_quantities_1": None}, "TRAP: quantity no number over 0"),
    ({"own_units_1": None}, "TRAP: no unit"),
    ({"own_costs_1": 0, "own_hours_1": None}, "TRAP: neither cost nor hours"),
    ({"own_codes_1": None, "own_costs_1": None}, "Bass trap: cost no number"),
    ({"own_codes_1": "HINGE"}, "HINGE: its cost stands elsewhere"),
    (
        {"own_codes_1": "HINGE", "own_costs_1": None, "own_hours_1": None, "own_units_1": "box"},
        "HINGE: unit not that of its code",
    ),
]


@pytest.mark.parametrize(("changes", "fault"), FAULTS)
def test_a_line_that_cannot_be_priced_fails_by_its_code(changes, fault):
    job = shipped("booth-estimate", "US")
    job.set(TRAP | changes)
    assert f": {fault}" in failing(job)[TO_MEND]


@pytest.mark.parametrize("value", ["about four", "4 piece", -1])
def test_a_worded_quantity_fails_by_its_code(value):
    job = shipped("booth-estimate", "US")
    job.set(TRAP)
    put(job, "own_quantities", 0, value)
    assert "TRAP: quantity no number over 0" in failing(job)[TO_MEND]


WRONG = [
    ({"off_lines_1": "Cooling unit"}, SWITCHED_OFF, "no reason: Cooling unit"),
    ({"off_lines_1": "Cooling units", "off_reasons_1": "none"}, SWITCHED_OFF, "not found: Cooling units"),
    ({"off_reasons_2": "none"}, SWITCHED_OFF, "no line"),
    ({"own_quantities_7": 3}, LEFT_OUT, "Give each a code"),
]


@pytest.mark.parametrize(("changes", "rule", "advice"), WRONG)
def test_what_is_left_out_is_never_silent(changes, rule, advice):
    job = shipped("booth-estimate", "US")
    job.set(changes)
    assert advice in failing(job)[rule]


def test_a_switched_off_line_that_is_not_found_stays_in_the_price():
    plain, job = shipped("booth-estimate", "US"), shipped("booth-estimate", "US")
    job.set({"off_lines_1": "Cooling unit"})
    assert numbers(job)["price"] == numbers(plain)["price"]


@pytest.mark.parametrize("name", ESTIMATES)
def test_rows_stand_in_a_closed_outline_and_can_be_inserted(name):
    from openpyxl import load_workbook

    sheet = load_workbook(template(name).path("US"))["Own lines"]
    first = Job.open(template(name).path("US"))
    area = next(n.cells[1] for n in first.package.names if n.name == "own_texts")
    hidden = [row for row in range(area.first_row, area.last_row + 1) if sheet.row_dimensions[row].hidden]
    assert len(hidden) == 16
    assert all(sheet.row_dimensions[row].outlineLevel == 1 for row in hidden)
    assert not sheet.protection.sheet
    assert sheet.cell(area.last_row, area.first_column).value == '=""'


def test_a_line_in_the_last_row_that_can_be_typed_is_in_the_price():
    job = shipped("booth-estimate", "US")
    job.set({name.replace("_1", "_20"): value for name, value in TRAP.items()})
    job.calculate()
    assert line(job, "Bass trap")["cost"] == 572


# --- what grows with the job ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ESTIMATES)
@pytest.mark.parametrize("doors", ["pair", "single"])
def test_the_sites_lines_are_shares_of_all_other_hours(name, doors):
    """Six per cent each, rounded up to hours; a trip for each day of two people working eight hours."""
    job = shipped(name, "US")
    job.set({"door_choice": doors} | TRAP)
    job.calculate()
    rows = list(zip(*(values(job, f"line_{of}") for of in ("codes", "hours", "counts", "quantities")), strict=True))
    work = sum(hours for code, hours, counts, _ in rows if counts and code not in ("SETUP", "SUPERVISION", "TRAVEL"))
    found = {
        code: quantity for code, _, counts, quantity in rows if counts and code in ("SETUP", "SUPERVISION", "TRAVEL")
    }
    share = -(-work * 0.06 // 1)
    assert found == {"SETUP": share, "SUPERVISION": share, "TRAVEL": -(-work * 1.12 / 16 // 1)}


@pytest.mark.parametrize("name", ESTIMATES)
def test_the_price_beside_is_that_of_the_other_arrangement(name):
    found = {}
    for doors in ("pair", "single"):
        job = shipped(name, "US")
        job.set({"door_choice": doors})
        found[doors] = numbers(job)
    for beside in found.values():
        assert beside["price_pair"] == pytest.approx(found["pair"]["price"])
        assert beside["price_single"] == pytest.approx(found["single"]["price"])


# --- treatment --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("system", ["US", "SI"])
@pytest.mark.parametrize("scale", [1, 2, 4])
def test_treatment_grows_with_the_room_to_its_target(system, scale):
    """A larger room of the same height takes more, and 500 Hz and up stay within the target by no more than it costs."""
    job = shipped("booth-estimate", system)
    length, width = (8, 6) if system == "US" else (2.4, 1.8)
    job.set({"room_length": length * scale, "room_width": width * scale})
    found = numbers(job)
    assert found["longest_time"] <= 0.2
    assert found["longest_time"] > 0.18
    assert found["wall_treated"] + found["ceiling_treated"] == pytest.approx(found["treatment_by_rule"])
    assert found["treatment_by_rule"] > (50 if system == "US" else 4.6) * scale**2


TYPED = [
    ({"wall_treatment": 10}, 10, None),
    ({"ceiling_treatment": 12}, None, 12),
    ({"wall_treatment": 10, "ceiling_treatment": 0}, 10, 0),
]


@pytest.mark.parametrize(("changes", "walls", "ceiling"), TYPED)
def test_treatment_that_is_typed_stands(changes, walls, ceiling):
    job = shipped("booth-estimate", "US")
    job.set(changes)
    found = numbers(job)
    assert found["wall_treated"] == (walls if walls is not None else found["treatment_by_rule"] - 12)
    assert found["ceiling_treated"] == (ceiling if ceiling is not None else min(48, found["treatment_by_rule"] - 10))
