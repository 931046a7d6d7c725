"""What the checks of a shipped template say once something in it is changed."""

from stillbook.workbook.file.address import read_cell
from stillbook.workbook.file.sheet import Change
from templates.columns import calculated, values


def advice_after(name, changes):
    """The advice of each check that fails once inputs are changed, by its rule."""
    _, report = calculated(name, "US", changes)
    return {check.rule: check.advice for check in report.failed}


def together_broken(breached):
    """The changes that break several rules in one workbook; no two of them give one input two values."""
    changes = {}
    for broken in breached.values():
        assert all(changes.get(name, value) == value for name, value in broken.items())
        changes |= broken
    return changes


def unmet(report):
    """The state of each check that does not pass, by its rule."""
    return {check.rule: check.state for check in report.checks if check.state != "passes"}


def assert_unknown_is_an_error(job, name, value):
    """See that a value typed past the lists of an input is refused, an error that names it, and an error of a check."""
    entry = job.inputs[name]
    job.write({entry.sheet: {read_cell(entry.cell): Change(value)}})
    report = job.calculate()
    assert any(value in refused.reason for refused in report.refused)
    assert any(value in error.reason for error in report.errors)
    assert any(check.state == "error" for check in report.checks)


def assert_second_row(state, job, report):
    """See that the second row of a schedule says it waits or is an error, and that the checks deny it."""
    assert values(job, "row_states")[1] == state
    inputs = next(check for check in report.checks if check.rule == "Every row has its inputs")
    errors = next(check for check in report.checks if check.rule == "Rows with a cell in error")
    assert inputs.state == ("waits" if state == "Waits" else "passes")
    assert errors.state == ("fails" if state == "Error" else "passes")
    if state == "Waits":
        assert inputs.advice == "See the Row checks sheet, and fill in what is blank, first in row 2."
