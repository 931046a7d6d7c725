"""Lists: slabs and sheets that the schedule offers."""

from __future__ import annotations

from stillbook.templates.page import Book, Page
from stillbook.templates.parts import unit_costs, words
from stillbook.templates.parts.words import Offer
from stillbook.trade.mass.materials import materials


def sheets() -> list[str]:
    """The sheet materials that the Unit costs sheet prices."""
    known = {material.name for material in materials().values()}
    return [code for code, *_ in unit_costs.rows("US", "boards") if code in known]


def write(book: Book) -> Page:
    """Write the sheet."""
    slabs = [material.name for material in materials().values() if material.group == "Door"]
    priced = sheets()
    return words.write(
        book,
        (
            Offer("Slab", "slab_names", slabs, 54),
            Offer("Sheet", "sheet_names", priced, 30),
            Offer("Proposed as make-up", "makeup_names", [name for name in priced if "lead" not in name.lower()], 30),
        ),
    )
