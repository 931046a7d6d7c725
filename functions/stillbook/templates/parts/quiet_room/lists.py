"""Lists: the materials with their masses, and the other words the drop-downs offer."""

from __future__ import annotations

from collections.abc import Sequence

from stillbook.quantities import SURFACE_MASS
from stillbook.templates import look
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.parts.quiet_room import scope_lists, told_lines
from stillbook.templates.parts.quiet_room.takeoff import TakeoffLine
from stillbook.templates.parts.said import Said
from stillbook.templates.parts.words import fill, words_of
from stillbook.trade.mass.materials import materials
from stillbook.trade.room.absorption import surfaces


def write(book: Book, takeoff_page: Page, lines: Sequence[tuple[int, TakeoffLine]], layers: Sequence[Said]) -> Page:
    """Write the sheet, and name each list; the lines are those of the Take-off sheet, each with its row, ``layers`` what contractors read."""
    page = book.page("Lists", "Words the drop-downs offer. STILL_MATERIALS() and STILL_SURFACES() list them with their sources.", (44, 9, 24, 20, 18))
    page.head_row(("Material", book.unit(SURFACE_MASS), "Kind of space", "Activity", "Source"), words=(0, 2, 3, 4))
    sheets = [material.name for material in materials().values() if material.surface_mass is not None]
    substances = [material.name for material in materials().values() if material.surface_mass is None]
    fill(page, 0, "layer_materials", [*sheets, *substances])
    page.name("material_names", page.at, FIRST, page.at + len(sheets) - 1)
    fill(page, 2, "space_types", words_of("OUTDOORAIRFLOW", "space_type"))
    fill(page, 3, "activities", words_of("CO2LEVEL", "activity"))
    fill(page, 4, "sources", words_of("SOURCELEVELS", "kind"))
    for _ in sheets:
        page.put(page.at, FIRST + 1, f"=STILL_SURFACEMASS(B{page.at},units)", font=look.SMALL, number_format=look.TWO)
        page.at += 1
    page.at += len(substances)
    page.note("Materials without a mass have no usual thickness: a layer of a build-up takes them with its own.")
    _surfaces(book, page)
    told_lines.write(page, takeoff_page, lines)
    scope_lists.write(page, lines, layers, scope_lists.measured(takeoff_page, lines))
    page.finish(page.at - 1)
    page.never_print()
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
