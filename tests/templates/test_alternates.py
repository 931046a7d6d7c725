"""Allowances, alternates and revisions of the estimates: what they do to the price, and what the pages say of them."""

import pytest

from stillbook.office.carry import carry
from stillbook.office.compare import compare
from stillbook.templates.shipped import template
from stillbook.workbook.file.address import Area, read_cell
from stillbook.workbook.job.estimate import Job
from stillbook.workbook.job.inputs import InputError
from templates.columns import calculated, put, shipped, values

NAMES = ["booth-estimate", "room-conversion"]
EACH = [(name, system) for name in NAMES for system in ("US", "SI")]


def made(name, system, changes):
    return calculated(name, system, changes)[0]


def value(job, name):
    sheet, area = next(found.cells for found in job.package.names if found.name == name)
    return job.package.value(sheet, area.first_row, area.first_column)


def said(job, sheet, after, before=""):
    """The words of a sheet's rows from one label to another, row by row, blank ones as empty texts."""
    rows = [[cell for cell in row if cell is not None] for row in job.package.rows(sheet, Area(1, 2, 140, 8))]
    labels = [row[0] if row else "" for row in rows]
    start = labels.index(after) + 1
    return [" | ".join(map(str, row)) for row in rows[start : labels.index(before, start) if before else None]]


def options(job):
    """What each option of the proposal says, from its words to where it is marked."""
    rows = job.package.rows("Proposal", Area(1, 2, 140, 6))
    first = next(place for place, row in enumerate(rows) if row[0] in ("Options", "No options with this price"))
    return [tuple(told) for told in zip(*rows[first + 1 : first + 5], strict=True) if any(told)]


REVISED = {
    "revision_number_1": "A", "revision_date_1": "2026-03-02", "revision_change_1": "first issue",
    "revision_number_3": "B", "revision_date_3": "2026-03-09", "revision_change_3": "one heavy door",
    "revision_by_3": "Invented office", "estimate_date": "2026-03-01",
}  # fmt: skip
FILLED = {
    **REVISED,
    "allowance_for_1": "floor finish", "allowance_amount_1": 1200, "allowance_for_3": "lamps", "allowance_amount_3": 350.5,
    "allowance_for_4": "taps", "allowance_amount_4": 49.5,
    "alternate_text_2": "limp sheet in the outer leaf", "alternate_cost_2": 1000,
    "alternate_text_4": "client paints", "alternate_cost_4": -400, "alternate_accepted_4": "yes",
}  # fmt: skip


# Overhead 12 %, contingency 5 %, margin 20 % of the price; tax 0 in the US and 20 % in the SI template, as shipped:
# 1000 × 1.12 × 1.05 ÷ 0.8 = 1470, with tax 1764. A deduction of 400: 588, with tax 705.60. What is not accepted counts
# for nothing; its amounts are others than those beside it, so that it shows where it is counted. A date moves no price.
DATED = {
    "alternate_text_3": "paint", "alternate_cost_3": 1000, "alternate_accepted_3": "yes",
    "alternate_text_4": "no paint", "alternate_cost_4": -400, "alternate_accepted_4": "yes", "estimate_date": "2026-03-01",
}  # fmt: skip
SHIFTS = [
    ({"allowance_for_1": "floor", "allowance_amount_1": 1000,
      "allowance_for_2": "floor", "allowance_amount_2": 600, "allowance_for_4": "lamps", "allowance_amount_4": 400,
      "alternate_text_1": "paint", "alternate_cost_1": 3000,
      "alternate_text_2": "paint", "alternate_cost_2": 7000, "alternate_accepted_2": "no"}, 2 * 1470.0),
    (DATED, 1470.0 - 588.0),
    (FILLED, 1.47 * (1200 + 350.5 + 49.5 - 400)),
]  # fmt: skip


