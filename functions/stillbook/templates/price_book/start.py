"""Start: whose book, how it stands, and the cautions."""

from __future__ import annotations

from stillbook.templates import look
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.parts import front
from stillbook.templates.parts.front import Figure
from stillbook.workbook.job.audience import OFFICE_ONLY

SHEETS = (
    ("Inputs", "The office, the day the book stands for, and the client price levels."),
    ("Labour", "Wages, on-costs and the rate of each trade."),
    ("Unit costs", "Materials and equipment by code: cost, rate of work, supplier, date, price levels."),
    ("Suppliers", "Who sells what, and on what terms."),
    ("Assemblies", "Made-up work by its unit: cost, hours and price levels."),
    ("Parts", "What each assembly is made of, by its unit, with waste."),
    ("Take-off", "Quantities of assemblies, and what they come to."),
    ("Order", "The materials and hours those quantities take."),
    ("Checks", "What is old, doubled, missing or unknown in the book."),
)


def write(book: Book) -> Page:
    """Write the sheet."""
    page = front.write(
        book,
        "For the office only: costs, rates and suppliers under one code each, for every estimate to use.",
        about=(("Office", '=IF(office="","not filled in",office)'), ("Stands for", '=IF(N(book_date)=0,"not filled in",TEXT(book_date,"yyyy-mm-dd"))')),
        figures=(
            Figure("Codes", '=SUMPRODUCT((price_codes<>"")*1)', look.WHOLE),
            Figure("Assemblies", '=SUMPRODUCT((assembly_codes<>"")*1)', look.WHOLE),
            Figure("Prices to mend", '=COUNTIF(price_states,"Fails")', look.WHOLE),
            Figure("Take-off, cost", "=takeoff_cost", look.MONEY, "=currency"),
            front.CHECKS,
        ),
        sheets=SHEETS,
        closing="All figures, suppliers and dates are invented examples: put your own in. The codes are those of the "
        f"estimates' own Unit costs sheets, boards by their material. {front.LOCKED}",
    )
    book.name(OFFICE_ONLY, page, 1, FIRST)
    return page
