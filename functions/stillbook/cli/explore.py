"""``stillbook explore``: many variants of a job, and the best choices among them."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import click

from stillbook.cli import shapes
from stillbook.cli.failures import ERROR_IN_RESULT, FINE, STOPPED
from stillbook.cli.outcome import Outcome, Reporting
from stillbook.cli.screen import echo, progress_bar, rounded, say, show_table
from stillbook.cli.workbooks import FILE

if TYPE_CHECKING:
    from stillbook.office.explore.exploration import Exploration
    from stillbook.office.explore.outcome import Variant

_SOME: Final = 12
"""Checks that are told of those that rule variants out, and best choices."""

_TABLES: Final = (".csv", ".parquet")


@click.command(
    "explore", cls=Reporting, gives=shapes.Exploration, short_help="Try many variants of a job; find the best."
)
@click.argument("job", type=FILE)
@click.argument("out", type=FILE)
@click.option(
    "--vary",
    multiple=True,
    metavar="NAME=VALUES",
    help='An input and its values: "frame_gap=1,2,4", "inner_count_1=1..3", "duct_lining=1..2..0.5", or its name alone '
    "for those that the job marks; semicolons where a value holds a comma. May be repeated.",
)
@click.option(
    "--choices", type=FILE, metavar="FILE", help="Choices of several inputs that go together, from a TOML file."
)
@click.option(
    "--at-least", multiple=True, metavar="RESULT=VALUE", help="What a result has to reach, such as room_stc=55."
)
@click.option("--at-most", multiple=True, metavar="RESULT=VALUE", help="What a result may be, such as floor_load=60.")
@click.option(
    "--within", multiple=True, metavar="WORD", help="Checks with this word, such as space, may not even wait."
)
@click.option(
    "--goal", multiple=True, metavar="RESULT=BEST", help="least or most of a result, in place of the marked goals."
)
@click.option("--most", type=click.IntRange(1), metavar="NUMBER", help="Variants to try; 500 when left out.")
@click.option("--minutes", type=click.FloatRange(0, min_open=True), help="How long to try; the result may then differ.")
@click.option("--resume", is_flag=True, help="Go on with an exploration that was stopped, in place of its OUT.")
@click.option("--table", type=FILE, metavar="FILE", help="The table of variants as .csv or .parquet as well.")
@click.option("--workers", type=click.IntRange(1), help="Processes at work at once; one a processor when left out.")
@click.option("--cluster", default="", metavar="ADDRESS", help="A Dask scheduler whose workers see the same folder.")
def command(
    job: Path,
    out: Path,
    vary: tuple[str, ...],
    choices: Path | None,
    at_least: tuple[str, ...],
    at_most: tuple[str, ...],
    within: tuple[str, ...],
    goal: tuple[str, ...],
    most: int | None,
    minutes: float | None,
    resume: bool,
    table: Path | None,
    workers: int | None,
    cluster: str,
) -> Outcome:
    """Try variants of JOB, each calculated and checked whole, and write the best choices to OUT.

    OUT ends in .xlsx for a workbook with options to show, charts and all variants, or in .csv or .parquet for the table
    alone. A variant that fails a check is ruled out and counted. JOB is never changed. Without --vary and --choices
    the inputs vary that JOB marks. All variants are tried where there are few; else points spread over them, then
    neighbours of the best. Ctrl-C writes what is done, and --resume goes on from there.
    """
    from stillbook.office.explore.exploration import explore
    from stillbook.office.explore.table import check_table, write_table

    question = _question(vary, choices, at_least, at_most, within, goal, most, minutes)
    tables = [path for path in (out, table) if path is not None and path.suffix.lower() in _TABLES]
    if out.suffix.lower() != ".xlsx" and out not in tables:
        raise click.ClickException(f"{out}: give a file name that ends in .xlsx, .csv or .parquet")
    if table is not None and table not in tables:
        raise click.ClickException(f"{table}: give a table that ends in .csv or .parquet")
    for path in tables:
        check_table(path, replace=resume)

    def write(found: Exploration) -> None:
        if out.suffix.lower() == ".xlsx":
            from stillbook.office.explore.report import write_report

            write_report(found, out, replace=resume)
        for path in tables:
            write_table(found, path)

    with progress_bar(lambda standing: f"{standing} pass") as progress:
        found = explore(
            job, out, question, count=workers, cluster=cluster, resume=resume, progress=progress, write=write
        )
    written = [path.absolute() for path in dict.fromkeys((out, *tables))]
    code = STOPPED if found.stopped == "a person" else FINE if found.front else ERROR_IN_RESULT
    return Outcome(lambda: _show(found, job, out, written), lambda: _data(found, job, written), code)


def _question(
    vary: tuple[str, ...],
    choices: Path | None,
    at_least: tuple[str, ...],
    at_most: tuple[str, ...],
    within: tuple[str, ...],
    goal: tuple[str, ...],
    most: int | None,
    minutes: float | None,
) -> Any:
    from stillbook.cli.input_values import from_settings
    from stillbook.office.explore.exploration import Question

    return Question(
        vary=from_settings((text if "=" in text else f"{text}=" for text in vary), "--vary"),
        sets=_sets(choices) if choices else {},
        at_least=from_settings(at_least, "--at-least"),
        at_most=from_settings(at_most, "--at-most"),
        within=within,
        goals=from_settings(goal, "--goal"),
        most=most,
        minutes=minutes,
    )


def _sets(path: Path) -> dict[str, Any]:
    try:
        return tomllib.loads(path.read_text("utf-8-sig"))
    except (UnicodeDecodeError, ValueError, RecursionError) as error:
        raise click.ClickException(f"{path}: it is no list of choices in TOML: {error}") from None


def _data(found: Exploration, job: Path, written: list[Path]) -> Mapping[str, Any]:
    on_front = {variant.number for variant in found.front}

    def told(variant: Variant) -> Mapping[str, Any]:
        return {
            "number": variant.number,
            "inputs": dict(variant.values),
            "results": {goal.name: found.value(variant, goal.name) for goal in found.goals},
            "front": variant.number in on_front,
            "ruled_out": list(variant.ruled_out),
        }

    return {
        "file": job,
        "written": written,
        "stopped": found.stopped,
        "resumed": found.resumed,
        "whole": found.is_whole,
        "goals": {goal.name: goal.best for goal in found.goals},
        "targets": [target.words for target in found.targets],
        "offers": [{"called": called, "number": variant.number} for called, variant in found.offers],
        "front": [variant.number for variant in found.front],
        "base_on_front": found.base_on_front,
        "base": told(found.base),
        "variants": [told(variant) for variant in found.variants],
        "counts": dict(found.counts),
        "free": list(found.free),
    }


def _show(found: Exploration, job: Path, out: Path, written: list[Path]) -> None:
    """Print what an exploration found."""
    if found.stopped:
        say(f"Ended by {found.stopped} before all was tried.")
    every = ", which is every variant there is" if found.is_whole else f" of {found.space.size:,}"
    taken = f", {found.resumed} of them before the stop" if found.resumed else ""
    passing = f"{len(found.standing)} pass; {len(found.front)} on the front"
    say(f"{len(found.variants)} variants tried{every}{taken}; {passing}")
    if found.counts:
        say("Ruled out by:")
        for rule, count in list(found.counts.items())[:_SOME]:
            say(f"  {count:5}  {rule}")
        if len(found.counts) > _SOME:
            say(f"  and {len(found.counts) - _SOME} checks more, which the sheet Ruled out lists")
    if found.front:
        called = {variant.number: name for name, variant in found.offers}
        rows = [
            (
                str(variant.number),
                *(rounded(found.value(variant, goal.name)) for goal in found.goals),
                _changes(found, variant),
            )
            for variant in found.front
        ]
        heads = [f"{goal.label}, {goal.unit}" if goal.unit else goal.label for goal in found.goals]
        show_table(("Variant", *heads, "Changes"), rows[:_SOME], right=("Variant", *heads))
        if len(rows) > _SOME:
            say(f"and {len(rows) - _SOME} more on the front")
        for number, name in called.items():
            say(f"{name}: variant {number}")
    say(_of_base(found))
    for path in written:
        echo(f"Written: {path}")
    if found.offers and out.suffix.lower() == ".xlsx":
        number = found.offers[len(found.offers) // 2][1].number
        echo(f"\nA job of one:\n  stillbook new {job} option-{number}.xlsx --from {out} --variant {number}")


def _of_base(found: Exploration) -> str:
    if found.alone:
        return found.alone
    if found.base_on_front:
        return "The job as it stands is as good as the front."
    if found.base.stands:
        return "The job as it stands is not on the front: another is as good in every goal and better in one."
    return f"The job as it stands is not on the front: {'; '.join(found.base.ruled_out)}."


def _changes(found: Exploration, variant: Variant) -> str:
    made = (f"{name}={'' if value is None else rounded(value)}" for name, value in found.differing(variant).items())
    return ", ".join(made) or "none"