@pytest.mark.parametrize(("name", "system"), EACH)
@pytest.mark.parametrize(("changes", "shift"), SHIFTS)
def test_the_price_moves_by_the_steps_of_the_whole_job(name, system, changes, shift):
    plain, changed = shipped(name, system), made(name, system, changes)
    tax = {"US": 1.0, "SI": 1.2}[system]
    assert value(changed, "price") - value(plain, "price") == pytest.approx(shift * tax)
    for price in ("price_pair", "price_single"):
        assert value(changed, price) - value(plain, price) == pytest.approx(shift * tax)
    assert value(changed, "direct_cost") == pytest.approx(value(plain, "direct_cost"))
    assert value(changed, "price_before_tax") - value(plain, "price_before_tax") == pytest.approx(shift)


@pytest.mark.parametrize(("name", "system"), EACH)
def test_the_last_revision_stands_beside_the_date(name, system):
    job = made(name, system, FILLED)
    assert value(job, "revision") == "B"
    assert ("Revision", "B") in [tuple(row) for row in job.package.rows("Start", Area(1, 6, 40, 7))]
    for sheet in ("Proposal", "Scope"):
        rows = job.package.rows(sheet, Area(1, 2, 12, 3))
        assert ("Date", "2026-03-01, revision B of 2026-03-09") in [tuple(row) for row in rows]
    plain = made(name, system, DATED)
    assert value(plain, "revision") == ""
    assert ("Date", "2026-03-01") in [tuple(row) for row in plain.package.rows("Proposal", Area(1, 2, 12, 3))]


@pytest.mark.parametrize("name", NAMES)
def test_the_proposal_says_each_and_leaves_no_gap(name):
    job = made(name, "SI", FILLED)
    lines = said(job, "Proposal", "Total", "Programme")
    first = lines.index("Allowances in the price; any difference is settled at cost: | ")
    assert lines[first : first + 5] == [
        "Allowances in the price; any difference is settled at cost: | ",
        "– floor finish | 1,200 EUR",
        "– lamps | 350.50 EUR",
        "– taps | 49.50 EUR",
        "Also included in the price: | ",
    ]
    told = [bool(line.strip(" |")) for line in lines[first:]]
    assert told == sorted(told, reverse=True)
    first_option, second = options(job)
    price = value(job, "price")
    assert first_option[:4] == (
        "1. limp sheet in the outer leaf",
        "add 1,764 EUR",
        f"total {price + 1764:,.2f}",
        "initials: __________",
    )
    assert second[:4] == ("2. client paints", "deduct 705.60 EUR", "accepted: in the total", "")


@pytest.mark.parametrize("name", NAMES)
def test_the_scope_says_what_is_chosen_later_without_its_amount(name):
    lines = left(made(name, "US", FILLED))
    first = lines.index("Chosen later, with a sum for it in our price. Please do not price it:")
    assert lines[first : first + 8] == [
        "Chosen later, with a sum for it in our price. Please do not price it:",
        "– floor finish",
        "– lamps",
        "– taps",
        "Changed: price it in lines of your own, or say what it saves:",
        "– client paints",
        "Done by others. Please do not price it:",
        "– Fire detection or sprinkler",
    ]
    assert lines[first - 1] == "Chosen later, changed, done by others"
    bare = left(shipped(name, "US"))
    assert not any(line.startswith(("Chosen later, with", "Changed:")) for line in bare)


EASY = {"stc_target": 35, "nc_target": 45, "next_target": 60, "outdoor_target": 60, "single_makeup_count": 2}
"""Targets that one door of two sheets keeps too."""

LIGHT = {"booth-estimate": {**EASY, "inner_count_1": 1, "outer_count_1": 1}, "room-conversion": EASY}


@pytest.mark.parametrize("name", NAMES)
def test_without_any_the_proposal_offers_the_other_doors_alone_and_leaves_no_gap(name):
    job = made(name, "US", LIGHT[name])
    lines = said(job, "Proposal", "Total", "Programme")
    first = lines.index("Also included in the price: | ")
    assert lines[first - 1] == ""
    assert not any("llowance" in line or "accepted" in line for line in lines)
    told = [bool(line.strip(" |")) for line in lines[first:]]
    assert told == sorted(told, reverse=True)
    doors, *others = options(job)
    stc, reach = value(job, "other_doors_stc"), 8  # reach of one door in the project's own record of predictions
    assert doors[0] == (
        f"One heavy door instead of the pair: STC {stc - reach:.0f} to {stc + reach:.0f} "
        f"instead of {value(job, 'stc_from_to')} (predicted)"
    )
    less = value(job, "price") - value(job, "price_single")
    assert doors[1] == f"deduct {less:,.2f} USD"
    assert doors[2] == f"total {value(job, 'price_single'):,.2f}"
    assert others == []
    _, report = calculated(name, "US", {**LIGHT[name], "door_choice": "single"})
    assert not [
        check.rule for check in report.denied if "oor" in check.rule or "solation" in check.rule or "eard" in check.rule
    ]


