"""What inputs reach: the formulas between them and what is asked for."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from stillbook.workbook.calculation.reasons import Place
from stillbook.workbook.file.package import Package
from stillbook.workbook.job.precedents import Precedents


@dataclass(frozen=True, slots=True)
class Reach:
    """What some inputs reach.

    Args:
        formulas: The cells with formulas that depend on these inputs and on which what is asked for depends.
        beside: All other cells that these formulas look at, and those asked for that none of the inputs reaches.
        followed: Whether that is sure: each formula on the way tells by its text what it looks at.
    """

    formulas: frozenset[Place]
    beside: frozenset[Place]
    followed: bool


def reach(package: Package, inputs: Collection[Place], asked: Collection[Place]) -> Reach:
    """What inputs reach of what is asked for.

    Args:
        package: The workbook.
        inputs: The cells of the inputs.
        asked: The cells asked for.
    """
    looks_at, followed = _looked_at(package, asked)
    followers: dict[Place, list[Place]] = {}
    for at, sources in looks_at.items():
        for source in sources:
            followers.setdefault(source, []).append(at)
    found: set[Place] = set()
    ahead = list(inputs)
    while ahead:
        for follower in followers.get(ahead.pop(), ()):
            if follower not in found:
                found.add(follower)
                ahead.append(follower)
    beside = {source for at in found for source in looks_at[at]} | set(asked)
    return Reach(frozenset(found), frozenset(beside - found), followed)


def reached_by(package: Package, inputs: Mapping[str, Place], asked: Collection[Place]) -> frozenset[str]:
    """Those inputs on which what is asked for may depend.

    Args:
        package: The workbook.
        inputs: The cell of each input by its name.
        asked: The cells asked for.
    """
    looks_at, followed = _looked_at(package, asked)
    return frozenset(name for name, at in inputs.items() if at in looks_at or not followed)


def _looked_at(package: Package, asked: Collection[Place]) -> tuple[dict[Place, frozenset[Place]], bool]:
    """All cells on which some depend, each with those that its own formula looks at; and whether that is sure."""
    precedents = Precedents(package)
    looks_at: dict[Place, frozenset[Place]] = {}
    ahead = list(asked)
    followed = True
    while ahead:
        at = ahead.pop()
        if at not in looks_at:
            followed = followed and precedents.are_all_followed(at)
            looks_at[at] = frozenset(precedents.of(at))
            ahead += looks_at[at]
    return looks_at, followed
