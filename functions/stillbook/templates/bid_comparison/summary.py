"""Summary: each bid as written, as it adds up, and alike in scope, beside our cost; and by trade."""

# ruff: noqa: E501 - rows of a table stay whole

from __future__ import annotations

from typing import Final

from openpyxl.utils import get_column_letter

from stillbook.templates import look
from stillbook.templates.bid_comparison.bidders import LETTERS, heading, name
from stillbook.templates.charts import bars_with_limits
from stillbook.templates.page import FIRST, Book, Page, Result

TRADES: Final = 8
LOWEST_CAUTION: Final = (
    "Lowest is not a recommendation. Compare scope, remarks, references, insurance and time first; a price far below the others "
    "may have a line wrong, or left out."
)
_SIGNED: Final = "+0.0%;-0.0%;0.0%"
_TITLES: Final = (
    "Bidder",
    "As written",
    "Its lines added up",
    "As compared",
    "Own lines in it",
    "Lines without price",
    "Filled in for them",
    "Alike in scope",
    "Rank",
    "Over the lowest",
    "To our cost",
    "Our cost",
)
_FORMATS: Final = (
    "text", look.MONEY, look.MONEY, look.MONEY, look.MONEY, look.WHOLE, look.MONEY, look.MONEY, look.WHOLE, look.PERCENT,
    _SIGNED, look.MONEY,
)  # fmt: skip


def write(book: Book) -> Page:
    """Write the sheet."""
    page = book.page(
        "Summary",
        "Bids beside our cost, before tax. For the office only.",
        (31, 12, 13, 13, 14, 13, 13, 14, 7, 11, 11.5, 12),
        wide=True,
    )
    page.heading("Bids", "=currency")
    page.head_row(_TITLES)
    first = page.at
    for letter in LETTERS:
        _bid(page, letter)
    _names(book, page, first)
    page.note(
        "As compared: the quantities asked for at the bid's unit prices, before tax, with own lines that count. Alike in scope: "
        "the same, with lines without a price filled in as the Inputs sheet says. Our cost has no overhead, margin or tax in "
        "it; a bid has the bidder's."
    )
    page.skip()
    _results(page)
    page.caution(LOWEST_CAUTION)
    page.break_here()
    page.sheet.row_dimensions[page.at].height = 6
    page.skip()
    bars_with_limits(
        page,
        title="Bids alike in scope, and our cost",
        labels=(FIRST, first, first + len(LETTERS) - 1),
        bars=(FIRST + 7, first - 1),
        limits=((FIRST + 11, first - 1),),
        value_title=book.pick("USD", "EUR"),
        anchor=f"{get_column_letter(FIRST)}{page.at}",
        size=(25.0, 7.4),
    )
    page.skip(15)
    _trades(page)
    page.finish()
    return page


def _bid(page: Page, letter: str) -> None:
    x, row = letter.lower(), page.at
    at = dict(
        zip(_TITLES, (f"{get_column_letter(FIRST + offset)}{row}" for offset in range(len(_TITLES))), strict=True)
    )
    number = LETTERS.index(letter) + 1
    alike = at["Alike in scope"]
    formulas = (
        name(letter),
        f'IF(ISNUMBER(INDEX(bidder_sums,{number})),INDEX(bidder_sums,{number}),"")',
        f'SUM(written_{x})+SUMIF(own_bids,"{letter}",own_written)',
        f"SUM(alike_{x})+{at['Own lines in it']}",
        f'SUMIF(own_bids,"{letter}",own_amounts)',
        f"COUNT(asked_numbers)-COUNT(alike_{x})",
        f"SUM(filled_{x})-SUM(alike_{x})",
        f"{at['As compared']}+{at['Filled in for them']}",
        f"RANK({alike},bids_alike,1)",
        f'IF(lowest_bid>0,{alike}/lowest_bid-1,"")',
        f'IF(our_cost>0,{alike}/our_cost-1,"")',
        "our_cost",
    )
    page.row([f'=IF({name(letter)}="","",{formula})' for formula in formulas], _FORMATS)
    cell = page.sheet.cell(row, FIRST)
    cell.alignment = look.LEFT
    page.sheet.row_dimensions[row].height = 29


