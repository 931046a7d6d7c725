"""The Checks sheet: what fails stands first, says its value and its limit with units, and tells them apart."""

import pytest

from stillbook.workbook.file.address import read_cell
from stillbook.workbook.file.sheet import Change
from stillbook.workbook.job.lines import column
from templates.columns import calculated, named, shipped

COLUMNS = 5


def rows_of(job):
    """All rows of the sheet as it is printed: rule, what it is, what it has to be, state, what to do."""
    rows = [[job.package.value("Checks", row, 2 + offset) for offset in range(COLUMNS)] for row in range(1, 120)]
    head = next(number for number, row in enumerate(rows) if row[:4] == ["Rule", "Is", "Has to be", "State"])
    return rows[head + 1 :]


def shown(name, system, changes):
    """The rows of the sheet that are asked, and the report."""
    job, report = calculated(name, system, changes)
    return report, rows_of(job)[: len(report.checks)]


STATES = ("Fails", "Error", "Waits", "Passes")
"""Of what is asked, in the order in which it stands."""

BROKEN = {"seal_share": 0.5, "nc_target": 15, "source_level": 110, "door_width": 31.96, "duct_lining": 0.5}
"""What no room stands with."""


@pytest.mark.parametrize("name", ["booth-estimate", "room-conversion"])
def test_what_fails_stands_first_and_nothing_is_lost(name):
    report, rows = shown(name, "US", BROKEN)
    states = [STATES.index(row[3]) for row in rows]
    assert states == sorted(states)
    assert states[0] == STATES.index("Fails")
    assert sorted(row[0] for row in rows) == sorted(check.rule for check in report.checks)
    assert [row[0] for row in rows if row[3] == "Fails"] == [check.rule for check in report.failed]
    assert [row[4] for row in rows if row[3] == "Fails"] == [check.advice for check in report.failed]
    assert not any(row[4] for row in rows if row[3] == "Passes")


# What a job may do without, with what brings it in: not asked of the first, judged in the second. Each job lacks several
# things that have nothing to do with each other.
ABSENT = [
    (
        "booth-estimate",
        {"door_choice": "single"},
        {
            "door_choice": "pair",
            "budget": 90000,
            "hearing_tests": "ISO sound field",
            "vision_width": 24,
            "vision_height": 18,
            "air_source": "outdoors with recovery",
        },
        [
            "Price within the client's budget",
            "Hearing tests: level at the seat over the highest",
            "Door: outer door reaches its mass",
            "Vision window: its isolation is known",
            "Recovery ventilator: no frost in its core",
        ],
    ),
    (
        "room-conversion",
        {"window_width": 0},
        {"ceiling_fixing": "isolation clips", "ceiling_capacity": 20},
        ["Load hung from the structure above", "Window: gap to the new pane"],
    ),
]


@pytest.mark.parametrize(
    ("name", "without", "with_it", "rule"),
    [(name, without, with_it, rule) for name, without, with_it, rules in ABSENT for rule in rules],
)
def test_what_the_job_does_not_have_counts_for_nothing(name, without, with_it, rule):
    job, told = calculated(name, "US", without)
    assert rule not in {check.rule for check in told.checks}
    row = next(row for row in rows_of(job) if row[0] == rule)
    assert [text or "" for text in row[1:]] == ["", "", "Not asked", ""]
    counted = named(job)
    assert counted["checks_passed"] == sum(check.state == "passes" for check in told.checks)
    assert counted["checks_denied"] == len(told.denied)
    assert counted["checks_waiting"] == sum(check.state == "waits" for check in told.checks)
    assert rule in {check.rule for check in calculated(name, "US", with_it)[1].checks}


def test_an_error_in_what_a_rule_is_asked_by_is_an_error():
    job = shipped("booth-estimate", "US")
    entry = job.inputs["vision_width"]
    job.write({entry.sheet: {read_cell(entry.cell): Change("wide")}})
    states = {check.rule: check.state for check in job.calculate().checks}
    assert states["Vision window: its isolation is known"] == "error"


@pytest.mark.parametrize(
    ("system", "changes", "rule", "found", "wanted"),
    [
        ("US", BROKEN, "Door: clear width", None, "at least 32.0 in"),
        ("US", BROKEN, "Heard inside from outside: worst octave over target", None, "at most 0.0 dB"),
        ("US", BROKEN, "Duct lining", "0.50 in", "from 1.50 in to 2 in"),
        ("SI", {"space_length": 2.5}, "The shell fits the space: length", None, "at most 2.50 m"),
        ("US", {"duct_lining": 1.499}, "Duct lining", "1.4990 in", "from 1.5000 in to 2 in"),
    ],
)
def test_a_check_says_its_value_and_its_limit(system, changes, rule, found, wanted):
    _, rows = shown("booth-estimate", system, changes)
    row = next(row for row in rows if row[0] == rule)
    assert row[3] == "Fails"
    assert row[2] == wanted
    if found:
        assert row[1] == found
    assert row[1].split(" ")[-1] == wanted.split(" ")[-1]


@pytest.mark.parametrize("system", ["US", "SI"])
@pytest.mark.parametrize("name", ["booth-estimate", "room-conversion"])
def test_no_number_stands_without_its_unit(name, system):
    rows = [row for row in rows_of(shipped(name, system)) if row[3] in STATES]
    assert rows
    bare = {row[0] for row in rows for text in row[1:3] if text and text.replace(",", "").replace(".", "").isdigit()}
    assert not bare


def test_the_block_that_programs_read_keeps_the_order_of_the_sheets():
    job, report = calculated("booth-estimate", "US", BROKEN)
    first = report.checks[0]
    sheet, area = column(job.package, "checks")
    assert (
        job.package.value(sheet, area.first_row, area.first_column)
        == first.rule
        == "Client, project and date are filled in"
    )
