"""What the doors have to keep, as a pair and as one heavy door.

The checks hold those of the job to it, and what the client is offered instead is held to the same.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from stillbook.templates.page import Book
from stillbook.templates.parts.check_sheet import AT_LEAST, AT_MOST
from stillbook.templates.parts.quiet_room.allowances import HEAVIEST_DOOR


@dataclass(frozen=True)
class DoorLimit:
    """A condition on the doors in either arrangement.

    Args:
        holds: The condition on a value and its limit.
        pair: Value and limit of a pair, as formulas.
        single: Those of one heavy door.
    """

    holds: str
    pair: tuple[str, str]
    single: tuple[str, str]

    def of_job(self) -> tuple[str, str]:
        """Value and limit in the arrangement that the job has, as formulas."""
        value, limit = (one if one == other else f'IF(door_arrangement="pair",{one},{other})' for one, other in zip(self.pair, self.single, strict=True))
        return f"={value}", f"={limit}"


SUITS: Final = 'door_suggestion="pair"'
"""Whether a pair suits the space; one heavy door always does."""

INNER, OUTER = (DoorLimit(AT_LEAST, (f"{side}_door_mass", f"{side}_door_least"), ("single_door_mass", "single_door_least")) for side in ("inner", "outer"))
"""What each door of a pair must weigh, and in place of both the single one."""

ADDED: Final = DoorLimit(AT_MOST, ("pair_added_thickness", "makeup_most"), ("single_added_thickness", "makeup_most"))
"""How thick the sheets on it may be."""


def heaviest(book: Book) -> DoorLimit:
    """What the heaviest door may weigh."""
    most = book.pick(*HEAVIEST_DOOR)
    return DoorLimit(AT_MOST, ("MAX(inner_door_mass,outer_door_mass)", most), ("single_door_mass", most))


def pair_may_be(book: Book) -> str:
    """Whether a pair of doors would keep all of it, as a condition of a formula."""
    return _all(SUITS, *(each.holds.format(v=each.pair[0], l=each.pair[1]) for each in (INNER, OUTER, ADDED, heaviest(book))))


def single_may_be(book: Book) -> str:
    """Whether one heavy door would, as a condition of a formula."""
    return _all(*(each.holds.format(v=each.single[0], l=each.single[1]) for each in (INNER, ADDED, heaviest(book))))


def _all(*conditions: str) -> str:
    return f"AND({','.join(conditions)})"
