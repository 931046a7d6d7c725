"""What the doors have to keep, as a pair and as one heavy door.

The checks hold those of the job to it, and what the client is offered instead is held to the same. A least mass is asked
only beside a leaf that a door can match: where it is not asked, its cell holds words.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from stillbook.templates.page import Book
from stillbook.templates.parts.check_sheet import AT_LEAST, AT_MOST
from stillbook.templates.parts.quiet_room.allowances import HEAVIEST_DOOR

NO_MASS: Final = "not asked"
"""What stands for the least mass of a door beside a leaf that no door can match: such doors are judged by their sound."""

_ASKED: Final = "COUNT(inner_door_least,outer_door_least)"

ALL_ASKED: Final = f"{_ASKED}=2"
NONE_ASKED: Final = "AND(ISTEXT(inner_door_least),ISTEXT(outer_door_least))"
"""Whether a least mass is asked beside both leaves, and beside neither; where one is not known, neither is so."""

BOXED_LEAF: Final = "baffle_leaf_mass<=matchable_mass"
"""Whether the leaf that a baffle box stands on is one of boards, which its shell may match."""


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
        value, limit = (_of_job(one, other) for one, other in zip(self.pair, self.single, strict=True))
        return f"={value}", f"={limit}"

    def asked_of_job(self) -> str:
        """Whether the arrangement that the job has is asked for it, as a condition."""
        return f"NOT(ISTEXT({_of_job(self.pair[1], self.single[1])}))"

    def kept_by_pair(self) -> str:
        """Whether a pair would keep it, as a condition."""
        return self._kept(*self.pair)

    def kept_by_single(self) -> str:
        """Whether one heavy door would, as a condition."""
        return self._kept(*self.single)

    def _kept(self, value: str, limit: str) -> str:
        # Of a text and a number no spreadsheet program calls the number the larger.
        return f"OR(ISTEXT({limit}),{self.holds.format(v=value, l=limit)})"


def _of_job(pair: str, single: str) -> str:
    return pair if pair == single else f'IF(door_arrangement="pair",{pair},{single})'


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
    return _all(SUITS, *(each.kept_by_pair() for each in (INNER, OUTER, ADDED, heaviest(book))))


def single_may_be(book: Book) -> str:
    """Whether one heavy door would, as a condition of a formula."""
    return _all(*(each.kept_by_single() for each in (INNER, ADDED, heaviest(book))))


def _all(*conditions: str) -> str:
    return f"AND({','.join(conditions)})"
