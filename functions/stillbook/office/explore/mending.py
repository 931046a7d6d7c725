"""What would make a failing check pass: the nearest and the cheapest change of the inputs that a job marks as choices.

Each value of each marked input on which the check depends is tried by itself, and where none helps, pairs of them are,
up to a small budget. A change counts if the check then passes and none fails that passed before. The nearest takes the
fewest steps from value to value of what is marked; of several the cheapest.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final, Literal, NamedTuple

from stillbook.cells import Cell
from stillbook.office.explore import space as spaces
from stillbook.office.explore.exploration import PRICE
from stillbook.office.explore.outcome import number
from stillbook.workbook import WorkbookError
from stillbook.workbook.file.package import Package
from stillbook.workbook.job.labels import labels
from stillbook.workbook.job.values import shown
from stillbook.workbook.job.variants import Figures, Variants

MOST: Final = 150
"""Variants that are tried for one check."""

_SEEN: Final = 0.5
"""From where on a change of another goal is told: one point of a rating."""


@dataclass(frozen=True, slots=True)
class Changed:
    """An input that another value is taken for.

    Args:
        name: The input.
        before: What it holds.
        after: What it is to hold.
        unit: The unit of both.
    """

    name: str
    before: Cell
    after: Cell
    unit: str


@dataclass(frozen=True, slots=True)
class Mending:
    """What makes a failing check pass.

    Args:
        rule: The check.
        kind: Whether it is the nearest change, or a cheaper one that is further off.
        changes: What is changed; none where nothing was found.
        price: By how much the price changes; None without one.
        currency: What the price is in.
        left: Other checks that fail before and after.
        tried: How many variants were calculated for it.
        words: What is changed, and what comes of it, in a sentence.
    """

    rule: str
    kind: Literal["nearest", "cheapest"]
    changes: tuple[Changed, ...]
    price: float | None
    currency: str
    left: tuple[str, ...]
    tried: int
    words: str


def mendings(path: Path, *, most: int = MOST) -> tuple[Mending, ...]:
    """For each check of a job that fails, the nearest change with which it passes, and the cheapest if that is another.

    The job is not changed.

    Args:
        path: The job.
        most: How many variants may be tried for each check.

    Raises:
        WorkbookError: If the job cannot be opened or calculated.
    """
    named = Variants(path, ())
    failing = [check.rule for check in named.report.failed]
    choices = spaces.marked(named.inputs)
    if not failing or not choices:
        return tuple(Mending(rule, "nearest", (), None, "", (), 0, _NOTHING_MARKED) for rule in failing)
    variants = Variants(path, [choice.name for choice in choices])
    words = labels(Package.open(path), variants.inputs)
    return tuple(each for rule in failing for each in _mending(variants, words, choices, rule, most))


_NOTHING_MARKED: Final = "the job marks no inputs as choices, so none was tried"


def _mending(
    variants: Variants, words: Mapping[str, str], choices: Sequence[spaces.Choice], rule: str, most: int
) -> list[Mending]:
    reaching = variants.reaching_check([choice.name for choice in choices], rule)
    before = {check.rule for check in variants.report.denied}
    singles = [step for choice in choices if choice.name in reaching for step in _steps(variants, choice)]
    tried = 0
    for group in (([step] for step in singles), itertools.combinations(singles, 2)):
        passing: list[tuple[int, float, int, dict[str, Cell], Figures]] = []
        for place, steps in enumerate(itertools.islice(group, most - tried)):
            values = {step.name: step.value for step in steps}
            if len(values) < len(steps):
                continue
            tried += 1
            try:
                figures = variants.calculate(values)
            except WorkbookError:
                continue
            if rule not in figures.denied and set(figures.denied) <= before:
                price = number(figures.results.get(PRICE)) or 0.0
                passing.append((sum(step.far for step in steps), price, place, values, figures))
        if passing:
            nearest = min(passing, key=lambda one: one[:3])
            cheapest = min(passing, key=lambda one: (one[1], one[0], one[2]))
            made = [_found(variants, words, rule, "nearest", *nearest[3:], tried)]
            if cheapest[1] < nearest[1]:
                made.append(_found(variants, words, rule, "cheapest", *cheapest[3:], tried))
            return made
    none = f"none of {tried} changes makes it pass" if singles else "no marked input has a part in it"
    return [Mending(rule, "nearest", (), None, "", (), tried, none)]


class _Step(NamedTuple):
    """Another value for an input, and how many steps of its choice off it is: 1 for words and for the next number."""

    name: str
    value: Cell
    far: int


def _steps(variants: Variants, choice: spaces.Choice) -> Iterable[_Step]:
    """Every other value of a choice; a blank input, as one that a chosen wall gives, stands nowhere among them."""
    values = [value for option in choice.options for value in option.values.values()]
    now = variants.inputs[choice.name].value
    home = values.index(now) if now in values else None
    for place, value in enumerate(values):
        if place != home:
            yield _Step(choice.name, value, abs(place - home) if choice.ordered and home is not None else 1)


def _found(
    variants: Variants,
    words: Mapping[str, str],
    rule: str,
    kind: Literal["nearest", "cheapest"],
    values: Mapping[str, Cell],
    figures: Figures,
    tried: int,
) -> Mending:
    inputs = variants.inputs
    changes = tuple(Changed(name, inputs[name].value, value, inputs[name].spec.unit) for name, value in values.items())
    priced = next((result for result in variants.report.results if result.name == PRICE), None)
    one, other = number(priced.value) if priced else None, number(figures.results.get(PRICE))
    price = other - one if one is not None and other is not None else None
    currency = priced.unit if priced else ""
    told = ", ".join(f"{words[change.name]} ({change.name}) {_shown(change.after, change.unit)}" for change in changes)
    cost = "" if price is None else f", {price:+,.0f} {currency}".rstrip()
    for goal in variants.report.results:
        was, then = number(goal.value), number(figures.results.get(goal.name))
        if goal.best and goal.name != PRICE and was is not None and then is not None and abs(then - was) >= _SEEN:
            cost += f"; {goal.label} {then:.0f} in place of {was:.0f}"
    lead = "passes with" if kind == "nearest" else "cheaper with"
    return Mending(rule, kind, changes, price, currency, figures.denied, tried, f"{lead} {told}{cost}")


def _shown(value: Cell, unit: str) -> str:
    text = "blank" if value is None else shown(value)
    return f"{text} {unit}".rstrip() if number(value) is not None else text
