"""Checks: what is old, doubled, missing or unknown in the book."""

from __future__ import annotations

from stillbook.templates import look
from stillbook.templates.page import Book, Page
from stillbook.templates.parts import check_sheet
from stillbook.templates.parts.check_sheet import AT_MOST, CheckRow

_COUNTED = (
    ("Codes that stand twice", "price_mends", "*twice*", "Give each its own code: an estimate takes the first found."),
    ("Codes without a cost", "price_mends", "*no cost*", "Write a number over 0, or clear the row."),
    ("Codes whose rate of work is none", "price_mends", "*no rate*", "Write a number over 0, or leave it blank for no work."),
    ("Codes without a date", "price_mends", "*no date*", "Write the day of the quotation."),
    ("Codes whose supplier is not known", "price_mends", "*supplier*", "Add the supplier, or mend its code."),
    ("Codes whose trade is not known", "price_mends", "*trade*", "Add the trade on the Labour sheet."),
    ("Parts whose item is not known", "part_mends", "*item*", "Add the code on the Unit costs sheet, or mend it."),
    ("Parts whose assembly is not known", "part_mends", "*assembly*", "Add the assembly, or mend its code."),
    ("Parts without a quantity", "part_mends", "*quantity*", "Write a number over 0, or clear the row."),
    ("Parts whose waste is no share", "part_mends", "*waste*", "Write a share from 0 up, or leave it blank for none."),
    ("Assemblies without parts", "assembly_counts", "0", "Say on the Parts sheet what it is made of."),
    ("Take-off of assemblies not known", "takeoff_mends", "*assembly*", "Add the assembly, or mend its code."),
    ("Take-off without a quantity", "takeoff_mends", "*quantity*", "Write a number over 0, or clear the row."),
)

_CODES = {"price_mends": "price_codes", "part_mends": "part_assemblies", "takeoff_mends": "takeoff_codes"}


def _naming(column: str, sign: str, advice: str) -> str:
    """The advice, with the code of the first row it is about."""
    codes = _CODES.get(column)
    return f'="{advice}"&IFERROR(" First: "&INDEX({codes},MATCH("{sign}",{column},0))&".","")' if codes else advice


def write(book: Book) -> Page:
    """Write the sheet."""
    return check_sheet.write(
        book,
        (
            CheckRow("Office and day are filled in", '=IF(OR(office="",N(book_date)=0),"","yes")', number_format=look.GENERAL).advising(
                "Fill them in on the Inputs sheet."
            ),
            CheckRow("Oldest price, in months", '=IF(N(book_date)=0,"",MAX(price_ages))', AT_MOST, "=oldest_months").advising(
                "Ask for new quotations: the Unit costs sheet shows which."
            ),
            CheckRow("Prices dated after the book", '=IF(N(book_date)=0,"",COUNTIF(price_mends,"*later*"))', AT_MOST, "=0", look.WHOLE).advising(
                "Mend the date, or the day of the book."
            ),
            *(
                CheckRow(rule, f'=COUNTIF({column},"{sign}")', AT_MOST, "=0", look.WHOLE).advising(_naming(column, sign, advice))
                for rule, column, sign, advice in _COUNTED
            ),
            CheckRow(
                "Trades whose hour costs nothing", '=COUNTIF(labour_trades,"?*")-COUNTIFS(labour_trades,"?*",labour_rates,">0")', AT_MOST, "=0", look.WHOLE
            ).advising("Write the wage on the Labour sheet."),
            CheckRow(
                "Trades whose on-costs are no share", '=COUNTIF(labour_trades,"?*")-COUNTIFS(labour_trades,"?*",on_costs,">=0")', AT_MOST, "=0", look.WHOLE
            ).advising("Write a share from 0 up on the Labour sheet; 0 where the wage holds them."),
        ),
    )
