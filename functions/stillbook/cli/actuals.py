"""``stillbook actuals``: what a finished job cost, and what was measured in it, beside its estimate."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import click

from stillbook.cli.outcome import Outcome, Reporting
from stillbook.cli.prompts import someone_is_there
from stillbook.cli.screen import heading, rounded, say, show_table
from stillbook.cli.shapes import Actuals
from stillbook.cli.workbooks import FILE, own_job, tell_versions

if TYPE_CHECKING:
    from stillbook.office.actuals.booked import Beside
    from stillbook.office.actuals.into_prices import Taken
    from stillbook.office.actuals.measured import Measured
    from stillbook.office.actuals.proposals import Proposal, Strayed

JOBS_BEHIND: Final = 3
"""How many finished jobs a price should have behind it before it is taken."""


@click.command(
    "actuals", cls=Reporting, gives=Actuals, short_help="Keep what a finished job cost, beside its estimate."
)
@click.argument("job", type=FILE)
@click.argument("books", type=FILE, required=False, metavar="[FILE]")
@click.option("--measured", type=FILE, metavar="FILE", help="What was measured in the room: what, band, value.")
@click.option("--keep", type=FILE, metavar="FILE", help="Where finished jobs are kept, if not with your templates.")
@click.option("--trial", is_flag=True, help="Only compare and propose; nothing is kept.")
@click.option("--into", type=FILE, metavar="BOOK", help="Take proposals into a price book, once you say so.")
@click.option("--yes", is_flag=True, help="Take them without being asked.")
@click.option(
    "--jobs-behind",
    type=click.IntRange(1),
    default=JOBS_BEHIND,
    show_default=True,
    help="Take only what so many finished jobs propose.",
)
def command(
    job: Path,
    books: Path | None,
    measured: Path | None,
    keep: Path | None,
    trial: bool,
    into: Path | None,
    yes: bool,
    jobs_behind: int,
) -> Outcome:
    """Compare FILE, what the finished JOB cost, with its estimate, and keep both for the next estimate.

    FILE is CSV from any bookkeeping, with the columns code, quantity, hours and money: quantity in the unit of the
    line, hours of your own people, money paid for material and to others. A code may be that of a line, or the name of
    a trade where no code was written down.

    What was measured is CSV too, with the columns what, band and value: level difference and level at the seat by
    octave; noise at the seat, airflow, CO2, STC, NIC, DnT,w, or the name of a result, without a band. Level outside and
    level inside by third octave, with background inside and reverberation time where known, are rated NIC and DnT,w. A
    value may carry its unit; what cannot have been measured is refused, and nothing is kept.

    Finished jobs are kept in one file on this computer. Together they propose unit costs and rates of work, and tell
    how far quantities, hours and measurements strayed; no price changes unless you ask for it with --into. The JOB
    stays as it is.
    """
    from stillbook.office.actuals import into_prices
    from stillbook.office.actuals.booked import beside, read_booked
    from stillbook.office.actuals.measured import beside_predictions, read_measured
    from stillbook.office.actuals.proposals import proposals, strayed
    from stillbook.office.actuals.store import PastJob, default_place, past_jobs
    from stillbook.workbook.job.estimate import Job
    from stillbook.workbook.job.lines import currency_of, unit_system

    if books is None and measured is None:
        raise click.UsageError("give FILE, what the job cost, or --measured FILE, or both")
    if yes and into is None:
        raise click.UsageError("--yes goes with --into BOOK")
    tell_versions(job)
    opened = Job.open(job)
    booked = read_booked(books) if books else None
    readings = read_measured(measured, opened) if measured else []
    report = opened.calculate()
    each, trades = beside(job, opened.package, booked) if booked is not None else ([], [])
    things = beside_predictions(readings, opened, report.results)
    units, currency = unit_system(opened.package), currency_of(opened.package)
    project = opened.inputs["project"].value if "project" in opened.inputs else None
    place = keep or default_place()
    with past_jobs(None if trial and not place.exists() else place, write=not trial) as kept:
        replaced = kept.keep(
            PastJob(str(job.resolve()), str(project or ""), opened.origin.template, units, currency),
            each if books else None,
            things if measured else None,
        )
        found = proposals(kept.lines(units, currency), [one.code for one in each if one.booked])
        spread = strayed(kept.measured(units))
    taken: list[Taken] = []
    if into is not None:
        book = own_job(into)
        taken = into_prices.take_into(book, found, jobs_behind, units, currency)
        if taken and (yes or _agreed(into, taken)):
            book.save()
        else:
            taken = []

    def show() -> None:
        heading(f"{job}: {'what it cost' if books else 'what was measured'}")
        _show_costs(each, trades, currency)
        _show_measured(things, spread)
        _show_proposals(found)
        _show_kept(place, trial, replaced)
        if into is not None:
            _show_taken(into, taken, jobs_behind)

    def data() -> Mapping[str, Any]:
        return {
            "file": job,
            "currency": currency,
            "lines": [_line(one) for one in each],
            "trades": [_line(one) for one in trades],
            "measured": [{**asdict(one), "error": one.error} for one in things],
            "strayed": [asdict(one) for one in spread],
            "proposals": [asdict(one) for one in found],
            "kept": None if trial else place.absolute(),
            "replaced": replaced,
            "taken": [asdict(one) for one in taken],
        }

    return Outcome(show, data)


def _agreed(into: Path, taken: Sequence[Taken]) -> bool:
    """Whether the person at the terminal wants these prices; nobody there is no."""
    if not someone_is_there():
        return False
    _show_prices(taken)
    return click.confirm(f"Take these into {into}?", default=False)


def _line(one: Beside) -> Mapping[str, Any]:
    names = ("code", "text", "trade", "unit", "quantity", "hours", "money", "labour", "cost", "actual")
    return {**{name: getattr(one, name) for name in names}, "booked": asdict(one.booked) if one.booked else None}


def _show_costs(each: Sequence[Beside], trades: Sequence[Beside], currency: str) -> None:
    told = [one for one in each if one.booked]
    if told:
        rows = [
            (
                one.code,
                _pair(one.quantity, one.booked.quantity if one.booked else None),
                one.unit,
                _pair(one.hours, one.booked.hours if one.booked else None),
                _pair(one.cost if one.trade else None, one.actual),
                _more(one.cost, one.actual),
            )
            for one in told
        ]
        heads = ("Code", "Quantity", "Unit", "Hours", f"Cost, {currency}", "More")
        show_table(heads, rows, right=("Quantity", "Hours", heads[4], "More"))
        say("Each as estimated > as it came out. Hours cost what they cost in the estimate.")
    if told and (missing := [one.code for one in each if one.trade and not one.booked]):
        say(f"Nothing booked, and by trade taken as nothing spent: {', '.join(missing)}.")
    if strange := [one.code for one in told if not one.trade]:
        say(f"Not in the estimate: {', '.join(strange)}.")
    if any(one.booked for one in trades):
        say()
        by_trade = [
            (
                one.trade,
                _pair(one.hours, one.booked.hours if one.booked else None),
                _pair(one.cost, one.actual),
                _more(one.cost, one.actual),
            )
            for one in trades
        ]
        names = ("Trade", "Hours", f"Cost, {currency}", "More")
        show_table(names, by_trade, right=names[1:])


def _show_measured(things: Sequence[Measured], spread: Sequence[Strayed]) -> None:
    from stillbook.office.actuals.measured import in_words

    if things:
        say()
        of = {(one.what, one.band, one.unit): one for one in spread}
        rows = []
        for one in things:
            all_jobs = of[one.what, one.band, one.unit]
            deviation = "" if all_jobs.spread is None else f" ± {rounded(all_jobs.spread)}"
            rows.append(
                (
                    f"{in_words(one.what)}{f', {one.band} Hz' if one.band else ''}",
                    f"{rounded(one.predicted)} > {rounded(one.value)}",
                    one.unit,
                    f"{all_jobs.mean:+.3g}{deviation}",
                    str(all_jobs.jobs),
                )
            )
        show_table(("Measured", "Here", "Unit", "All jobs", "Jobs"), rows, right=("Here", "All jobs", "Jobs"))
        say("Here as predicted > as measured. All jobs: mean of measured less predicted, and its standard deviation.")
        say("What published walls say of the predictions: STILL_PREDICTIONRECORD().")


def _show_proposals(found: Sequence[Proposal]) -> None:
    if found:
        say()
        rows = [
            (one.code, one.what, rounded(one.likely), f"{rounded(one.low)} to {rounded(one.high)}", str(one.jobs))
            for one in found
        ]
        show_table(("Code", "Finished jobs propose", "Likely", "From to", "Jobs"), rows, right=("Likely", "Jobs"))


def _show_prices(taken: Sequence[Taken]) -> None:
    rows = [(one.code, one.what, rounded(one.before), rounded(one.after), str(one.jobs)) for one in taken]
    show_table(("Code", "Price", "Before", "Now", "Jobs"), rows, right=("Before", "Now", "Jobs"))


def _show_kept(place: Path, trial: bool, replaced: bool) -> None:
    say()
    if trial:
        say("Nothing is kept: this was a trial.")
    else:
        say(f"Kept in {place}{', in the place of what was kept of this job before' if replaced else ''}.")


def _show_taken(into: Path, taken: Sequence[Taken], jobs_behind: int) -> None:
    if taken:
        say(f"Taken into {into}:")
        _show_prices(taken)
    else:
        least = f"{jobs_behind} finished {'job' if jobs_behind == 1 else 'jobs'}"
        say(f"{into} is as it was: nothing with {least} behind it was new, or it was not agreed to (--yes).")


def _pair(estimated: float | None, actual: float | None) -> str:
    return f"{rounded(estimated) or '-'} > {rounded(actual) or '-'}"


def _more(estimated: float, actual: float | None) -> str:
    return f"{100 * (actual / estimated - 1):+.0f} %" if estimated > 0 and actual is not None else ""
