"""The rules of the trade as a workbook judges them: each passes, fails, waits for an input, or is an error.

The block of checks has the rule in its first column, what it looks at between, and in the last two its state and what
to do. A row with any other word for its state, such as that it is not asked, is no check of this job. A check waits
only for an input that is blank; one whose formulas are broken is an error, whatever its cell says.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from stillbook.cells import Cell, Code, ErrorValue
from stillbook.workbook.calculation.reasons import FOLLOWS, Place
from stillbook.workbook.file.address import Area, place, read_cell
from stillbook.workbook.file.package import Package
from stillbook.workbook.job.interface import Input
from stillbook.workbook.job.precedents import Precedents

State = Literal["passes", "fails", "waits", "error"]

_STATES: Final[Mapping[str, State]] = {"passes": "passes", "fails": "fails", "waits": "waits", "error": "error"}
NOT_ASKED: Final = "Not asked"
"""What a workbook says in place of the state of a rule about what the job does not have; no check is read there."""

_MOST_NAMED: Final = 3
_SCHEDULED: Final = 6
"""A row with so many inputs is one of a schedule, of which blank rows count for nothing."""

_BROKEN: Final = "its formula is broken"
_BLANK: Final = " is blank"
"""What the reason says of a formula that lacks an input."""


@dataclass(frozen=True, slots=True)
class Check:
    """One rule as the workbook judges it.

    Args:
        rule: What is checked.
        state: How it stands.
        advice: What to do if it fails; of an error the cell and its reason.
        waits_for: Names of the inputs that it waits for.
    """

    rule: str
    state: State
    advice: str
    waits_for: tuple[str, ...] = ()

    @property
    def denies(self) -> bool:
        """Whether nobody may rely on what it looks at."""
        return self.state in ("fails", "error")


def read_checks(
    package: Package, block: tuple[str, Area], inputs: Mapping[str, Input], reasons: Mapping[str, str]
) -> tuple[Check, ...]:
    """The checks of a calculated workbook, in their order.

    Args:
        package: The workbook.
        block: Sheet and cells of the block of checks.
        inputs: The inputs of the workbook by name.
        reasons: Why cells are errors, by cell with its sheet.
    """
    judged = _Judged(package, inputs, reasons)
    sheet, area = block
    rows = zip(check_rows(block), package.rows(sheet, area), strict=True)
    return tuple(check for cells, row in rows if (check := judged.check(row, cells)) is not None)


def check_rows(block: tuple[str, Area]) -> list[tuple[Place, ...]]:
    """The cells of each row of a block of checks; it holds a check where :func:`state_of` its values says so."""
    sheet, area = block
    columns = range(area.first_column, area.last_column + 1)
    return [tuple((sheet, row, column) for column in columns) for row in range(area.first_row, area.last_row + 1)]


def _is_blank(entry: Input) -> bool:
    return entry.value in (None, "")


def state_of(row: Sequence[Cell]) -> State | None:
    """What the cell of the state says in a row of checks; an error in it is a state of its own, and None no check."""
    if row[0] in (None, "") or len(row) < 3:
        return None
    state = row[-2]
    return "error" if isinstance(state, ErrorValue) else _STATES.get(str(state).strip().lower())


class _Judged:
    def __init__(self, package: Package, inputs: Mapping[str, Input], reasons: Mapping[str, str]) -> None:
        self._package = package
        self._reasons = reasons
        self._precedents = Precedents(package)
        self._inputs: dict[Place, Input] = {
            (entry.sheet, *at): entry for entry in inputs.values() if (at := read_cell(entry.cell))
        }
        self._blank = {at: entry for at, entry in self._inputs.items() if _is_blank(entry)}

    def check(self, row: list[Cell], cells: Sequence[Place]) -> Check | None:
        """The check of a row, from what its cells hold; None where it holds none."""
        found = state_of(row)
        return None if found is None else self._check(str(row[0]), found, str(row[-1] or ""), row, cells[-2])

    def _check(self, rule: str, state: State, advice: str, row: list[Cell], at: Place) -> Check:
        if state in ("passes", "fails"):
            return Check(rule, state, advice)
        wrong = next((place for place, value in self._looked_at(row, at) if isinstance(value, ErrorValue)), None)
        if wrong is None:
            return Check(rule, "waits", advice, self._waits_for(at))
        cause, reason = self._cause(wrong)
        blank = self._code(wrong) == Code.NOT_AVAILABLE
        if blank and (_BLANK in reason or self._waits_for(at)):
            return Check(rule, "waits", advice, self._waits_for(at))
        return Check(rule, "error", f"{cause} {self._code(wrong)}: {reason}")

    def _looked_at(self, row: list[Cell], at: Place) -> Iterator[tuple[Place, Cell]]:
        """The cells of a check with their values, that of the state last."""
        sheet, line, last = at
        first = last - len(row) + 2
        yield from (((sheet, line, first + offset), value) for offset, value in enumerate(row[1:-1], start=1))

    def _code(self, at: Place) -> Code | None:
        held = self._package.value(*at)
        return held.code if isinstance(held, ErrorValue) else None

    def _cause(self, at: Place) -> tuple[str, str]:
        """The cell from which an error comes, and its reason."""
        named = place(*at)
        reason = self._reasons.get(named, _BROKEN)
        while reason.startswith(FOLLOWS) and reason.removeprefix(FOLLOWS) in self._reasons:
            named = reason.removeprefix(FOLLOWS)
            reason = self._reasons[named]
        return named, reason

    def _missed_in_rows(self, reached: list[Input]) -> list[Input] | None:
        """The one blank cell of a schedule that is filled in in its other rows; none where it cannot be told which.

        None where no cell of a schedule is among the blank ones.
        """
        rows: dict[tuple[str, int], list[Place]] = {}
        for spot in self._inputs:
            rows.setdefault(spot[:2], []).append(spot)
        scheduled = {row for row, places in rows.items() if len(places) >= _SCHEDULED}
        filled = {row for row in scheduled if not all(spot in self._blank for spot in rows[row])}
        blanks = [spot for row in filled for spot in rows[row] if spot in self._blank]
        wanted = {entry.name for entry in reached}
        found = [spot for spot in blanks if self._blank[spot].name in wanted]
        fewest = {spot: sum(other[::2] == spot[::2] for other in blanks) for spot in found}
        likely = [spot for spot in found if fewest[spot] == min(fewest.values())]
        at = {(entry.sheet, row) for entry in reached for row, _ in [read_cell(entry.cell) or (0, 0)]}
        if not at & scheduled:
            return None
        return [self._blank[spot] for spot in likely] if len(likely) == 1 else []

    def _waits_for(self, at: Place) -> tuple[str, ...]:
        """The blank inputs that a check depends on: those that must be filled in, or else the nearest."""
        reached = [self._blank[place] for place in self._precedents.within(at) if place in self._blank]
        needed = [entry for entry in reached if entry.missing]
        if not needed:
            missed = self._missed_in_rows(reached)
            needed = reached[:1] if missed is None else missed
        return tuple(entry.name for entry in needed[:_MOST_NAMED])
