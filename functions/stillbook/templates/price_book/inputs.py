"""Inputs: the office, the day, and the client price levels."""

from __future__ import annotations

from stillbook.templates import look
from stillbook.templates.page import Book, Page
from stillbook.templates.parts import input_sheet
from stillbook.templates.parts.schedule import notes
from stillbook.templates.price_book import assemblies, labour, suppliers, takeoff, unit_costs
from stillbook.templates.price_book.levels import LEVELS
from stillbook.workbook.job.inputs import InputSpec


def write(book: Book) -> Page:
    """Write the sheet."""
    page = input_sheet.begin(book)
    input_sheet.sections(page, (("Office", "", office(book)), ("Client price levels", "cost with the mark-up of the level", levels(book))))
    page.break_here()
    for sheet, columns in (
        ("Labour", labour.columns(book)),
        ("Unit costs", unit_costs.columns(book)),
        ("Suppliers", suppliers.columns(book)),
        ("Assemblies", assemblies.columns(book)),
        ("Parts", assemblies.part_columns(book)),
        ("Take-off", takeoff.columns(book)),
    ):
        page.heading(f"Columns of the {sheet} sheet")
        notes(page, columns)
        page.skip()
    page.finish(page.at - 2)
    return page


def office(book: Book) -> list[InputSpec]:
    """Whose book it is, and for when."""
    return [
        book.input("office", "Office", "text").saying("Name of the office that keeps this book."),
        book.input("book_date", "Prices stand for", "date").saying("The day the book is looked at."),
        book.input("oldest_months", "Oldest price allowed", "months", 9, 1, 60, look.WHOLE).saying("Older ones fail their check."),
        book.input("currency", "Currency", "text", ("USD", "EUR")).saying("Shown beside every amount."),
        book.input("level", "Level of the Take-off sheet", "", "B", choices=("A", "B", "C")).saying("The level below."),
    ]


def levels(book: Book) -> list[InputSpec]:
    """Name and mark-up of each level."""
    found = []
    for letter, name, markup in LEVELS:
        capital = letter.upper()
        found += [
            book.input(f"level_{letter}_name", f"Level {capital}", "text", name).saying("Whom it is for."),
            book.input(f"level_{letter}_markup", f"Mark-up, level {capital}", "share", markup, 0, 5).saying(
                "On costs. An estimate repriced at this level adds its own overhead and margin."
            ),
        ]
    return found
