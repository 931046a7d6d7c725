"""What a calculated workbook says, in the terminal: results, checks, inputs to be filled in, error cells."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from stillbook.cli.failures import ERROR_IN_RESULT, FINE
from stillbook.cli.outcome import Outcome
from stillbook.cli.screen import heading, rounded, say, show_table

if TYPE_CHECKING:
    from stillbook.cli.shapes import Taken
    from stillbook.workbook.calculation.recalculate import ErrorCell
    from stillbook.workbook.job.estimate import Job, Report

SOME: Final = 8
"""How many cells of a sheet are named that take their error from another cell."""

_STATES: Final = {"passes": "pass", "fails": "fail", "error": "cannot be judged", "waits": "wait for an input"}


def finish(job: Job, path: Path, taken: Taken | None = None) -> Outcome:
    """Calculate a new estimate and save it: what it gives and where it is. A failing check is no fault of it."""
    report = job.calculate()
    job.save(path)

    def show() -> None:
        _show(path, report)
        say(f"\nThe workbook is {path.absolute()}")

    return Outcome(
        show,
        lambda: {**_data(path, report), "written": path.absolute(), "taken": taken},
        ERROR_IN_RESULT if report.errors or report.refused else FINE,
    )


def summary(path: Path, report: Report) -> Outcome:
    """What a calculated workbook says."""
    code = FINE if report.stands else ERROR_IN_RESULT
    return Outcome(lambda: _show(path, report), lambda: _data(path, report), code)


def _data(path: Path, report: Report) -> Mapping[str, Any]:
    """What a calculated workbook says, for a program."""
    from dataclasses import asdict

    return {
        "file": path,
        "stands": report.stands,
        "formulas": report.formulas,
        "results": [{name: getattr(result, name) for name in result.__slots__} for result in report.results],
        "checks": [asdict(check) for check in report.checks],
        "missing": report.missing,
        "refused": [{"cell": each.place, "error": "input", "reason": each.reason} for each in report.refused],
        "errors": [{"cell": each.place, "error": str(each.code), "reason": each.reason} for each in report.errors],
        "consequences": report.consequences,
        "read": report.read,
    }


def _show(path: Path, report: Report) -> None:
    """Print what a calculated workbook says."""
    heading(f"{path}: {report.formulas} formulas calculated")
    for line in report.read:
        say(f"Read: {line}")
    if report.refused:
        say("To be put right first, since all that follows stands on it:")
        for entry in report.refused:
            say(f"  {entry.place}: {entry.reason}")
    if report.results:
        rows = [
            (r.label, rounded(r.value) or "–", r.unit if isinstance(r.value, int | float) else "")
            for r in report.results
        ]
        show_table(("Result", "Value", "Unit"), rows, right=("Value",))
    if report.checks:
        states = [check.state for check in report.checks]
        say("Checks: " + ", ".join(f"{states.count(s)} {word}" for s, word in _STATES.items() if s in states))
        from_inputs = bool(report.refused) and report.consequences == len(report.errors)
        for check in report.denied:
            if check.state != "error" or not from_inputs:
                say(f"  {'error' if check.state == 'error' else 'fails'}: {check.rule}: {check.advice}")
        if from_inputs and (unjudged := states.count("error")):
            say(f"  {unjudged} cannot be judged until what is above is put right.")
        for check in report.checks:
            if check.state == "waits":
                say(f"  waits for {', '.join(check.waits_for) or 'an input'}: {check.rule}")
    if report.missing:
        say(f"To be filled in: {', '.join(report.missing)}")
    direct = report.errors[: len(report.errors) - report.consequences]
    if direct:
        _show_errors(direct)
    if (count := report.consequences) > 0:
        say(f"{count} {'cell shows an error that comes' if count == 1 else 'cells show errors that come'} from inputs.")
    if report.lost:
        say(
            f"Programs without the formulas will show an error in {_some(report.lost, 3)}: call our formulas there in "
            "an ordinary formula that gives a number or a text, such as =INDEX(…,1,1)."
        )


def _show_errors(errors: Sequence[ErrorCell]) -> None:
    """Print the cells that are wrong themselves with their reasons, then those that take an error from another cell."""
    from stillbook.workbook.calculation.reasons import FOLLOWS

    following: dict[str, list[str]] = {}
    causes: dict[tuple[str, str], list[str]] = {}
    for error in errors:
        if error.reason.startswith(FOLLOWS):
            following.setdefault(error.sheet, []).append(error.cell)
        else:
            causes.setdefault((str(error.code), error.reason), []).append(error.place)
    say(f"{len(errors)} {'cell shows' if len(errors) == 1 else 'cells show'} an error:")
    show_table(("Cell", "Error", "Reason"), [(_some(places, 1), *cause) for cause, places in causes.items()])
    if following:
        count = sum(map(len, following.values()))
        say(f"{count} of them {'takes' if count == 1 else 'take'} it from another cell:")
        show_table((), [(f"  {sheet}", _some(cells, SOME)) for sheet, cells in following.items()])


def _some(places: Sequence[str], most: int) -> str:
    """The first few of many places."""
    more = f" and {len(places) - most} more" if len(places) > most else ""
    return ", ".join(places[:most]) + more
