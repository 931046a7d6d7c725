"""Checks: what is old, doubled, missing or unknown in the book."""

from __future__ import annotations

from stillbook.templates import look
from stillbook.templates.page import Book, Page
from stillbook.templates.parts import checks
from stillbook.templates.parts.checks import AT_MOST, CheckRow

_COUNTED = (
    ("Codes that stand twice", "price_mends", "*twice*", "Give each its own code: an estimate takes the first found."),
    ("Codes without a cost", "price_mends", "*no cost*", "Write the cost, or clear the row."),
    ("Codes without a date", "price_mends", "*no date*", "Write the day of the quotation."),
    ("Codes whose supplier is not known", "price_mends", "*supplier*", "Add the supplier, or mend its code."),
    ("Codes whose trade is not known", "price_mends", "*trade*", "Add the trade on the Labour sheet."),
    ("Parts whose item is not known", "part_mends", "*item*", "Add the code on the Prices sheet, or mend it."),
    ("Parts whose assembly is not known", "part_mends", "*assembly*", "Add the assembly, or mend its code."),
    ("Assemblies without parts", "assembly_counts", "0", "Say on the Parts sheet what it is made of."),
    ("Take-off of assemblies not known", "takeoff_mends", "*assembly*", "Add the assembly, or mend its code."),
)


def write(book: Book) -> Page:
    """Write the sheet."""
    return checks.write(
        book,
        (
            CheckRow("Office and day are filled in", '=IF(OR(office="",N(book_date)=0),"","yes")', number_format=look.GENERAL).advising(
                "Fill them in on the Inputs sheet."
            ),
            CheckRow("Oldest price, in months", '=IF(N(book_date)=0,"",MAX(price_ages))', AT_MOST, "=oldest_months").advising(
                "Ask for new quotations: the Prices sheet shows which."
            ),
            CheckRow("Prices dated after the book", '=IF(N(book_date)=0,"",COUNTIF(price_mends,"*later*"))', AT_MOST, "=0", look.WHOLE).advising(
                "Mend the date, or the day of the book."
            ),
            *(CheckRow(rule, f'=COUNTIF({column},"{sign}")', AT_MOST, "=0", look.WHOLE).advising(advice) for rule, column, sign, advice in _COUNTED),
        ),
    )