def _names(book: Book, page: Page, first: int) -> None:
    last = first + len(LETTERS) - 1
    for offset, called in (
        (2, "added_up"),
        (3, "bids_compared"),
        (4, "bids_own"),
        (5, "bids_missing"),
        (7, "bids_alike"),
    ):
        column = FIRST + offset
        page.name(called, first, column, last)
    for offset, letter in enumerate(LETTERS):
        formula = f'=COUNT(written_{letter.lower()})+COUNTIF(own_bids,"{letter}")'
        page.put(first + offset, page.last_column + 2, formula, font=look.QUIET)
    column = page.last_column + 2
    page.name("added_counts", first, column, last)


def _results(page: Page) -> None:
    money = page.book.pick("USD", "EUR")
    page.heading("Together")
    lowest = 'IF(COUNT(bids_alike)=0,"",{})'
    for entry in (
        Result("Our cost of the lines", "=SUM(asked_costs)", money, "our_cost", look.MONEY, key=True),
        Result("Bids", '=SUMPRODUCT((bidder_names<>"")*1)', "", "bids_in", look.WHOLE, key=True),
        Result("Lowest, alike in scope", "=" + lowest.format("MIN(bids_alike)"), money, "lowest_bid", look.MONEY, key=True),
        Result("Lowest bid", "=" + lowest.format("INDEX(bidder_letters,MATCH(lowest_bid,bids_alike,0))"), "", "lowest_letter",
               look.GENERAL, "=" + lowest.format("INDEX(bidder_names,MATCH(lowest_bid,bids_alike,0))")),
        Result("Lowest to our cost", "=" + lowest.format('IF(our_cost>0,lowest_bid/our_cost-1,"")'), "", "lowest_to_ours",
               _SIGNED, key=True),
        Result("Spread, highest over lowest", "=" + lowest.format('IF(lowest_bid>0,MAX(bids_alike)/lowest_bid-1,"")'), "",
               "bids_spread", look.PERCENT, key=True),
        Result("Findings", "=COUNT(found_places)", "", "findings", look.WHOLE, key=True),
    ):  # fmt: skip
        page.result(entry)
        if entry.name == "lowest_letter":
            row = page.at - 1
            page.sheet.row_dimensions[row].height = 17
            for offset in (0, 1, 3):
                page.sheet.cell(row, FIRST + offset).font = look.STRONG
            comment = page.book.result_comment("lowest_bidder", "Who bids lowest", "")
            page.book.name("lowest_bidder", page, row, FIRST + 3, comment=comment)


def _trades(page: Page) -> None:
    """Our cost and the bids by trade, with lines without a price filled in."""
    page.heading("By trade, alike in scope", "=currency")
    page.head_row(("Trade", "Our cost", *(heading(letter) for letter in LETTERS), *[""] * 4), words=(0,))
    page.sheet.row_dimensions[page.at - 1].height = 50
    first = page.at
    formats = ("text", *[look.MONEY] * 7)
    columns = ("asked_costs", *(f"filled_{x}" for x in LETTERS.lower()))
    shown = ("1", *(f'{name(letter)}<>""' for letter in LETTERS))
    for place in range(1, TRADES + 1):
        trade = f"${get_column_letter(FIRST)}{page.at}"
        amounts = [
            f'=IF({trade}="","",IF({known},SUMIF(asked_trades,{trade},{column}),""))'
            for column, known in zip(columns, shown, strict=True)
        ]
        page.row(
            (f'=IF({place}>SUM(trade_firsts),"",INDEX(asked_trades,MATCH({place},trade_orders,0)))', *amounts), formats
        )
    rest = [
        f'=IF({known},SUM({column})-SUM({letter}{first}:{letter}{page.at - 1}),"")'
        for letter, column, known in zip(
            (get_column_letter(FIRST + 1 + offset) for offset in range(7)), columns, shown, strict=True
        )
    ]
    page.row(("Other trades, or none named", *rest), formats)
    own = [f'=IF({name(letter)}="","",INDEX(bids_own,{place}))' for place, letter in enumerate(LETTERS, start=1)]
    page.row(("Own lines that count", None, *own), formats)
    totals = [
        f'=IF({known},SUM({letter}{first}:{letter}{page.at - 1}),"")'
        for letter, known in zip((get_column_letter(FIRST + 1 + offset) for offset in range(7)), shown, strict=True)
    ]
    page.row(("Together", *totals), formats, strong=True, border=look.TOTAL_ROW)
