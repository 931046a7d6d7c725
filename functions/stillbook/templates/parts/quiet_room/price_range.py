"""Price range: what the job may cost from low to high, the price at a confidence, and the lines that spread it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

from openpyxl.styles import Border
from openpyxl.utils import get_column_letter

from stillbook.templates import look
from stillbook.templates.calls import nth
from stillbook.templates.charts import Track, tracks
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.parts.check_sheet import passes
from stillbook.templates.parts.priced_lines import ALL_PRICED
from stillbook.templates.parts.quiet_room.range_inputs import LINES, labels
from stillbook.templates.parts.table import Column, Table

CHANCES: Final = (0.05, *(tenth / 10 for tenth in range(1, 10)), 0.95)
"""Points of the curve; beyond them what is drawn from chance is not known well enough."""

_FROM_TO: Final = '+0.0%;-0.0%;"–"'
_SHARE: Final = '0.0%;-0.0%;"–"'
_COSTS: Final = "range_lows,range_likely,range_highs"
_HOW: Final = 'trade_correlation,range_trades,"PERT"'
_EXTRAS: Final = "(allowances_total+alternates_accepted)"

# --- what it comes to -------------------------------------------------------------------------------------------------

_WIDTHS: Final = (30, *[10.5] * 9, 18, 10)

_ESTIMATE, _LIKELY, _EXPECTED, _HALF, _NAMED = range(FIRST + 1, FIRST + 6)
"""Columns of the steps."""

_CAUTIONS: Final = (
    "No more than the ranges typed; the template's have no source. What nobody thought of is not in it, nor a rise of all prices at once, nor a change "
    "of what is asked.",
    "Since 2022 the association of cost engineers no longer recommends estimating by ranges as a practice of its own: read it beside the prices of "
    "finished jobs.",
)


def write(book: Book) -> Page:
    """Write the sheet."""
    page = book.page(
        "Price range",
        "For the office only: how far the cost may be off by trade, what that does to the price, and which lines do it.",
        _WIDTHS,
        wide=True,
        single=True,
    )
    _lines(page)
    top = page.at
    head = _steps(book, page)
    curve = _curve(book, page)
    page.heading("What this range is not")
    for text in _CAUTIONS:
        page.caution(text)
    printed = page.at - 1
    page.skip()
    _chart(page, f"{get_column_letter(FIRST + 6)}{top + 1}", head, curve)
    page.finish(printed)
    return page


def _lines(page: Page) -> None:
    """Each line of the range, and beside them which lines spread the sum most."""
    page.heading("Cost by trade, from low to high", "likely costs from the Job price sheet, ranges and correlation from the Inputs sheet")
    table = Table(
        page,
        (
            Column("Cost of", key="label"),
            Column("Trade", key="trade", name="range_trades", words=True),
            Column("Low", "-INDEX(range_shares_low,{n})", key="under", number_format=_FROM_TO),
            Column("High", "INDEX(range_shares_high,{n})", key="over", number_format=_FROM_TO),
            Column("Low cost", "ROUND({likely}*(1+{under}),2)", key="low", name="range_lows", number_format=look.PRICE),
            Column("Likely", key="likely", name="range_likely", number_format=look.PRICE),
            Column("High cost", "ROUND({likely}*(1+{over}),2)", key="high", name="range_highs", number_format=look.PRICE),
            Column("Expected", 'STILL_EXPECTEDCOST({low},{likely},{high},"PERT")', key="expected", number_format=look.PRICE),
            Column("Deviation", 'STILL_COSTDEVIATION({low},{likely},{high},"PERT")', key="deviation", number_format=look.PRICE),
            Column("Of spread", _driver(), key="share", name="range_drivers", number_format=_SHARE),
            Column("What spreads most", 'IF({most}=0,"",INDEX(range_labels,MATCH({n},range_ranks,0)))', key="driver", words=True),
            Column("", "LARGE(range_drivers,{n})", key="most", number_format='0.0%;-0.0%;""'),
        ),
    )
    table.head()
    for number, (label, (trade, what)) in enumerate(zip(labels(), LINES, strict=True)):
        place = number // 2 + 1
        likely = f"INDEX(trade_{what}s,{place})" if what else "direct_cost-SUM(trade_materials)-SUM(trade_labours)"
        table.row(label, trade, f"=ROUND({likely},2)")
    table.name()
    page.name("range_labels", table.first, FIRST, page.at - 1)
    whole = f"STILL_COSTSUM({_COSTS},{_HOW})"
    sums: dict[str, Any] = dict.fromkeys(("under", "over", "low", "high", "driver", "most"))
    sums |= {"expected": f"={nth(whole).format(n=1)}", "deviation": f"={nth(whole).format(n=2)}", "share": f"=SUM({table.cells('share')})"}
    table.row(
        "All lines, together",
        None,
        f"=SUM({table.cells('likely')})",
        strong=True,
        border=look.TOTAL_ROW,
        names={"expected": "range_mean", "deviation": "range_deviation"},
        **sums,
    )
    page.note(
        "PERT shapes; costs of one trade miss together by the correlation, of different trades independently. A firm bid or a measurement narrows most "
        "where the share of the spread is large."
    )


def _driver() -> str:
    """The share of a line in the variance of the sum; none where no line has a range."""
    return f"IF(range_deviation=0,0,{nth(f'STILL_COSTDRIVERS({_COSTS},{_HOW})')})"


@dataclass(frozen=True)
class _Step:
    """A step from cost to price: its formulas in the columns as it is, all likely, expected, at 50 % and at the confidence.

    In a formula ``{c}`` is the letter of its column, and the name of a step in braces its row.
    """

    label: str
    estimate: str
    others: tuple[str, ...]
    number_format: str = look.PRICE
    strong: bool = False
    border: Border = look.ROW


def _steps(book: Book, page: Page) -> int:
    """The steps of the Job price sheet from each cost; gives the row of their headings."""
    page.heading("From the cost to the price")
    head = page.at
    page.head_row(("Step", "As it is", "All likely", "Expected", "At 50%", '="At "&TEXT(price_confidence,"0%")'))
    page.sheet.row_dimensions[head].height = 20
    page.clear_right_of(_NAMED, head, head)
    first = page.at
    at = {name: first + place for place, name in enumerate(("lines", "extras", "overhead", "contingency", "cost", "net", "tax", "price"))}
    costs = ("direct_cost", "range_mean", _confident("0.5"), _confident("price_confidence"))
    likely, extra = get_column_letter(_LIKELY), f"(direct_cost+{_EXTRAS})"
    share = f"({{c}}{{lines}}-{likely}{{lines}})/{extra}"
    chance = _chance("{c}{lines}")
    steps = (
        _Step("Direct cost of the lines", "direct_cost", tuple(f"ROUND({cost},2)" for cost in costs)),
        _Step("Allowances, accepted alternates", _EXTRAS, (_EXTRAS,) * 4),
        _Step("Overhead", "overhead_amount", ("ROUND(SUM({c}{lines}:{c}{extras})*overhead,2)",) * 4),
        _Step("Contingency", "contingency_amount", ("0",) * 4, look.PRICE_OR_BLANK),
        _Step("Cost", "total_cost", ("SUM({c}{lines}:{c}{contingency})",) * 4, strong=True),
        _Step("Price before tax", "price_before_tax", ("ROUND(STILL_PRICEFROMMARGIN({c}{cost}+ROUND({c}{cost}*level_markup,2),margin),2)",) * 4),
        _Step("Tax", "tax_amount", ("ROUND({c}{net}*tax,2)",) * 4),
        _Step("Price, tax included", "price", ("{c}{net}+{c}{tax}",) * 4, strong=True, border=look.TOTAL_ROW),
        _Step("Contingency that this takes", f"{{c}}{{cost}}-{likely}{{cost}}", (f"{{c}}{{cost}}-{likely}{{cost}}",) * 4),
        _Step("that, as a share of the cost", "contingency", (share,) * 4, _SHARE),
        _Step("Chance that the cost stays under", _chance(f"{extra}*(1+contingency)-{_EXTRAS}"), (chance, chance, "0.5", "price_confidence"), "0%"),
    )
    for step in steps:
        row = page.at
        columns = enumerate((step.estimate, *step.others), start=_ESTIMATE)
        cells = ["=" + formula.format(c=get_column_letter(column), **at) for column, formula in columns]
        page.row((step.label, *cells), ("text", *[step.number_format] * len(cells)), strong=step.strong, border=step.border)
        page.sheet.cell(row, FIRST).alignment = look.UNWRAPPED
        page.clear_right_of(_NAMED, row, row)
    _name(book, page, at)
    page.note(
        "Level, margin and tax as on the Job price sheet. A range stands in place of the contingency: typed on the Inputs sheet, the last share brings this "
        "estimate to that price."
    )
    page.skip()
    return head


def _confident(confidence: str) -> str:
    return f"STILL_COSTATCONFIDENCE({confidence},{_COSTS},{_HOW})"


def _chance(cost: str) -> str:
    """The chance that the sum of the lines stays under a cost, read between the points of the curve."""
    cost = f"ROUND({cost},2)"
    place = f"MATCH({cost},range_curve_costs,1)"
    x, y = ([f"INDEX({row},1,{place}{more})" for more in ("", "+1")] for row in ("range_curve_costs", "range_curve_chances"))
    between = f"{y[0]}+({y[1]}-{y[0]})*({cost}-{x[0]})/({x[1]}-{x[0]})"
    outside = f'IF({cost}<MIN(range_curve_costs),"under {CHANCES[0]:.0%}",IF({cost}>=MAX(range_curve_costs),"over {CHANCES[-1]:.0%}",{between}))'
    return f'IF(range_deviation=0,"no range",{outside})'


def _name(book: Book, page: Page, at: dict[str, int]) -> None:
    """Name the results that formulas, --set and variants look at, and the sentence for the client."""
    takes, share, chance = at["price"] + 1, at["price"] + 2, at["price"] + 3
    money = book.currency
    for name, label, unit, row, column, key in (
        ("cost_expected", "Expected cost with overhead", money, at["cost"], _EXPECTED, True),
        ("cost_p50", "Cost with overhead, 50 %", money, at["cost"], _HALF, False),
        ("cost_at_confidence", "Cost with overhead, at the confidence", money, at["cost"], _NAMED, True),
        ("price_likely", "Price, all costs likely", money, at["price"], _LIKELY, False),
        ("price_expected", "Price from the expected cost", money, at["price"], _EXPECTED, False),
        ("price_p50", "Price, 50 %", money, at["price"], _HALF, False),
        ("price_at_confidence", "Price at the confidence", money, at["price"], _NAMED, True),
        ("contingency_needed", "Contingency for the confidence", money, takes, _NAMED, True),
        ("contingency_share_needed", "Contingency for the confidence, share", "share", share, _NAMED, False),
        ("chance_of_estimate", "Chance that this estimate's cost holds", "share", chance, _ESTIMATE, False),
        ("chance_of_likely", "Chance that the likely cost holds", "share", chance, _LIKELY, False),
    ):
        book.labels[name] = (label, unit)
        book.name(name, page, row, column, comment=book.result_comment(name, label, unit) if key else "")


def _curve(book: Book, page: Page) -> int:
    """Cost and price by their chance, and the sentence for the client; gives the row of the chances."""
    page.heading(
        "Cost and price by the chance that they are not exceeded", "drawn from chance 8192 times, the same each time; a chance is known to about 2 points"
    )
    row = page.at
    last = FIRST + len(CHANCES)
    page.head_row(("Chance", *[""] * len(CHANCES)))
    for offset, chance in enumerate(CHANCES, start=1):
        page.put(row, FIRST + offset, chance, font=look.STRONG, number_format="0%", align=look.HEAD_RIGHT, border=look.HEAD_ROW, fill=look.HEAD)
    columns = [get_column_letter(FIRST + offset) for offset in range(1, len(CHANCES) + 1)]
    price = f"ROUND(({{c}}{row + 1}+{_EXTRAS})*(1+overhead)*(1+level_markup)/(1-margin)*(1+tax),2)"
    page.row(("Cost of the lines", *(f"=ROUND({_confident(f'{c}{row}')},2)" for c in columns)), ("text", *[look.WHOLE] * len(columns)))
    page.row((f"Price, tax included, {book.currency}", *(f"={price.format(c=c)}" for c in columns)), ("text", *[look.WHOLE] * len(columns)))
    page.name("range_curve_chances", row, FIRST + 1, row, last)
    page.name("range_curve_costs", row + 1, FIRST + 1, row + 1, last)
    page.skip()
    return row


_PRICED: Final = f"AND({passes('check_price')},{ALL_PRICED})"

SENTENCE: Final = (
    f'=IF(say_confidence<>"yes","",IF({_PRICED},"With a confidence of "&TEXT(price_confidence,"0%")&", by our ranges of cost, the price does not exceed "'
    '&IF(price_at_confidence<=price,"the total above.",TEXT(price_at_confidence,"#,##0.00")&" "&currency&", tax included."),'
    '"With what confidence the price holds is not known: a line has no price yet."))'
)
"""What the client reads of it; nothing unless the office wishes it."""


def _ranks(page: Page) -> None:
    """The place of each line by what it spreads; of two alike the first comes first."""
    table = Table(
        page,
        (
            Column("Place by what it spreads", key="label"),
            Column("Share", "INDEX(range_drivers,{n})", key="share", number_format=_SHARE),
            Column("Place", key="place", name="range_ranks", number_format=look.WHOLE),
        ),
    )
    table.head()
    so_far = f"{get_column_letter(FIRST + 1)}${table.first}:{{share}}"
    for label in labels():
        table.row(label, f"=SUMPRODUCT((range_drivers>{{share}})*1)+SUMPRODUCT(({so_far}={{share}})*1)")
    table.name()


def _chart(page: Page, anchor: str, head: int, curve: int) -> None:
    """The curve, with the likely price, that of this estimate and that at the confidence; below the print what they are drawn from."""
    page.heading("Drawn in the chart", "and the sentence for the proposal")
    page.put(page.at, FIRST, SENTENCE, align=look.UNWRAPPED)
    page.name("confidence_sentence", page.at, FIRST)
    page.at += 1
    _ranks(page)
    uprights = []
    for column, price, chance in (
        (_LIKELY, "price_likely", "chance_of_likely"),
        (_ESTIMATE, "price", "chance_of_estimate"),
        (_NAMED, "price_at_confidence", "price_confidence"),
    ):
        title = f"{get_column_letter(column)}{head}"
        page.row((f"={title}", f"={price}", f"={price}"), ("text", look.WHOLE, look.WHOLE))
        page.row(("", 0, f"=IF(ISNUMBER({chance}),{chance},1)"), ("text", "0%", "0%"))
        uprights.append(Track(title, page.at - 2, page.at - 1, FIRST + 1, FIRST + 2))
    tracks(
        page,
        title="Chance that the price is not exceeded",
        told="Line: the chance, from 5 to 95 %, that the price is not exceeded. Upright lines: the price with all costs likely, that of this estimate, "
        "and that at the confidence the office names. The table below holds the figures.",
        drawn=(Track(f"{get_column_letter(FIRST)}{curve}", curve + 2, curve, FIRST + 1, FIRST + len(CHANCES)), *uprights),
        across_title=page.book.currency,
        up_title="Chance",
        anchor=anchor,
        size=(13.4, 6.1),
    )
