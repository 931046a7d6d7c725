"""Inputs: what holds for all doors."""

from __future__ import annotations

from stillbook.templates import look
from stillbook.templates.booth import inputs
from stillbook.templates.door_schedule import rows
from stillbook.templates.page import Book, Input, Page
from stillbook.templates.parts.schedule import notes


def write(book: Book) -> Page:
    """Write the sheet."""
    page = inputs.begin(book)
    inputs.sections(
        page,
        (
            ("Job", "", inputs.job(book)),
            ("Gaps, seals and limits", "each door has its row on the Schedule sheet", doors(book)),
            ("Sheets and price", "", price(book)),
        ),
    )
    page.heading("Columns of the Schedule sheet", "a row for each door")
    notes(page, rows.columns(book))
    page.finish(page.at - 1)
    return page


def doors(book: Book) -> list[Input]:
    """Gaps, seals and limits."""
    small, mass = book.pick("in", "mm"), book.pick("lb", "kg")
    return [
        Input("door_margin", "Margin over the wall's mass", 0.05, "share", "Added to the least mass.", 0, 1,
              number_format=look.PERCENT),
        Input("slab_thickness", "Slab thickness", book.pick(1.75, 44), small, "For the clear width.",
              book.pick(0.5, 12), book.pick(6, 150), number_format=look.TWO),
        Input("makeup_most", "Most added thickness", book.pick(2.5, 64), small, "Latch, hinges and frame set it.",
              book.pick(0.1, 3), book.pick(6, 150), number_format=look.TWO),
        Input("door_gap", "Gap at the edges", book.pick(0.125, 3), small, "Between leaf and frame, before seals.",
              book.pick(0.01, 0.3), book.pick(1, 25), number_format=look.THREE),
        Input("seal_share", "Share of the gap sealed", 0.98, "share", "1 is a perfect seal; none is.", 0, 1,
              number_format=look.PERCENT),
        Input("pair_distance", "Between the doors of a pair", book.pick(8, 200), small, "Clear depth of the space between.",
              book.pick(1, 25), book.pick(240, 6000), number_format=look.ONE),
        Input("reveal_absorption", "Absorption between them", 0.5, "share", "Lined reveals 0.5 or more; bare 0.1.", 0.02, 1,
              number_format=look.TWO),
        Input("mass_limit", "Heaviest door without special care", book.pick(200, 90), mass,
              "Above it heavy bearing hinges and a frame fixed to structure (common practice).", book.pick(50, 20),
              book.pick(2000, 900), number_format=look.WHOLE),
        Input("width_limit", "Least clear width", book.pick(32, 813), small, "The usual least for a way out; the local code decides.",
              book.pick(20, 500), book.pick(60, 1500), number_format=look.WHOLE),
    ]  # fmt: skip


def price(book: Book) -> list[Input]:
    """How sheets are counted, and what stands between cost and price."""
    unit = book.pick("ft", "m")
    return [
        Input("sheet_width", "Sheet width", book.pick(4, 1.2), unit, "Sheets as bought.", book.pick(1, 0.3), book.pick(6, 2),
              number_format=look.TWO),
        Input("sheet_height", "Sheet height", book.pick(8, 2.4), unit, "Sheets as bought.", book.pick(3, 0.9),
              book.pick(16, 5), number_format=look.TWO),
        Input("sheet_waste", "Waste, sheets", 0.15, "share", "Door faces cut much to waste.", 0, 1, number_format=look.PERCENT),
        Input("overhead", "Overhead on direct cost", 0.12, "share", "Rent, office, tools, insurance.", 0, 1,
              number_format=look.PERCENT),
        Input("contingency", "Contingency on cost", 0.05, "share", "On direct cost with overhead.", 0, 1,
              number_format=look.PERCENT),
        Input("margin", "Margin in the price", 0.2, "share", "Profit as a share of the price, not of the cost.", 0, 0.9,
              number_format=look.PERCENT),
    ]  # fmt: skip
