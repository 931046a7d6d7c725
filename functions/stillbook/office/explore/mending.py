"""What would make a failing check pass: the smallest and cheapest change of the inputs that a job marks as choices.

Each value of each marked input on which the check depends is tried by itself, and where none helps, pairs of them are,
up to a small budget. A change counts if the check then passes and none fails that passed before.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

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
        changes: What is changed; none where nothing was found.
        price: By how much the price changes; None without one.
        currency: What the price is in.
        left: Other checks that fail before and after.
        tried: How many variants were calculated for it.
        words: What is changed, and what comes of it, in a sentence.
    """

    rule: str
    changes: tuple[Changed, ...]
    price: float | None
    currency: str
    left: tuple[str, ...]
    tried: int
    words: str


def mendings(path: Path, *, most: int = MOST) -> tuple[Mending, ...]:
    """For each check of a job that fails, the smallest change with which it passes; the job is not changed.

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
        return tuple(Mending(rule, (), None, "", (), 0, _NOTHING_MARKED) for rule in failing)
    variants = Variants(path, [choice.name for choice in choices])
    words = labels(Package.open(path), variants.inputs)
    return tuple(_mending(variants, words, choices, rule, most) for rule in failing)


_NOTHING_MARKED: Final = "the job marks no inputs as choices, so none was tried"


def _mending(
    variants: Variants, words: Mapping[str, str], choices: Sequence[spaces.Choice], rule: str, most: int
) -> Mending:
    reaching = variants.reaching_check([choice.name for choice in choices], rule)
    before = {check.rule for check in variants.report.denied}
    was = {result.name: result.value for result in variants.report.results}
    currency = next((result.unit for result in variants.report.results if result.name == PRICE), "")
    singles = [
        {name: value}
        for choice in choices
        if choice.name in reaching
        for option in choice.options
        for name, value in option.values.items()
        if value != variants.inputs[name].value
    ]
    tried = 0
    for group in (singles, _pairs(singles)):
        passing: list[tuple[float, float, int, dict[str, Cell], Figures]] = []
        for place, values in enumerate(itertools.islice(group, most - tried)):
            tried += 1
            try:
                figures = variants.calculate(values)
            except WorkbookError:
                continue
            if rule not in figures.denied and set(figures.denied) <= before:
                price = number(figures.results.get(PRICE))
                passing.append((price if price is not None else 0.0, _steps(variants, values), place, values, figures))
        if passing:
            _, _, _, values, figures = min(passing, key=lambda one: one[:3])
            return _found(variants, words, rule, values, figures, was, currency, tried)
    none = "none of the marked inputs has a part in it" if not singles else f"none of {tried} changes makes it pass"
    return Mending(rule, (), None, currency, (), tried, none)


def _pairs(singles: Sequence[Mapping[str, Cell]]) -> Iterable[dict[str, Cell]]:
    return ({**one, **other} for one, other in itertools.combinations(singles, 2) if one.keys() != other.keys())


def _steps(variants: Variants, values: Mapping[str, Cell]) -> float:
    """How far values are from those of the job: the sum of the shares by which numbers change; 1 for a word."""
    far = 0.0
    for name, value in values.items():
        now, then = number(variants.inputs[name].value), number(value)
        far += 1.0 if now is None or then is None else abs(then - now) / max(abs(now), abs(then), 1e-9)
    return far


def _found(
    variants: Variants,
    words: Mapping[str, str],
    rule: str,
    values: Mapping[str, Cell],
    figures: Figures,
    was: Mapping[str, Cell],
    currency: str,
    tried: int,
) -> Mending:
    changes = tuple(
        Changed(name, variants.inputs[name].value, value, variants.inputs[name].spec.unit)
        for name, value in values.items()
    )
    one, other = number(was.get(PRICE)), number(figures.results.get(PRICE))
    price = other - one if one is not None and other is not None else None
    told = ", ".join(f"{words[change.name]} ({change.name}) {_shown(change.after, change.unit)}" for change in changes)
    cost = "" if price is None else f", {price:+,.0f} {currency}".rstrip()
    left = tuple(figures.denied)
    return Mending(rule, changes, price, currency, left, tried, f"passes with {told}{cost}")


def _shown(value: Cell, unit: str) -> str:
    text = "blank" if value is None else shown(value)
    return f"{text} {unit}".rstrip() if number(value) is not None else text
