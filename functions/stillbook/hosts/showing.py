"""What every host shows of a formula, in the same words."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from typing import Final

from stillbook.formula import PREFIX, Formula
from stillbook.quantities import SYSTEMS

NAMESPACE: Final = PREFIX.removesuffix("_")
"""Where a host keeps names in a namespace, the one of all formulas: ``STILL.DOORMASS``."""


def summary(entry: Formula) -> str:
    """What a formula gives, with the unit of its result in each unit system."""
    units = " or ".join(dict.fromkeys(unit for system in SYSTEMS if (unit := entry.result.unit(system))))
    return f"{entry.summary.rstrip('.')}{f' ({units})' if units else ''}."


def description(entry: Formula) -> str:
    """What a formula gives, and its source."""
    return f"{summary(entry)} Source: {entry.source.rstrip('.')}."


def names(wanted: Iterable[str], reserved: Collection[str], suffix: str) -> tuple[str, ...]:
    """The arguments of a formula by names that a host accepts, whether or not it tells capitals from small letters.

    Args:
        wanted: The names as the host spells them.
        reserved: Words that mean something else there, in small letters.
        suffix: What is put behind such a word, and behind a name that an argument has already.

    >>> names(["type", "width", "Width"], {"type"}, "_")
    ('type_', 'width', 'Width_')
    """
    found: list[str] = []
    taken = set(reserved)
    for name in wanted:
        free = name
        while free.lower() in taken:
            free += suffix
        taken.add(free.lower())
        found.append(free)
    return tuple(found)