DENIED = [
    {"stc_target": 50},
    {"nc_target": 25},
    {"next_target": 30},
    {"single_makeup_count": 3},
]


@pytest.mark.parametrize("denied", DENIED)
def test_doors_that_a_check_would_deny_are_no_option(denied):
    """What isolates less is offered with 5 dB to spare, and no door over 200 lb."""
    assert options(made("booth-estimate", "US", {**LIGHT["booth-estimate"], **denied})) == []


@pytest.mark.parametrize("name", NAMES)
def test_doors_that_come_in_one_arrangement_alone_are_no_option(name):
    job = made(name, "US", {"single_makeup_count": 0})
    assert options(job) == []
    assert "No options with this price | " in said(job, "Proposal", "Total")


@pytest.mark.parametrize(
    ("system", "words"), [("US", "as described"), ("SI", "as described: {0:,.2f} and tax {1:,.2f}")]
)
def test_tax_is_told_where_there_is_one(system, words):
    job = shipped("booth-estimate", system)
    rows = job.package.rows("Proposal", Area(1, 2, 60, 6))
    total = next(row for row in rows if row[0] == "Total")
    assert total[1] == words.format(value(job, "price_before_tax"), value(job, "tax_amount"))
    assert total[4] == pytest.approx(value(job, "price"))
    assert "Tax" not in [row[0] for row in rows]


def left(job):
    """What stands at the left between the cautions of the scope and its lines."""
    rows = [row[0] or "" for row in job.package.rows("Scope", Area(1, 2, 140, 2))]
    return rows[rows.index("Please note") + 1 : rows.index("Lines to be priced")]


def test_words_typed_in_the_tables_stay_words():
    typed = {
        "allowance_for_1": "=1+1", "allowance_amount_1": 5, "alternate_text_1": "@SUM(A1)", "alternate_cost_1": 5,
        "alternate_accepted_1": "yes", "revision_number_1": "=2", "revision_date_1": "2026-03-02",
        "revision_change_1": "-3", "revision_by_1": "+x",
    }  # fmt: skip
    job = made("booth-estimate", "US", typed)
    proposal = said(job, "Proposal", "Total")
    assert "– =1+1 | 5 USD" in proposal
    assert options(job)[0][:3] == ("1. @SUM(A1)", "add 7.35 USD", "accepted: in the total")
    assert "– =1+1" in left(job)
    assert value(job, "revision") == "=2"
    for name, given in typed.items():
        assert job.inputs[name].value == given or name == "revision_date_1"
        assert read_cell(job.inputs[name].cell) not in job.package.sheet(job.inputs[name].sheet).formulas


# An alternate that costs nothing, and addresses, which have nothing to do with it.
ADDRESSED = {
    "alternate_text_1": "another colour",
    "alternate_cost_1": 0,
    "client_address": "3 Sample Road",
    "office_address": "12 Example Street",
    "prepared_by": "Office",
    "client": "C",
}


def test_addresses_stand_in_the_head_where_they_are_known():
    plain = shipped("booth-estimate", "US").package.rows("Proposal", Area(4, 2, 11, 6))
    assert "Address" not in [row[0] for row in plain]
    rows = made("booth-estimate", "US", ADDRESSED).package.rows("Proposal", Area(4, 2, 11, 6))
    assert [row[:2] for row in rows[:2]] == [["For", "C"], ["Address", "3 Sample Road"]]
    assert [row[3] for row in rows if row[3]] == ["Office", "12 Example Street"]


