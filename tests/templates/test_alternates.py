"""Allowances, alternates and revisions of the estimates: what they do to the price, and what the pages say of them."""

import pytest

from stillbook.office.carry import carry
from stillbook.office.compare import compare
from stillbook.templates.shipped import template
from stillbook.workbook.file.address import Area, read_cell
from stillbook.workbook.job.estimate import Job
from stillbook.workbook.job.inputs import InputError
from templates.columns import calculated, shipped

NAMES = ["booth-estimate", "room-conversion"]
EACH = [(name, system) for name in NAMES for system in ("US", "SI")]


def made(name, system, changes):
    return calculated(name, system, changes)[0]


def as_shipped(name, system):
    return made(name, system, {})


def value(job, name):
    sheet, area = next(found.cells for found in job.package.names if found.name == name)
    return job.package.value(sheet, area.first_row, area.first_column)


def said(job, sheet, after, before=""):
    """The words of a sheet's rows from one label to another, row by row, blank ones as empty texts."""
    rows = [[cell for cell in row if cell is not None] for row in job.package.rows(sheet, Area(1, 2, 140, 8))]
    labels = [row[0] if row else "" for row in rows]
    start = labels.index(after) + 1
    return [" | ".join(map(str, row)) for row in rows[start : labels.index(before, start) if before else None]]


# Overhead 12 %, contingency 5 %, margin 20 % of the price; tax 0 in the US and 20 % in the SI template, as shipped:
# 1000 × 1.12 × 1.05 ÷ 0.8 = 1470, with tax 1764. A deduction of 400: 588, with tax 705.60. What is not accepted counts
# for nothing; its amounts are others than those beside it, so that it shows where it is counted.
SHIFTS = [
    ({"allowance_for_1": "floor", "allowance_amount_1": 1000,
      "alternate_text_1": "paint", "alternate_cost_1": 3000}, 1470.0),
    ({"allowance_for_2": "floor", "allowance_amount_2": 600, "allowance_for_4": "lamps", "allowance_amount_4": 400,
      "alternate_text_1": "paint", "alternate_cost_1": 3000, "alternate_accepted_1": "no"}, 1470.0),
    ({"alternate_text_3": "paint", "alternate_cost_3": 1000, "alternate_accepted_3": "yes"}, 1470.0),
    ({"allowance_for_1": "floor", "allowance_amount_1": 1000, "alternate_text_4": "no paint", "alternate_cost_4": -400,
      "alternate_accepted_4": "yes"}, 882.0),
]  # fmt: skip


@pytest.mark.parametrize(("changes", "shift"), SHIFTS)
@pytest.mark.parametrize(("name", "system"), EACH)
def test_the_price_moves_by_the_steps_of_the_whole_job(name, system, changes, shift):
    plain, changed = as_shipped(name, system), made(name, system, changes)
    tax = {"US": 1.0, "SI": 1.2}[system]
    assert value(changed, "price") - value(plain, "price") == pytest.approx(shift * tax)
    for price in ("price_pair", "price_single"):
        assert value(changed, price) - value(plain, price) == pytest.approx(shift * tax)
    assert value(changed, "direct_cost") == pytest.approx(value(plain, "direct_cost"))
    assert value(changed, "price_before_tax") - value(plain, "price_before_tax") == pytest.approx(shift)


FILLED = {
    "allowance_for_1": "floor finish", "allowance_amount_1": 1200, "allowance_for_3": "lamps", "allowance_amount_3": 350.5,
    "alternate_text_2": "limp sheet in the outer leaf", "alternate_cost_2": 1000,
    "alternate_text_4": "client paints", "alternate_cost_4": -400, "alternate_accepted_4": "yes",
}  # fmt: skip


@pytest.mark.parametrize("name", NAMES)
def test_the_proposal_says_each_and_leaves_no_gap(name):
    job = made(name, "SI", FILLED)
    lines = said(job, "Proposal", "Total")
    first = lines.index("Allowances in the price; any difference is settled at cost: | ")
    assert lines[first : first + 6] == [
        "Allowances in the price; any difference is settled at cost: | ",
        "An allowance for floor finish | 1,200 EUR",
        "An allowance for lamps | 350.50 EUR",
        "Alternates to the above, tax included: | ",
        "1. limp sheet in the outer leaf | add 1,764 EUR",
        "2. client paints, accepted: in the total | deduct 705.60 EUR",
    ]
    assert lines[first + 6].strip(" |") == ""
    assert lines[first + 7].startswith("Accepted, date and name")
    assert not any(line.strip(" |") for line in lines[first + 8 :])


@pytest.mark.parametrize("name", NAMES)
def test_without_any_the_proposal_goes_straight_to_its_last_line(name):
    lines = [line for line in said(as_shipped(name, "US"), "Proposal", "Please note") if line.strip(" |")]
    assert lines[-2].startswith("Electrical work")
    assert lines[-1].startswith("Accepted, date and name")


@pytest.mark.parametrize("name", NAMES)
def test_the_scope_says_what_is_chosen_later_without_its_amount(name):
    lines = said(made(name, "US", FILLED), "Scope", "Please note", "Lines to be priced")
    first = lines.index("Chosen later, with a sum for it in our price. Please do not price it:")
    assert [line for line in lines[first:] if line] == [
        "Chosen later, with a sum for it in our price. Please do not price it:",
        "– floor finish",
        "– lamps",
        "Changed from the above. Please price it in lines of your own, or say in your remarks what it saves:",
        "– client paints",
    ]
    assert "" not in lines[first : first + 5]
    bare = said(as_shipped(name, "US"), "Scope", "Please note", "Lines to be priced")
    assert not any("Chosen later" in line or "Changed from" in line for line in bare)


