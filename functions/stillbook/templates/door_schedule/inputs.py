"""Inputs: what holds for all doors."""

from __future__ import annotations

from stillbook.quantities import LENGTH, MASS, ROOM_LENGTH
from stillbook.templates import look
from stillbook.templates.door_schedule import schedule
from stillbook.templates.page import Book, Page
from stillbook.templates.parts import input_sheet, job_inputs
from stillbook.templates.parts.schedule import notes
from stillbook.workbook.job.inputs import InputSpec


def write(book: Book) -> Page:
    """Write the sheet."""
    page = input_sheet.begin(book)
    input_sheet.sections(
        page,
        (
            ("Job", "", job_inputs.job(book)),
            ("Gaps, seals and limits", "each door has its row on the Schedule sheet", doors(book)),
            ("Sheets and price", "", price(book)),
        ),
    )
    page.heading("Columns of the Schedule sheet", "a row for each door")
    notes(page, schedule.columns(book))
    page.finish(page.at - 1)
    return page


def doors(book: Book) -> list[InputSpec]:
    """Gaps, seals and limits."""
    return [
        book.input("door_margin", "Margin over the wall's mass", "share", 0.05, 0, 1).saying("Added to the least mass."),
        book.input("slab_thickness", "Slab thickness", LENGTH, (1.75, 44), (0.5, 12), (6, 150), look.TWO).saying("For the clear width."),
        book.input("makeup_most", "Most added thickness", LENGTH, (2.5, 64), (0.1, 3), (6, 150), look.TWO).saying("Latch, hinges and frame set it."),
        book.input("door_gap", "Gap at the edges", LENGTH, (0.125, 3), (0.01, 0.3), (1, 25), look.THREE).saying("Between leaf and frame, before seals."),
        book.input("seal_share", "Share of the gap sealed", "share", 0.98, 0, 1).saying("1 is a perfect seal; none is."),
        book.input("pair_distance", "Between the doors of a pair", LENGTH, (8, 200), (1, 25), (240, 6000), look.ONE).saying(
            "Clear depth of the space between."
        ),
        book.input("reveal_absorption", "Absorption between them", "share", 0.5, 0.02, 1, look.TWO).saying("Lined reveals 0.5 or more; bare 0.1."),
        book.input("mass_limit", "Heaviest door without special care", MASS, (200, 90), (50, 20), (2000, 900)).saying(
            "Above it heavy bearing hinges and a frame fixed to structure (common practice)."
        ),
        book.input("width_limit", "Least clear width", LENGTH, (32, 813), (20, 500), (60, 1500)).saying(
            "The usual least for a way out; the local code decides."
        ),
    ]


def price(book: Book) -> list[InputSpec]:
    """How sheets are counted, and what stands between cost and price."""
    return [
        book.input("sheet_width", "Sheet width", ROOM_LENGTH, (4, 1.2), (1, 0.3), (6, 2)).saying("Sheets as bought."),
        book.input("sheet_height", "Sheet height", ROOM_LENGTH, (8, 2.4), (3, 0.9), (16, 5)).saying("Sheets as bought."),
        book.input("overhead", "Overhead on direct cost", "share", 0.12, 0, 1).saying("Rent, office, tools, insurance."),
        book.input("contingency", "Contingency on cost", "share", 0.05, 0, 1).saying("On direct cost with overhead."),
        *job_inputs.level(book),
        book.input("margin", "Margin in the price", "share", 0.2, 0, 0.9).saying("Profit as a share of the price, not of the cost."),
    ]
