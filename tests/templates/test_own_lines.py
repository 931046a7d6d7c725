"""Lines of one's own, assemblies chosen as lines, and lines switched off: through price, proposal, scope and checks."""

import pytest

from stillbook.workbook.file.address import Area
from stillbook.workbook.file.parts import MAIN
from stillbook.workbook.job.lines import column, lines
from templates.columns import calculated, named, numbers, put, shipped, values

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


def failing(report):
    """The advice of each failing check, by its rule."""
    return {check.rule: check.advice for check in report.failed}


@pytest.fixture(scope="module", params=ESTIMATES)
def filled_and_told(request):
    """An estimate with a line of one's own of every sort, and what it says."""
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
        | {name.replace("_1", "_20"): value for name, value in TRAP.items()}
        | {"own_codes_20": "LAST", "own_texts_20": "Last trap"}
        | {"off_lines_1": "Cooling unit", "off_reasons_1": "the client has one"}
    )
    return job, job.calculate()


@pytest.fixture(scope="module")
def filled(filled_and_told):
    return filled_and_told[0]


# An hour in the Shell trade costs 62, a hinge 34 with three to the hour of a trade of 68.
LINES = [
    ("Bass trap", {"codes": "TRAP", "quantities": 4, "units": "piece", "material": 200, "hours": 6, "labour": 372, "cost": 572}),
    ("Heavy bearing hinge", {"codes": "HINGE", "quantities": 3, "units": "piece", "material": 102, "trade": "Doors", "hours": 1, "labour": 68}),
    ("Carpet", {"quantities": 1, "cost": 0, "counts": 0, "numbers": 0, "offs": "by others"}),
    ("Curtain", {"quantities": 2, "cost": 0, "counts": 0, "numbers": 0, "offs": "later"}),
    ("Last trap", {"codes": "LAST", "cost": 572}),
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


def test_lines_and_assemblies_that_are_whole_have_nothing_to_mend(filled_and_told):
    assert TO_MEND not in failing(filled_and_told[1])


@pytest.mark.parametrize("name", ESTIMATES)
def test_assemblies_with_a_waste_that_is_no_share_fail(name):
    job = shipped(name, "US")
    wastes = {"WALL": -1, "CEILING": "some"}
    for row, (code, waste) in enumerate(wastes.items()):
        for of, value in (("codes", code), ("texts", code.title()), ("quantities", 10), ("trades", "Shell")):
            put(job, f"own_{of}", row, value)
        put(job, "part_wastes", values(job, "part_assemblies").index(code), waste)
    advice = failing(job.calculate())[TO_MEND]
    assert advice.startswith("Mend it on the Assemblies sheet: WALL: its parts are to be mended")
    assert {code: line(job, code.title())["faults"] for code in wastes} == dict.fromkeys(
        wastes, "Assemblies: its parts are to be mended"
    )
    assert advice.endswith(", and 1 more.")


def test_the_price_grows_by_its_lines_and_what_is_off_costs_nothing(filled):
    counted = [
        cost for cost, counts in zip(values(filled, "line_cost"), values(filled, "line_counts"), strict=True) if counts
    ]
    assert named(filled)["direct_cost"] == pytest.approx(sum(counted))
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
    # what is changed of a trap, and what is said of it; the check names the first, which has no code
    ({"codes": None, "costs": None}, "unit cost no number"),
    ({"costs": None}, "code not found, and no unit cost"),
    ({"costs": "10,50"}, "unit cost is text, not a number"),
    ({"hours": "2 h"}, "hours are text, not a number"),
    ({"trades": "Shel"}, "trade not among the labour rates"),
    ({"quantities": None}, "quantity no number over 0"),
    ({"units": None}, "no unit"),
    ({"costs": 0, "hours": None}, "neither cost nor hours"),
    ({"codes": "HINGE"}, "its cost stands elsewhere"),
    ({"codes": "HINGE", "costs": None, "hours": None, "units": "box"}, "unit not that of its code"),
    ({"quantities": "about four"}, "quantity is text, not a number"),
    ({"quantities": "48 m2"}, "quantity is text, not a number"),
    ({"quantities": -1}, "quantity no number over 0"),
]


@pytest.fixture(scope="module")
def unpriced():
    """A booth with a trap for each fault, and what it says."""
    job = shipped("booth-estimate", "US")
    for row, (changes, _) in enumerate(FAULTS):
        trap = {name.removeprefix("own_").removesuffix("_1"): value for name, value in TRAP.items()}
        for name, value in (trap | {"codes": f"TRAP{row}", "texts": f"Trap {row}"} | changes).items():
            put(job, f"own_{name}", row, value)
    return job, job.calculate()