def test_a_change_without_cost_is_whole():
    job, report = calculated("booth-estimate", "US", ADDRESSED)
    assert options(job)[0][:2] == ("1. another colour", "no change")
    assert not report.failed


@pytest.mark.parametrize("name", NAMES)
def test_what_has_no_amount_is_offered_at_none(name):
    job = made(name, "US", {"alternate_text_1": "paint", "alternate_accepted_1": "yes", "allowance_for_1": "lamps"})
    assert options(job) == []
    assert "– lamps | (amount not filled in)" in said(job, "Proposal", "Total")
    rows = job.package.rows("Proposal", Area(1, 2, 80, 3))
    assert "alternates" not in next(row[1] for row in rows if row[0] == "Total")


def test_other_doors_with_a_line_to_mend_are_no_option():
    """Without the cost of their seals they would be offered too cheap, and better seals for nothing."""
    job = shipped("booth-estimate", "US")
    job.set(LIGHT["booth-estimate"])
    put(job, "price_costs", values(job, "price_codes").index("SEALS"), None)
    assert "Lines without a valid price" in {check.rule for check in job.calculate().failed}
    assert options(job) == []
    rows = job.package.rows("Isolation", Area(1, 3, 90, 20))
    assert [row[-1] for row in rows if "Seals that close half the gap left" in row] == [""]


UNFINISHED = {
    "Allowances and alternates are filled in whole": [
        {"allowance_for_1": "floor"},
        {"allowance_amount_2": 100},
        {"alternate_cost_4": -100},
        {"alternate_accepted_1": "yes"},
        {"alternate_text_3": "paint"},
    ],
    "Revisions have a number, a date and what changed": [
        {"revision_number_1": "A"},
        {"revision_number_2": "A", "revision_date_2": "2026-03-02"},
        {},
        {},
        {},
    ],
}
"""Rows left unfinished, by the rule that they break: one of each in a job, and in some of the second none."""

HEADS = [
    ({}, ["", ""]),
    ({"reference": "R1"}, ["Reference", ""]),
    ({"prepared_by": "Office"}, ["Prepared by", ""]),
    ({"reference": "R1", "prepared_by": "Office"}, ["Reference", "Prepared by"]),
    ({"reference": "R2"}, ["Reference", ""]),
]
"""What is filled in of the head of the proposal in those jobs, and its labels."""

ROWS = [*zip(*UNFINISHED.values(), HEADS, strict=True)]


@pytest.mark.parametrize(("allowance", "revision", "head"), ROWS)
@pytest.mark.parametrize("name", NAMES)
def test_a_row_left_unfinished_fails(name, allowance, revision, head):
    failed = {check.rule for check in calculated(name, "US", allowance | revision | head[0])[1].failed}
    assert failed & UNFINISHED.keys() == {
        rule for rule, row in zip(UNFINISHED, (allowance, revision), strict=True) if row
    }


@pytest.mark.parametrize(("allowance", "revision", "head"), ROWS)
def test_a_blank_reference_leaves_no_label_and_no_gap(allowance, revision, head):
    filled, labels = head
    rows = made("booth-estimate", "US", allowance | revision | filled).package.rows("Proposal", Area(1, 2, 12, 3))
    date = next(place for place, row in enumerate(rows) if row[0] == "Date")
    assert [row[0] for row in rows[date + 1 : date + 4]] == ["Valid until", *labels]


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
    job.set(FILLED)
    job.save(tmp_path / "old.xlsx")
    carried = carry(tmp_path / "old.xlsx", template("booth-estimate").path("SI"), tmp_path / "new.xlsx")
    names = {entry.name for entry in carried.carried}
    assert FILLED.keys() <= names
    new = Job.open(tmp_path / "new.xlsx")
    assert all(new.inputs[name].value == job.inputs[name].value for name in FILLED)
    job.set({"alternate_cost_4": -450, "revision_number_3": "C"})
    job.calculate()
    job.save(tmp_path / "later.xlsx")
    moved = {found.name for found in compare(tmp_path / "old.xlsx", tmp_path / "later.xlsx").of("input")}
    assert moved == {"alternate_cost_4", "revision_number_3"}
