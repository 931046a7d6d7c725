"""Cautions that pages of several templates give in the same words, and a part of them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from stillbook.templates.page import Page

HEAVY_DOORS: Final = (
    "Caution: doors of this weight need a crew, frames fixed to structure and hinges rated for the load. Lead: local "
    "rules, gloves, no sanding. A door must open from inside without a key; width and way out are for the local code. A "
    "person who lies behind a door that opens inward blocks rescue: open it outward, or let it come off from outside."
)

HOLDING: Final = 5000
"""The 8-hour workplace limit of carbon dioxide, 29 CFR 1910.1000 [ppm]."""

SEALED_AIR: Final = (
    "Caution: fresh air in a sealed room is a life-safety matter. When the fan stops, the people inside must know at "
    "once and be able to leave: an alarm, a door that opens from inside without a key, no lock that traps. The local code "
    "decides."
)


def part(page: Page, heading: str, texts: Sequence[str]) -> None:
    """Write cautions under a heading."""
    page.heading(heading)
    for text in texts:
        page.caution(text)
    page.skip()
