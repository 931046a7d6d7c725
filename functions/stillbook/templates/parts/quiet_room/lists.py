"""Lists: the materials with their masses, and the other words the drop-downs offer."""

from __future__ import annotations

from collections.abc import Sequence

from stillbook.catalogue import formulas
from stillbook.formula import Parameter
from stillbook.quantities import SURFACE_MASS
from stillbook.templates import look
from stillbook.templates.page import FIRST, Book, Page
from stillbook.trade.mass.materials import materials
from stillbook.trade.room.absorption import surfaces


def write(book: Book) -> Page:
    """Write the sheet, and name each list."""
    page = book.page(
        "Lists", "Words the drop-downs on the Inputs sheet offer. STILL_MATERIALS() and STILL_SURFACES() list them with their sources.", (44, 9, 24, 20, 18)
    )
    page.head_row(("Material", book.unit(SURFACE_MASS), "Kind of space", "Activity", "Source"), words=(0, 2, 3, 4))
    first = page.at
    sheets = [material.name for material in materials().values() if material.surface_mass is not None]
    columns = (
        (0, "material_names", sheets),
        (2, "space_types", _words("OUTDOORAIRFLOW", "space_type")),
        (3, "activities", _words("CO2LEVEL", "activity")),
        (4, "sources", _words("SOURCELEVELS", "kind")),
    )
    for offset, name, words in columns:
        for row, word in enumerate(words, start=first):
            page.put(row, FIRST + offset, word, font=look.SMALL, align=look.LEFT if offset == 0 else look.UNIT)
        letter = "BCDEF"[offset]
        book.name(name, page, first, FIRST + offset, last=f"${letter}${first + len(words) - 1}")
    for row in range(first, first + len(sheets)):
        page.put(row, FIRST + 1, f"=STILL_SURFACEMASS(B{row},units)", font=look.SMALL, number_format=look.TWO)
        page.sheet.row_dimensions[row].height = 13
    page.at = first + len(sheets)
    _surfaces(book, page)
    page.finish(page.at - 1)
    return page


def _surfaces(book: Book, page: Page) -> None:
    """Surfaces inside the room, with one number for each."""
    page.skip()
    page.head_row(("Surface inside the room", "NRC", "Group", "", ""), words=(0, 2))
    first = page.at
    for surface in surfaces().values():
        page.put(page.at, FIRST, surface.name, font=look.SMALL, align=look.LEFT)
        rating = f"=STILL_NRCRATING(STILL_ABSORPTION(B{page.at}))"
        page.put(page.at, FIRST + 1, rating, font=look.SMALL, number_format=look.TWO)
        page.put(page.at, FIRST + 2, surface.group, font=look.SMALL, align=look.UNIT)
        page.sheet.row_dimensions[page.at].height = 13
        page.at += 1
    book.name("surface_names", page, first, FIRST, last=f"$B${page.at - 1}")


def _words(formula: str, argument: str) -> Sequence[str]:
    found: Parameter = next(p for p in formulas()[formula].parameters if p.name == argument)
    return found.reader.choices
