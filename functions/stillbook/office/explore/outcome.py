"""What became of a variant: what it comes to, whether it stands, and what rules it out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal

from stillbook.cells import Cell, ErrorValue
from stillbook.office.explore.front import Goals
from stillbook.quantities import QuantityError
from stillbook.workbook.job.estimate import Result
from stillbook.workbook.job.inputs import InputError
from stillbook.workbook.job.values import quantity, shown
from stillbook.workbook.job.variants import Figures

Figure = str | float | bool | None
"""A key result as it is written down; an error by its code."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What the calculation of a variant gave, as it is written down.

    Args:
        results: Its key results by name.
        denied: The checks that fail or are an error.
        waits: The checks that wait for an input.
        fault: Why it could not be calculated; empty where it was.
    """

    results: Mapping[str, Figure] = field(default_factory=dict)
    denied: tuple[str, ...] = ()
    waits: tuple[str, ...] = ()
    fault: str = ""


@dataclass(frozen=True, slots=True)
class Target:
    """What a key result has to reach.

    Args:
        name: The result.
        side: Whether it is to be this at least, or at most.
        value: The limit, in the result's unit.
        unit: That unit.
    """

    name: str
    side: Literal["at least", "at most"]
    value: float
    unit: str = ""

    @property
    def words(self) -> str:
        """The target as a person reads it."""
        return f"{self.name} {self.side} {shown(self.value)} {self.unit}".rstrip()

    def is_met(self, results: Mapping[str, Figure]) -> bool:
        """Whether results reach it; a result that is no number does not."""
        found = number(results.get(self.name))
        if found is None:
            return False
        return found >= self.value - 1e-9 if self.side == "at least" else found <= self.value + 1e-9


@dataclass(frozen=True, slots=True)
class Variant:
    """A variant of a job.

    Args:
        number: Its number, by which it is asked for; 0 is the job as it stands.
        values: What the inputs that vary hold.
        outcome: What the calculation gave.
        ruled_out: By name the checks and targets that rule it out, and a fault; none where it stands.
        changed: How many inputs differ from the job's.
    """

    number: int
    values: Mapping[str, Cell]
    outcome: Outcome
    ruled_out: tuple[str, ...]
    changed: int

    @property
    def stands(self) -> bool:
        """Whether every check passes or waits, and every target is met."""
        return not self.ruled_out


def outcome(figures: Figures) -> Outcome:
    """What a calculated variant gave, as it is written down."""
    return Outcome(
        {name: str(value.code) if isinstance(value, ErrorValue) else value for name, value in figures.results.items()},
        figures.denied,
        tuple(rule for rule, state in figures.checks if state == "waits"),
    )


def ruled_out(found: Outcome, targets: Sequence[Target], within: Sequence[str]) -> tuple[str, ...]:
    """What rules a variant out, by name.

    Args:
        found: What its calculation gave.
        targets: What results have to reach.
        within: Words; a check whose rule holds one has to pass, and not only to wait.
    """
    if found.fault:
        return (f"not calculated: {found.fault}",)
    waiting = [rule for rule in found.waits if any(word.casefold() in rule.casefold() for word in within)]
    missed = [target.words for target in targets if not target.is_met(found.results)]
    return (*found.denied, *(f"{rule} (waits)" for rule in waiting), *missed)


def goals_of(results: Mapping[str, Figure], goals: Sequence[Result]) -> Goals | None:
    """What results come to in each goal, less is better; None where one is no number."""
    found = []
    for goal in goals:
        value = number(results.get(goal.name))
        if value is None:
            return None
        found.append(-value if goal.best == "most" else value)
    return tuple(found)


def target(results: Mapping[str, Result], name: str, side: Literal["at least", "at most"], text: Any) -> Target:
    """A target as a person writes it, its value with any unit.

    Raises:
        InputError: If there is no such result, or the value is not understood.
    """
    found = _result(results, name)
    try:
        value = quantity(str(text), found.unit)
    except QuantityError as error:
        raise InputError(f"{side} {name}: {error}") from None
    return Target(found.name, side, value, found.unit)


def _result(results: Mapping[str, Result], name: str) -> Result:
    wanted = name.strip().casefold()
    if wanted in results:
        return results[wanted]
    near = [key for key in results if wanted in key]
    if len(near) == 1:
        return results[near[0]]
    told = ", ".join(near or [key for key, result in results.items() if number(result.value) is not None])
    raise InputError(f"there is no result {name[:60]}: give one of {told}")


def number(value: object) -> float | None:
    """The number of a figure; None where it is none."""
    return float(value) if isinstance(value, int | float) and not isinstance(value, bool) else None