def test_words_typed_in_the_tables_stay_words():
    typed = {
        "allowance_for_1": "=1+1", "allowance_amount_1": 5, "alternate_text_1": "@SUM(A1)", "alternate_cost_1": 5,
        "alternate_accepted_1": "yes", "revision_number_1": "=2", "revision_date_1": "2026-03-02",
        "revision_change_1": "-3", "revision_by_1": "+x",
    }  # fmt: skip
    job = made("booth-estimate", "US", typed)
    proposal = said(job, "Proposal", "Total")
    assert "An allowance for =1+1 | 5 USD" in proposal
    assert "1. @SUM(A1), accepted: in the total | add 7.35 USD" in proposal
    assert "– =1+1" in said(job, "Scope", "Please note")
    assert value(job, "revision") == "=2"
    for name, given in typed.items():
        assert job.inputs[name].value == given or name == "revision_date_1"
        assert read_cell(job.inputs[name].cell) not in job.package.sheet(job.inputs[name].sheet).formulas


REVISED = {
    "revision_number_1": "A", "revision_date_1": "2026-03-02", "revision_change_1": "first issue",
    "revision_number_3": "B", "revision_date_3": "2026-03-09", "revision_change_3": "one heavy door",
    "revision_by_3": "Invented office", "estimate_date": "2026-03-01",
}  # fmt: skip


@pytest.mark.parametrize(("name", "system"), EACH)
def test_the_last_revision_stands_beside_the_date(name, system):
    job = made(name, system, REVISED)
    assert value(job, "revision") == "B"
    assert ("Revision", "B") in [tuple(row) for row in job.package.rows("Start", Area(1, 6, 40, 7))]
    for sheet in ("Proposal", "Scope"):
        rows = job.package.rows(sheet, Area(1, 2, 12, 3))
        assert ("Date", "2026-03-01, revision B of 2026-03-09") in [tuple(row) for row in rows]
    plain = made(name, system, {"estimate_date": "2026-03-01"})
    assert value(plain, "revision") == ""
    assert ("Date", "2026-03-01") in [tuple(row) for row in plain.package.rows("Proposal", Area(1, 2, 12, 3))]


@pytest.mark.parametrize(
    ("filled", "labels"),
    [
        ({}, ["", ""]),
        ({"reference": "R1"}, ["Reference", ""]),
        ({"prepared_by": "Office"}, ["Prepared by", ""]),
        ({"reference": "R1", "prepared_by": "Office"}, ["Reference", "Prepared by"]),
    ],
)
def test_a_blank_reference_leaves_no_label_and_no_gap(filled, labels):
    rows = made("booth-estimate", "US", filled).package.rows("Proposal", Area(1, 2, 12, 3))
    date = next(place for place, row in enumerate(rows) if row[0] == "Date")
    assert [row[0] for row in rows[date + 1 : date + 3]] == labels


UNFINISHED = [
    ({"allowance_for_1": "floor"}, "Allowances and alternates are filled in whole"),
    ({"allowance_amount_2": 100}, "Allowances and alternates are filled in whole"),
    ({"alternate_cost_4": -100}, "Allowances and alternates are filled in whole"),
    ({"alternate_accepted_1": "yes"}, "Allowances and alternates are filled in whole"),
    ({"revision_number_1": "A"}, "Revisions have a number, a date and what changed"),
    ({"revision_number_2": "A", "revision_date_2": "2026-03-02"}, "Revisions have a number, a date and what changed"),
]


@pytest.mark.parametrize(("changes", "rule"), UNFINISHED)
@pytest.mark.parametrize("name", NAMES)
def test_a_row_left_unfinished_fails(name, changes, rule):
    assert rule in [check.rule for check in calculated(name, "US", changes)[1].failed]


def test_a_change_without_cost_is_whole():
    job, report = calculated("booth-estimate", "US", {"alternate_text_1": "another colour"})
    assert "1. another colour | no change" in said(job, "Proposal", "Total")
    assert not report.failed


REFUSED = [
    ({"allowance_for_1": "x" * 61}, "allowance_for_1 has 61 characters: give at most 60"),
    ({"allowance_amount_1": -1}, "allowance_amount_1 is -1: give 0 to 999999"),
    ({"alternate_accepted_1": "maybe"}, 'alternate_accepted_1 "maybe" is not known: give one of "yes", "no"'),
    ({"revision_number_1": "x" * 9}, "revision_number_1 has 9 characters: give at most 8"),
    ({"revision_date_1": "soon"}, 'revision_date_1 "soon" is not a date'),
]


@pytest.mark.parametrize(("changes", "message"), REFUSED)
def test_a_bad_row_is_refused_in_words(changes, message):
    job = Job.open(template("booth-estimate").path("US"))
    with pytest.raises(InputError, match="^" + message.replace("(", r"\(")):
        job.set(changes)


def test_the_tables_are_carried_and_compared(tmp_path):
    job = shipped("booth-estimate", "US")
    job.set({**FILLED, **REVISED})
    job.save(tmp_path / "old.xlsx")
    carried = carry(tmp_path / "old.xlsx", template("booth-estimate").path("SI"), tmp_path / "new.xlsx")
    names = {entry.name for entry in carried.carried}
    assert {*FILLED, *REVISED} <= names
    new = Job.open(tmp_path / "new.xlsx")
    assert all(new.inputs[name].value == job.inputs[name].value for name in (*FILLED, *REVISED))
    job.set({"alternate_cost_4": -450, "revision_number_3": "C"})
    job.calculate()
    job.save(tmp_path / "later.xlsx")
    moved = {found.name for found in compare(tmp_path / "old.xlsx", tmp_path / "later.xlsx").of("input")}
    assert moved == {"alternate_cost_4", "revision_number_3"}
