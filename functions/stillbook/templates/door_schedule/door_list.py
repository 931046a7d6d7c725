"""Door list: every door with what it is made of, for contractors, without price, cost, margin or client."""

from __future__ import annotations

from stillbook.cautions import HEAVY_DOORS
from stillbook.quantities import FORCE, LENGTH, MASS
from stillbook.templates import look
from stillbook.templates.page import Book, Page
from stillbook.templates.parts.letter import sentence
from stillbook.templates.parts.schedule import Schedule, Worked, widths


def columns(book: Book) -> tuple[Worked, ...]:
    """The columns of the door list, in order."""
    small, mass, pull = book.unit(LENGTH), book.unit(MASS), book.unit(FORCE)
    digits = book.pick(2, 0)
    added = 'IF({added_sheets}="","",{added_sheets})'
    return (
        Worked("Mark", "{marks}", 8, words=True),
        Worked("Room", 'IF({rooms}="","",{rooms})', 20, words=True),
        Worked("Doors", "{kinds}", 9, words=True),
        Worked(f"Width, {small}", f"ROUND({{widths}},{digits})", 9, number_format=look.GENERAL),
        Worked(f"Height, {small}", f"ROUND({{heights}},{digits})", 9, number_format=look.GENERAL),
        Worked("Slab", "{slabs}", 43, words=True),
        Worked("Added sheet", added, 25, words=True),
        Worked("Sheets each door", 'IF({added_sheets}="","",{added_layers})', 9, number_format=look.WHOLE),
        Worked(f"Door, {mass}", "{door_masses}", 9, number_format=look.WHOLE, strong=True),
        Worked("Hinges each", "{hinge_counts}", 8, number_format=look.WHOLE),
        Worked(f"Pull on the top one, {pull}", "{hinge_pulls}", 11, number_format=look.WHOLE),
        Worked("STC wanted", 'IF({stc_wanted}="","",{stc_wanted})', 9, number_format=look.WHOLE),
    )


def write(book: Book, schedule: Schedule) -> Page:
    """Write the sheet of doors."""
    shown = columns(book)
    small = book.unit(LENGTH)
    page = book.page(
        "Door list", "Every door with its size, make-up, mass and hinges. Widths and heights are those of the leaf.", widths(shown), wide=True, single=True
    )
    sentence(
        page,
        f'="Seals at head, jambs and threshold: of a gap of "&TEXT(door_gap,"{book.pick("0.000", "0.0")}")&" {small} all round, "'
        '&TEXT(seal_share,"0%")&" closed. A pair: a door in each leaf of the wall, "'
        f'&TEXT(pair_distance,"{book.pick("0.0", "0")}")&" {small} apart, lined between."',
    )
    page.caution(HEAVY_DOORS)
    page.skip()
    schedule.write(page, shown)
    page.finish(page.at - 1)
    page.show_to("contractor")
    return page
