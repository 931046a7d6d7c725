"""Summary: each bid as written, as it adds up, and alike in scope, beside our cost; and by trade."""

from __future__ import annotations

from typing import Any, Final

from stillbook.templates import look
from stillbook.templates.bid_comparison.bidders import LETTERS, heading, name
from stillbook.templates.charts import bars_with_limits
from stillbook.templates.page import FIRST, Book, Page, ResultRow
from stillbook.templates.parts.schedule import widths
from stillbook.templates.parts.table import Column, Table

TRADES: Final = 8
LOWEST_CAUTION: Final = (
    "Lowest is not a recommendation. Compare scope, remarks, references, insurance and time first; a price far below the others "
    "may have a line wrong, or left out."
)
_SIGNED: Final = "+0.0%;-0.0%;0.0%"
_COLUMNS: Final = (
    Column("Bidder", "", 31, key="bidder", words=True),
    Column("As written", "", 12, key="written", number_format=look.MONEY),
    Column("Its lines added up", "", 13, "added_up", look.MONEY),
    Column("As compared", "", 13, "bids_compared", look.MONEY),
    Column("Own lines in it", "", 14, "bids_own", look.MONEY),
    Column("Lines without price", "", 13, "bids_missing", look.WHOLE),
    Column("Filled in for them", "", 13, key="filled", number_format=look.MONEY),
    Column("Alike in scope", "", 14, "bids_alike", look.MONEY),
    Column("Rank", "", 7, key="rank", number_format=look.WHOLE),
    Column("Over the lowest", "", 11, key="over", number_format=look.PERCENT),
    Column("To our cost", "", 11.5, key="to_ours", number_format=_SIGNED),
    Column("Our cost", "", 12, key="ours", number_format=look.MONEY),
)


def write(book: Book) -> Page:
    """Write the sheet."""
    page = book.page("Summary", "Bids beside our cost, before tax. For the office only.", widths(_COLUMNS), wide=True)
    page.heading("Bids", "=currency")
    table = Table(page, _COLUMNS)
    head = table.head()
    for letter in LETTERS:
        _bid(table, letter)
    table.name()
    first, last = table.first, page.at - 1
    counts = page.last_column + 2
    for row, letter in enumerate(LETTERS, start=first):
        page.put(row, counts, f'=COUNT(written_{letter.lower()})+COUNTIF(own_bids,"{letter}")', font=look.QUIET)
    page.name("added_counts", first, counts, last)
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
        told="Bars: each bid made alike in scope, against our own cost as a line. The table above holds the figures.",
        labels=(FIRST, first, last),
        bars=(table.places["bids_alike"], head),
        limits=((table.places["ours"], head),),
        value_title=book.currency,
        size=(25.0, 7.4),
    )
    page.skip(15)
    _trades(page)
    page.finish()
    return page


def _bid(table: Table, letter: str) -> None:
    x, number = letter.lower(), LETTERS.index(letter) + 1
    formulas = (
        name(letter),
        f'IF(ISNUMBER(INDEX(bidder_sums,{number})),INDEX(bidder_sums,{number}),"")',
        f'SUM(written_{x})+SUMIF(own_bids,"{letter}",own_written)',
        f"SUM(alike_{x})+{{bids_own}}",
        f'SUMIF(own_bids,"{letter}",own_amounts)',
        f"COUNT(asked_numbers)-COUNT(alike_{x})",
        f"SUM(filled_{x})-SUM(alike_{x})",
        "{bids_compared}+{filled}",
        "RANK({bids_alike},bids_alike,1)",
        'IF(lowest_bid>0,{bids_alike}/lowest_bid-1,"")',
        'IF(our_cost>0,{bids_alike}/our_cost-1,"")',
        "our_cost",
    )
    row = table.row(*(f'=IF({name(letter)}="","",{formula})' for formula in formulas))
    table.page.sheet.cell(row, FIRST).alignment = look.LEFT
    table.page.sheet.row_dimensions[row].height = 29


def _results(page: Page) -> None:
    money = page.book.currency
    page.heading("Together")

    def known(formula: str) -> str:
        return f'=IF(COUNT(bids_alike)=0,"",{formula})'

    for entry in (
        ResultRow("Our cost of the lines", "=SUM(asked_costs)", money, "our_cost", look.MONEY, key=True),
        ResultRow("Bids", '=SUMPRODUCT((bidder_names<>"")*1)', "", "bids_in", look.WHOLE, key=True),
        ResultRow("Lowest, alike in scope", known("MIN(bids_alike)"), money, "lowest_bid", look.MONEY, key=True),
        ResultRow("Lowest bid", known("INDEX(bidder_letters,MATCH(lowest_bid,bids_alike,0))"), "", "lowest_letter", look.GENERAL).noting(
            known("INDEX(bidder_names,MATCH(lowest_bid,bids_alike,0))")
        ),
        ResultRow("Lowest to our cost", known('IF(our_cost>0,lowest_bid/our_cost-1,"")'), "", "lowest_to_ours", _SIGNED, key=True),
        ResultRow("Spread, highest over lowest", known('IF(lowest_bid>0,MAX(bids_alike)/lowest_bid-1,"")'), "", "bids_spread", look.PERCENT, key=True),
        ResultRow("Findings", "=COUNT(found_places)", "", "findings", look.WHOLE, key=True),
    ):
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
    amounts = {"ours": ("Our cost", "1", "asked_costs")} | {letter: (heading(letter), f'{name(letter)}<>""', f"filled_{letter.lower()}") for letter in LETTERS}
    table = Table(
        page,
        (
            Column("Trade", key="trade", words=True),
            *(
                Column(title, f'IF(${{trade}}="","",IF({known},SUMIF(asked_trades,${{trade}},{of}),""))', key=key, number_format=look.MONEY)
                for key, (title, known, of) in amounts.items()
            ),
        ),
    )
    page.sheet.row_dimensions[table.head()].height = 50
    for place in range(1, TRADES + 1):
        table.row(f'=IF({place}>SUM(trade_firsts),"",INDEX(asked_trades,MATCH({place},trade_orders,0)))')
    rest: dict[str, Any] = {key: f'=IF({known},SUM({of})-SUM({table.cells(key)}),"")' for key, (_, known, of) in amounts.items()}
    table.row("Other trades, or none named", **rest)
    own: dict[str, Any] = {letter: f'=IF({name(letter)}="","",INDEX(bids_own,{place}))' for place, letter in enumerate(LETTERS, start=1)}
    table.row("Own lines that count", ours="", **own)
    sums: dict[str, Any] = {key: f'=IF({known},SUM({table.cells(key)}),"")' for key, (_, known, _) in amounts.items()}
    table.row("Together", strong=True, border=look.TOTAL_ROW, **sums)
