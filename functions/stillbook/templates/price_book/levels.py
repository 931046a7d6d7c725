"""The columns of client price levels."""

from __future__ import annotations

from typing import Final

from stillbook.tables import table
from stillbook.templates import look
from stillbook.templates.parts.schedule import Worked

LEVELS: Final = tuple((row["letter"], row["name"], float(row["markup"])) for row in table("example_levels"))
"""Letter of each level, and invented examples of its name and its mark-up."""


def columns(cost: str, width: float = 11) -> tuple[Worked, ...]:
    """A column for each level: the costs in a named column with the level's mark-up, named after both."""
    return tuple(
        Worked(f"=level_{letter}_name", f'IF({{{cost}}}="","",ROUND({{{cost}}}*(1+level_{letter}_markup),2))', width, f"{cost}_{letter}", look.PRICE)
        for letter, _, _ in LEVELS
    )
