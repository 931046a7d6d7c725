"""Lines: what is asked for with our cost, and each bid's amount for it beside the others'."""

from __future__ import annotations

from typing import Final

from openpyxl.utils import get_column_letter

from stillbook.templates import look
from stillbook.templates.bid_comparison.bidders import LETTERS, heading
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.parts.schedule import Place, Schedule, Typed, Worked, typed, widths

ROWS: Final = 80
ITEM: Final = 44.0
"""Width of the words of a line."""


def typed_columns(book: Book) -> tuple[Typed, ...]:
    """The columns that say what is asked for."""
    return (
        typed(book, "No.", "asked_numbers", 6, "", 1, 9999, look.WHOLE).saying("Number of the line in the scope. A row without one is blank."),
        typed(book, "Item", "asked_texts", ITEM, number_format=look.TEXT, words=True).saying("What it is."),
        typed(book, "Trade", "asked_trades", 8.5, number_format=look.TEXT, words=True).saying("Who does it."),
        typed(book, "Quantity", "asked_quantities", 9.5, "", 0, 1e7, "#,##0.0").saying("How much is asked for."),
        typed(book, "Unit", "asked_units", 7.5, number_format=look.TEXT, words=True).saying("What it is priced by."),
        typed(book, f"Our cost, {book.currency}", "asked_costs", 10, "", 0, 1e9, look.MONEY).saying(
            "Our material and labour for the whole quantity, without overhead, margin or tax."
        ),
    )


def worked() -> tuple[Worked, ...]:
    """The columns that compare the bids."""
    bids = [
        Worked(heading(letter), f'IF({{price_{x}}}="","",{{price_{x}}}*{{asked_quantities}})', 11, f"alike_{x}", look.MONEY)
        for letter in LETTERS
        for x in (letter.lower(),)
    ]
    return (
        *bids,
        Worked("Lowest", 'IF(COUNT({alike})=0,"",MIN({alike}))', 9, "lowest_amounts", look.MONEY),
        Worked("Highest", 'IF(COUNT({alike})=0,"",MAX({alike}))', 9, "highest_amounts", look.MONEY),
        Worked("Spread", 'IF(COUNT({alike})<2,"",IF({lowest_amounts}>0,{highest_amounts}/{lowest_amounts}-1,""))', 9.5, "line_spreads", look.PERCENT),
        Worked("Lowest bid", 'IF({lowest_amounts}="","nobody",INDEX(bidder_letters,MATCH({lowest_amounts},{alike},0)))', 8, "lowest_bidders", words=True),
        Worked(
            "To our cost", 'IF({lowest_amounts}="","",IF(N({asked_costs})>0,{lowest_amounts}/{asked_costs}-1,""))', 8.5, "lines_to_ours", "+0.0%;-0.0%;0.0%"
        ),
        Worked(
            "Far off",
            'IF({lines_to_ours}="","",IF({lines_to_ours}>far_from_ours,"above",IF({lines_to_ours}<-far_from_ours,"below","")))',
            7.5,
            "lines_far",
            words=True,
        ),
    )


def _columns(book: Book) -> tuple[Typed | Worked, ...]:
    return (*typed_columns(book), *worked())


def begin(book: Book, asked: Schedule) -> Page:
    """Start the sheet, so that other sheets can refer to its lines."""
    shown = _columns(book)
    page = book.page(
        "Lines",
        "The lines asked for with our cost, and what each bid comes to for the same quantity, before tax; blank where it has "
        "no price. Lowest, highest and spread are of the bids that price the line.",
        widths(shown),
        wide=True,
    )
    for offset, column in enumerate(shown):
        asked.places[column.name] = Place(page, FIRST + offset, page.at + 2)
    first = asked.places["alike_a"]
    asked.places["alike"] = Place(page, first.column, first.first, wide=len(LETTERS))
    asked.key = shown[0].name
    return page


def write(book: Book, page: Page, asked: Schedule) -> None:
    """Write the sheet that was started."""
    shown = _columns(book)
    _together(page, asked, len(shown))
    first = asked.write(page, shown)
    page.sheet.row_dimensions[first - 1].height = 62
    for row in range(first, first + ROWS):
        for at, column in enumerate(shown, start=FIRST):
            if isinstance(column, Worked) and not column.words:
                page.sheet.cell(row, at).alignment = look.SHRUNK_RIGHT
    page.sheet.freeze_panes = f"{get_column_letter(FIRST + 2)}{first}"
    page.finish(page.at - 1)
    page.sheet.print_title_rows = f"1:{first - 1}"


def _together(page: Page, asked: Schedule, width: int) -> None:
    """The sums stand above the lines, so that a print that ends with the last line has them."""
    values: list[str | None] = [None] * width
    values[1] = "Together, missing lines not filled in"
    for name in ("asked_costs", *(f"alike_{letter.lower()}" for letter in LETTERS)):
        values[asked.places[name].column - FIRST] = f'=IF(COUNT({name})=0,"",SUM({name}))'
    row = page.row(values, ("text", "text", *[look.MONEY] * (width - 2)), strong=True, border=None)
    page.sheet.row_dimensions[row].height = 18
