"""The rules of the trade as a workbook judges them: each passes, fails, waits for an input, or is an error.

The block of checks has the rule in its first column, what it looks at between, and in the last two its state and what
to do. A check waits only for an input that is blank; one whose formulas are broken is an error, whatever its cell says.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
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
_MOST_NAMED: Final = 3
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
    return tuple(judged.all(*block))


def _state(row: list[Cell]) -> State | None:
    """What the cell of the state says; an error in it is a state of its own."""
    state = row[-2]
    return "error" if isinstance(state, ErrorValue) else _STATES.get(str(state).strip().lower())


class _Judged:
    def __init__(self, package: Package, inputs: Mapping[str, Input], reasons: Mapping[str, str]) -> None:
        self._package = package
        self._reasons = reasons
        self._precedents = Precedents(package)
        self._blank: dict[Place, Input] = {
            (entry.sheet, *at): entry
            for entry in inputs.values()
            if entry.value in (None, "") and (at := read_cell(entry.cell))
        }

    def all(self, sheet: str, area: Area) -> Iterator[Check]:
        for offset, row in enumerate(self._package.rows(sheet, area)):
            if row[0] in (None, "") or len(row) < 3:
                continue
            at = (sheet, area.first_row + offset, area.last_column - 1)
            found = _state(row)
            if found is not None:
                yield self._check(str(row[0]), found, str(row[-1] or ""), row, at)

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

    def _waits_for(self, at: Place) -> tuple[str, ...]:
        """The blank inputs that a check depends on: those that must be filled in, or else the nearest."""
        reached = [self._blank[place] for place in self._precedents.within(at) if place in self._blank]
        needed = [entry for entry in reached if entry.missing] or reached[:1]
        return tuple(entry.name for entry in needed[:_MOST_NAMED])