@pytest.mark.parametrize(("row", "fault"), list(enumerate(fault for _, fault in FAULTS)))
def test_a_line_that_cannot_be_priced_says_why(unpriced, row, fault):
    assert line(unpriced[0], f"Trap {row}")["faults"] == f"Own lines: {fault}"


def test_lines_that_cannot_be_priced_fail_by_the_first(unpriced):
    _, report = unpriced
    told = f"Mend it on the Own lines sheet: Trap 0: unit cost no number, and {len(FAULTS) - 1} more."
    assert failing(report)[TO_MEND] == told


@pytest.fixture(scope="module")
def left_out():
    """A booth with three lines switched off for nothing and a line of no name, and what it says."""
    job = shipped("booth-estimate", "US")
    job.set(
        {"off_lines_1": "Cooling unit"}
        | {"off_lines_2": "Cooling units", "off_reasons_2": "none"}
        | {"off_reasons_3": "none", "own_quantities_7": 3}
    )
    return job, job.calculate()


@pytest.mark.parametrize(
    ("row", "fault"), list(enumerate(["no reason: Cooling unit", "not found: Cooling units", "no line"]))
)
def test_what_is_switched_off_for_nothing_says_why(left_out, row, fault):
    assert values(left_out[0], "off_faults")[row] == fault


@pytest.mark.parametrize("name", ESTIMATES)
def test_a_code_that_is_not_found_is_no_fault_of_ones_own_lines(name):
    """The hours, and what grows with them, are errors then; own lines have their places all the same."""
    job = shipped(name, "US")
    job.set(TRAP)
    put(job, "price_codes", values(job, "price_codes").index("WOOL"), "WOLL")
    report = job.calculate()
    states = {check.rule: check.state for check in report.checks}
    assert (states[TO_MEND], states[LEFT_OUT]) == ("fails", "passes")
    assert failing(report)[TO_MEND].startswith("Mend it on the Unit costs sheet: WOOL: code not found")


@pytest.mark.parametrize(
    ("rule", "count", "advice"), [(SWITCHED_OFF, 3, "no reason: Cooling unit"), (LEFT_OUT, 1, "Give each a code")]
)
def test_what_is_left_out_is_never_silent(left_out, rule, count, advice):
    job, report = left_out
    assert next(row for row in values(job, "checks") if row[0] == rule)[1] == count
    assert advice in failing(report)[rule]


def test_a_switched_off_line_that_is_not_found_stays_in_the_price(left_out):
    assert named(left_out[0])["price"] == named(shipped("booth-estimate", "US"))["price"]


@pytest.mark.parametrize("name", ESTIMATES)
def test_rows_stand_in_a_closed_outline_and_can_be_inserted(name):
    package = shipped(name, "US").package
    parts = package.parts()
    sheet = parts.tree(parts.sheets()["Own lines"])
    _, area = column(package, "own_texts")
    rows = {int(row.get("r")): row for row in sheet.iter(f"{{{MAIN}}}row")}
    hidden = [row for row in range(area.first_row, area.last_row + 1) if rows[row].get("hidden") in ("1", "true")]
    assert len(hidden) == 16
    assert all(rows[row].get("outlineLevel") == "1" for row in hidden)
    assert sheet.find(f"{{{MAIN}}}sheetProtection") is None
    assert package.sheet("Own lines").formulas[area.last_row, area.first_column].text == '""'


# --- what grows with the job ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ESTIMATES)
@pytest.mark.parametrize("doors", ["pair", "single"])
def test_the_sites_lines_are_shares_of_all_other_hours(name, doors):
    """Six per cent each, rounded up to hours; a trip for each day of two people working eight hours."""
    job, _ = calculated(name, "US", {"door_choice": doors} | TRAP)
    rows = list(zip(*(values(job, f"line_{of}") for of in ("codes", "hours", "counts", "quantities")), strict=True))
    work = sum(hours for code, hours, counts, _ in rows if counts and code not in ("SETUP", "SUPERVISION", "TRAVEL"))
    found = {
        code: quantity for code, _, counts, quantity in rows if counts and code in ("SETUP", "SUPERVISION", "TRAVEL")
    }
    share = -(-work * 0.06 // 1)
    assert found == {"SETUP": share, "SUPERVISION": share, "TRAVEL": -(-work * 1.12 / 16 // 1)}


@pytest.mark.parametrize("name", ESTIMATES)
def test_the_price_beside_is_that_of_the_other_arrangement(name):
    found = {doors: named(calculated(name, "US", {"door_choice": doors} | TRAP)[0]) for doors in ("pair", "single")}
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
