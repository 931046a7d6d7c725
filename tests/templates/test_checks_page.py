"""The Checks sheet: what fails stands first, says its value and its limit with units, and tells them apart."""

import pytest

from stillbook.workbook.job.lines import column
from templates.columns import shipped

COLUMNS = 5


def shown(name, system, changes):
    """The rows of the sheet as it is printed: rule, what it is, what it has to be, state, what to do."""
    job = shipped(name, system)
    job.set(changes)
    report = job.calculate()
    rows = [[job.package.value("Checks", row, 2 + offset) for offset in range(COLUMNS)] for row in range(1, 120)]
    head = next(number for number, row in enumerate(rows) if row[:4] == ["Rule", "Is", "Has to be", "State"])
    return report, rows[head + 1 : head + 1 + len(report.checks)]


@pytest.mark.parametrize("name", ["booth-estimate", "room-conversion"])
def test_what_fails_stands_first_and_nothing_is_lost(name):
    report, rows = shown(name, "US", {"seal_share": 0.5, "nc_target": 15, "source_level": 110})
    order = {"Fails": 1, "Error": 2, "Waits": 3, "Passes": 4}
    states = [order[row[3]] for row in rows]
    assert states == sorted(states)
    assert states[0] == 1
    assert sorted(row[0] for row in rows) == sorted(check.rule for check in report.checks)
    assert [row[0] for row in rows if row[3] == "Fails"] == [check.rule for check in report.failed]
    assert [row[4] for row in rows if row[3] == "Fails"] == [check.advice for check in report.failed]
    assert not any(row[4] for row in rows if row[3] == "Passes")


@pytest.mark.parametrize(
    ("system", "changes", "rule", "found", "wanted"),
    [
        ("US", {"door_width": 31.96}, "Door: clear width", None, "at least 32.0 in"),
        ("SI", {"space_length": 2.5}, "The shell fits the space: length", None, "at most 2.50 m"),
        (
            "US",
            {"nc_target": 15, "source_level": 110},
            "Heard inside from outside, over the target",
            None,
            "at most 0.0 dB",
        ),
        ("US", {"duct_lining": 0.5}, "Duct lining", "0.50 in", "from 1.50 in to 2 in"),
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
    _, rows = shown(name, system, {})
    bare = {row[0] for row in rows for text in row[1:3] if text and text.replace(",", "").replace(".", "").isdigit()}
    assert not bare


def test_the_block_that_programs_read_keeps_the_order_of_the_sheets():
    job = shipped("booth-estimate", "US")
    first = job.calculate().checks[0]
    sheet, area = column(job.package, "checks")
    assert (
        job.package.value(sheet, area.first_row, area.first_column)
        == first.rule
        == "Client, project and date are filled in"
    )
