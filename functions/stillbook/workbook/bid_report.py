"""The bid comparison as a workbook: the bids beside each other, line by line, and what to look at."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Final

from openpyxl.utils import get_column_letter

from stillbook.templates import look
from stillbook.templates.cautions import CAUTIONS
from stillbook.templates.charts import bars_with_limits
from stillbook.templates.page import FIRST, Book, Page
from stillbook.workbook.reports import Formula, put_text, save_report, table_row

if TYPE_CHECKING:
    from stillbook.workbook.bids import BidComparison

MOST_SHOWN: Final = 44
"""Letters of a contractor's name in the heading of a column."""


def write_bids(comparison: BidComparison, path: Path, *, replace: bool = False) -> Path:
    """Write a bid comparison as a workbook; gives its path.

    Raises:
        WorkbookError: If the file exists and may not be replaced, or cannot be written.
    """
    book = Book("US", "Bid comparison")
    _bids(book, comparison)
    _lines(book, comparison)
    _findings(book, comparison)
    return save_report(book, path, replace=replace)


def _bids(book: Book, comparison: BidComparison) -> None:
    purpose = "Contractors' bids beside our estimate. For the office only: it shows our cost."
    page = book.page("Bids", purpose, (26, 15, 15, 15, 11, 15, 12, 13), wide=True)
    page.put(page.at, FIRST, "Job", font=look.QUIET)
    put_text(page, page.at, FIRST + 1, Path(comparison.job).name)
    page.skip(2)
    page.heading("Sums, before tax")
    titles = ("Contractor", "As written", "Corrected", "Own lines", "No price", "Levelled", "To ours", "Our cost")
    page.head_row(titles, words=(0,))
    head = page.at - 1
    for bid in comparison.bids:
        row = page.at
        levelled, ours = (f"{get_column_letter(FIRST + offset)}{row}" for offset in (5, 7))
        table_row(
            page,
            (
                bid.contractor,
                bid.written,
                bid.sum,
                bid.own,
                len(bid.missing),
                bid.levelled,
                Formula(f"=IF({ours}>0,{levelled}/{ours}-1,0)"),
                comparison.our_cost,
            ),
            ("text", look.MONEY, look.MONEY, look.MONEY, look.WHOLE, look.MONEY, look.PERCENT, look.MONEY),
        )
    page.note(
        "Corrected: the quantities asked for at the contractor's unit prices, and own lines. Levelled: the same, with "
        "lines without a price at the middle of the other bids, or at our cost where nobody bids. Our cost has no "
        "overhead, margin or tax in it."
    )
    page.skip()
    bars_with_limits(
        page,
        title="Levelled bids and our cost",
        labels=(FIRST, head + 1, head + len(comparison.bids)),
        bars=(FIRST + 5, head),
        limits=((FIRST + 7, head),),
        value_title="Sum",
        anchor=f"{get_column_letter(FIRST)}{page.at}",
        size=(18.0, 8.5),
    )
    page.skip(19)
    page.heading("Remarks")
    for bid in comparison.bids:
        table_row(page, (bid.contractor, None), ("text", "text"))
        put_text(page, page.at - 1, FIRST + 1, bid.remarks or "none")
        page.sheet.cell(page.at - 1, FIRST + 1).alignment = look.UNWRAPPED
    for file, reason in comparison.unread:
        table_row(page, (Path(file).name, None), ("text", "text"))
        put_text(page, page.at - 1, FIRST + 1, f"not read: {reason}")
        page.sheet.cell(page.at - 1, FIRST + 1).alignment = look.UNWRAPPED
    page.skip()
    for text in CAUTIONS:
        page.caution(text)
    page.finish()


def _lines(book: Book, comparison: BidComparison) -> None:
    names = [bid.contractor for bid in comparison.bids]
    purpose = "Unit prices line by line, for the quantities asked for; blank where there is no price."
    widths = (6, 38, 10, 9, 12, *[15.0] * len(names), 20, 10, 10)
    page: Page = book.page("Lines", purpose, widths, wide=True)
    page.head_row(
        ("No.", "Item", "Quantity", "Unit", "Our cost", *["x"] * len(names), "Lowest", "Spread", "To ours"),
        words=(0, 1, 3, 5 + len(names)),
    )
    for offset, name in enumerate(names):
        put_text(page, page.at - 1, FIRST + 5 + offset, name[:MOST_SHOWN])
    page.sheet.row_dimensions[page.at - 1].height = 48
    money = [look.PRICE] * (1 + len(names))
    for entry in comparison.lines:
        low = entry.prices.get(entry.lowest)
        table_row(
            page,
            (
                entry.line.number,
                entry.line.text,
                entry.line.quantity,
                entry.line.unit,
                entry.our_price,
                *(entry.prices.get(name) for name in names),
                entry.lowest or "nobody",
                entry.spread,
                low / entry.our_price - 1 if low is not None and entry.our_price else None,
            ),
            (look.WHOLE, "text", look.WHOLE, "text", *money, "text", look.PERCENT, look.PERCENT),
        )
        page.sheet.cell(page.at - 1, FIRST).alignment = look.LEFT
    page.note("Spread: the highest price over the lowest, less one. To ours: the lowest price over our cost, less one.")
    page.finish()


def _findings(book: Book, comparison: BidComparison) -> None:
    purpose = "What differs from what was asked, or does not add up. Nothing was put right."
    page = book.page("To look at", purpose, (26, 8, 12, 84), wide=True)
    if not comparison.findings:
        page.note("Nothing: every bid prices every line as asked, and adds up.")
    else:
        page.head_row(("Contractor", "Line", "What", "Finding"), words=(0, 2, 3))
    for finding in comparison.findings:
        table_row(
            page,
            (finding.contractor, finding.line or None, finding.kind, finding.text),
            ("text", look.WHOLE, "text", "text"),
        )
    page.finish()
