"""The Inputs sheet of the booth: all that its first sheet does not ask."""

from __future__ import annotations

from stillbook.templates.page import Book, Page
from stillbook.templates.parts import input_sheet, inputs, job_inputs, walls
from stillbook.templates.parts.quiet_room import alternates, explored, range_inputs


def write(book: Book) -> Page:
    """Write the sheet."""
    page = input_sheet.begin(book, purpose=input_sheet.OPEN, parts=True)
    walls.ask(page, ("inner", "outer"))
    inputs.closed_sections(
        page,
        (
            ("Job", "", [*job_inputs.job(book), *job_inputs.addresses(book)]),
            ("Room and the space it stands in", "inside sizes are finished sizes", inputs.room(book)),
            ("People and heat", "", inputs.people(book)),
        ),
    )
    inputs.day(book, page)
    input_sheet.build_ups(book, page, inputs.leaves(book))
    inputs.closed_sections(page, (("Frames and cavity", "", inputs.frames(book)), *inputs.services(book)))
    range_inputs.ask(book, page)
    alternates.ask(book, page)
    explored.ask(book, page)
    page.finish(page.at - 1)
    page.never_print()
    return page
