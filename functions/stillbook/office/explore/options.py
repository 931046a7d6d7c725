"""The options of an exploration put into the job that was explored, where its first sheet tells them.

>>> from stillbook.office.explore.options import put_options
>>> put_options(job, read_options("options.xlsx"))        # doctest: +SKIP
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from stillbook.cells import Cell
from stillbook.office.compare import same
from stillbook.office.explore.chosen import Chosen, chosen
from stillbook.office.explore.report import JOB_INPUTS, OFFERED, OFFERS, in_words
from stillbook.templates.parts.quiet_room.explored import LONGEST, LONGEST_NAME, OPTIONS
from stillbook.workbook import WorkbookError
from stillbook.workbook.file.package import Package
from stillbook.workbook.job.estimate import Job
from stillbook.workbook.job.lines import column, number, words

_PLACES: Final = {"price": "price", "isolation": "room_stc", "level": "nc_all"}
"""What an option has a place for, by the result of the estimate that it is."""


@dataclass(frozen=True, slots=True)
class Option:
    """A way to build a job that its client is shown.

    Args:
        called: What the exploration calls it.
        number: Its number among the variants.
        price: Its price, tax included; None where the exploration did not look for it, as with the others.
        isolation: The rating of the room, STC.
        level: What is heard at the seat, NC.
        changes: What it changes in the job as it stood, in words.
    """

    called: str
    number: int
    price: float | None
    isolation: float | None
    level: float | None
    changes: tuple[str, ...]

    @property
    def words(self) -> str:
        """What it changes, as far as there is room for it, and else how many more."""
        if not self.changes:
            return "Nothing: the job as it stood."
        for count in range(len(self.changes), -1, -1):
            left = len(self.changes) - count
            more = [f"and {left} more, as variant {self.number} says"] if left else []
            if len(text := "; ".join([*self.changes[:count], *more])) <= LONGEST:
                return text
        raise AssertionError("a number alone finds room")


def read_options(path: Path) -> tuple[list[Option], dict[str, Cell]]:
    """The options that the workbook of an exploration shows, and the inputs of the job as it stood then.

    Raises:
        WorkbookError: If it cannot be opened, is no such workbook, or shows no option.
    """
    package = Package.open(path)
    numbers, called, names = (column(package, name) for name in (OFFERS, OFFERED, JOB_INPUTS))
    if names is None:
        raise WorkbookError(f"{path}: it is no workbook of an exploration: give one that stillbook explore wrote")
    if numbers is None or called is None:
        raise WorkbookError(
            f"{path}: it shows no option: nothing passed, or an older stillbook wrote it; explore again"
        )
    where, area = names
    told = {
        words(package.value(where, r, c)): (
            words(package.value(where, r, c - 1)),
            words(package.value(where, r, c + 2)),
        )
        for r, c in area.cells()
    }
    sheet, area = numbers
    held = []
    for (row, at), (head, _) in zip(area.cells(), called[1].cells(), strict=True):
        variant = int(number(package.value(sheet, row, at)) or 0)
        held.append((words(package.value(sheet, head, at)), variant, chosen(path, variant)))
    varied = [one.varied for *_, one in held]
    apart = [name for name in varied[0] if any(not same(one[name], varied[0][name]) for one in varied)]
    order = [*apart, *(name for name in varied[0] if name not in apart)]
    return [_option(*one, order, told) for one in held], dict(held[0][2].job)


def _option(
    called: str, variant: int, held: Chosen, order: Sequence[str], told: Mapping[str, tuple[str, str]]
) -> Option:
    """An option; what it changes is in the order of the names, those that tell the options apart first."""
    changes = tuple(
        f"{told[name][0]} {in_words(held.varied[name], told[name][1])}"
        for name in order
        if name in held.job and not same(held.job[name], held.varied[name])
    )
    figures = {place: number(held.results.get(result)) for place, result in _PLACES.items()}
    return Option(called, variant, figures["price"], figures["isolation"], figures["level"], changes)


def put_options(job: Job, options: Sequence[Option]) -> None:
    """Set the places for options of a job, and clear those left over; the job is not calculated yet.

    Raises:
        WorkbookError: If the job has no places for them.
        InputError: If one of its inputs does not take its value.
    """
    if "option_name_1" not in job.inputs:
        raise WorkbookError("it has no place for options: carry it onto a newer template, whose first sheet tells them")
    values: dict[str, Cell] = {}
    for place in range(1, OPTIONS + 1):
        one = options[place - 1] if place <= len(options) else None
        values |= {
            f"option_name_{place}": f"{one.called}, variant {one.number}"[:LONGEST_NAME] if one else None,
            f"option_price_{place}": one.price if one else None,
            f"option_isolation_{place}": one.isolation if one else None,
            f"option_level_{place}": one.level if one else None,
            f"option_change_{place}": one.words if one else None,
        }
    job.set(values)


def other_inputs(job: Job, explored: Mapping[str, Cell]) -> list[str]:
    """Inputs that the job holds another value of than when it was explored, those of the options apart."""
    return [
        name
        for name, entry in job.inputs.items()
        if name in explored and not name.startswith("option_") and not same(entry.value, explored[name])
    ]
