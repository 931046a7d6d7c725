"""Inputs: the office, the day, and the client price levels."""

from __future__ import annotations

from stillbook.templates import look
from stillbook.templates.booth import inputs
from stillbook.templates.page import Book, Input, Page
from stillbook.templates.parts.schedule import notes
from stillbook.templates.price_book import assemblies, labour, prices, suppliers, takeoff
from stillbook.templates.price_book.levels import LEVELS


def write(book: Book) -> Page:
    """Write the sheet."""
    page = inputs.begin(book)
    inputs.sections(
        page, (("Office", "", office(book)), ("Client price levels", "cost with the mark-up of the level", levels()))
    )
    page.break_here()
    for sheet, columns in (
        ("Labour", labour.columns(book)),
        ("Prices", prices.columns(book)),
        ("Suppliers", suppliers.columns()),
        ("Assemblies", assemblies.columns(book)),
        ("Parts", assemblies.part_columns(book)),
        ("Take-off", takeoff.columns(book)),
    ):
        page.heading(f"Columns of the {sheet} sheet")
        notes(page, columns)
        page.skip()
    page.finish(page.at - 2)
    return page


def office(book: Book) -> list[Input]:
    """Whose book it is, and for when."""
    return [
        Input("office", "Office", None, "text", "Name of the office that keeps this book."),
        Input("book_date", "Prices stand for", None, "date", "The day the book is looked at.", number_format=look.DATE),
        Input("oldest_months", "Oldest price allowed", 9, "months", "Older ones fail their check.", 1, 60, number_format=look.WHOLE),
        Input("currency", "Currency", book.pick("USD", "EUR"), "text", "Shown beside every amount."),
        Input("level", "Level of the Take-off sheet", "B", "", "The level below.", choices=("A", "B", "C")),
    ]  # fmt: skip


def levels() -> list[Input]:
    """Name and mark-up of each level."""
    found = []
    for letter, name, markup in LEVELS:
        capital = letter.upper()
        found += [
            Input(f"level_{letter}_name", f"Level {capital}", name, "text", "Whom it is for."),
            Input(f"level_{letter}_markup", f"Mark-up, level {capital}", markup, "share",
                  "On costs. An estimate repriced at this level adds its own overhead and margin.", 0, 5,
                  number_format=look.PERCENT),
        ]  # fmt: skip
    return found
