"""Workings, to the right: line by line and bid by bid, the steps behind the other sheets."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from openpyxl.utils import get_column_letter

from stillbook.templates import look
from stillbook.templates.bid_comparison.bidders import LETTERS, name, tax
from stillbook.templates.bid_comparison.own_lines import NOTES
from stillbook.templates.bid_comparison.own_lines import ROWS as OWN
from stillbook.templates.page import Page
from stillbook.templates.parts.schedule import Place, Schedule

_ROWS_ABOVE: Final = 8

OF_LINES, OF_OWN_LINES, OF_BIDS, OF_NOTES = 1, 2, 3, 4
"""What the rows of a column of findings stand for."""


class _Columns:
    """Columns of the sheet, each with a formula in every row."""

    def __init__(self, page: Page, asked: Schedule) -> None:
        self.page = page
        self.asked = asked
        self.first = _ROWS_ABOVE + 1
        self.at = page.last_column + 2

    def add(self, called: str, formula: str, number_format: str = look.GENERAL, *, blank: bool = True) -> None:
        """Add a column for the lines; ``{name}`` stands for a column's cell in the row."""
        self.asked.places[called] = Place(self.page, self.at, self.first)
        texts = []
        for number in range(self.asked.count):
            cells = dict(self.asked.cells(number))
            cells["here"] = f"{get_column_letter(self.at - 1)}{self.first + number}"
            made = formula.format_map(cells)
            texts.append(f'=IF({cells[self.asked.key]}="","",{made})' if blank else f"={made}")
        self.page.name(called, self.first, self.at, self.first + self.asked.count - 1)
        self._write(called, texts, number_format)

    def rows(self, called: str, formula: str, count: int) -> None:
        """Add a column for other rows, of which ``{n}`` is the number, the first being 1."""
        rest = [None] * (self.asked.count - count)
        self._write(called, [*(f"={formula.replace('{n}', str(number))}" for number in range(1, count + 1)), *rest])

    def _write(self, title: str, texts: Sequence[str | None], number_format: str = look.GENERAL) -> None:
        self.page.put(self.first - 1, self.at, title, font=look.QUIET)
        for row, text in enumerate(texts, start=self.first):
            self.page.put(row, self.at, text, font=look.SMALL, number_format=number_format)
        self.at += 1


def write(page: Page, asked: Schedule) -> None:
    """Write the workings to the right of what the page prints."""
    columns = _Columns(page, asked)
    _prices(columns)
    _findings(columns)
    _trades(columns)


def _trades(columns: _Columns) -> None:
    """The place of each trade among the trades, in the first line of that trade."""
    trades = columns.asked.places["asked_trades"]
    letter, sheet = get_column_letter(trades.column), trades.page.sheet.title
    all_trades = f"{sheet}!${letter}${trades.first}:${letter}${trades.first + columns.asked.count - 1}"
    columns.add(
        "trade_firsts", f'IF({{asked_trades}}="",0,IF(MATCH({{asked_trades}},{all_trades},0)=ROW({{asked_trades}})-{trades.first - 1},1,0))', blank=False
    )
    firsts = f"${get_column_letter(columns.at - 1)}${columns.first}"
    columns.add("trade_orders", f'IF({{trade_firsts}}=0,"",SUM({firsts}:{{here}}))', blank=False)


def _prices(columns: _Columns) -> None:
    """Unit prices before tax, what bids write, and what missing lines are filled in with."""
    for letter in LETTERS:
        x = letter.lower()
        quantity = f"IF(ISNUMBER({{bid_{x}_quantities}}),{{bid_{x}_quantities}},N({{asked_quantities}}))"
        price, total = f"{{bid_{x}_prices}}", f"{{bid_{x}_totals}}"
        columns.add(f"counted_{x}", quantity)
        before_tax = f'IF(ISNUMBER({price}),{price},IF(N({total})*{{counted_{x}}}=0,"",{total}/{{counted_{x}}}))'
        known = f"OR(ISNUMBER({price}),N({total})*{{counted_{x}}}<>0)"
        columns.add(f"price_{x}", f'IF({known},{before_tax}/{tax(letter)},"")')
        written = f'IF(ISNUMBER({total}),{total},IF(ISNUMBER({price}),{{counted_{x}}}*{price},""))'
        columns.add(f"written_{x}", written, look.PRICE)
    fill = 'IF(fill_missing="highest bid",MAX({alike}),MEDIAN({alike}))'
    columns.add("fills", f'IF(OR(COUNT({{alike}})=0,fill_missing="our cost"),N({{asked_costs}}),{fill})', look.PRICE)
    for x in LETTERS.lower():
        filled = f'IF({name(x.upper())}="","",IF({{alike_{x}}}="",{{fills}},{{alike_{x}}}))'
        columns.add(f"filled_{x}", filled, look.PRICE)
    kind = 'IF(COUNTIF({}_units,{{asked_units}})>0,"{}",{})'.format
    columns.add("unit_kinds", kind("length", "length", kind("area", "area", '"piece"')))
    _middles(columns)


def _middles(columns: _Columns) -> None:
    """What the price of each bid is judged by: the middle of all prices known, its own and ours among them.

    The middle of the others alone is drawn to the one bad figure among few, and then accuses the good ones. Of the two
    figures in the middle of an even number it is the one next to our cost; without our cost, for each bid the other one.
    """
    for x in LETTERS.lower():
        columns.add(f"known_{x}", f'IF(N({{price_{x}}})>0,{{price_{x}}},"")')
    columns.add("known_ours", 'IF(N({asked_quantities})*N({asked_costs})>0,{asked_costs}/{asked_quantities},"")')
    first = columns.asked.places["known_a"]
    columns.asked.places["known"] = Place(first.page, first.column, first.first, wide=len(LETTERS) + 1)
    columns.add("known_counts", "COUNT({known})")
    for called, place in (("known_lower", "ROUNDUP({known_counts}/2,0)"), ("known_upper", "INT({known_counts}/2)+1")):
        columns.add(called, f'IF({{known_counts}}=0,"",SMALL({{known}},{place}))')
    columns.add(
        "middle_words",
        'IF({known_ours}="",IF({known_counts}=2,"the other bid","the middle of the bids"),'
        'IF({known_counts}=2,"our cost","the middle of the bids and our cost"))',
    )
    for x in LETTERS.lower():
        beside = f'IF({{known_ours}}="",N({{price_{x}}})>{{known_lower}},{{known_ours}}<={{known_lower}})'
        columns.add(f"middle_{x}", f'IF({{known_counts}}=0,"",IF({beside},{{known_lower}},{{known_upper}}))')
        times = f"IF(N({{price_{x}}})<=0,0,{{price_{x}}}/N({{middle_{x}}}))"
        columns.add(f"times_{x}", f'IF(OR({{price_{x}}}="",{{middle_{x}}}=""),"",{times})')


# --- findings ---------------------------------------------------------------------------------------------------------


def _missing(x: str) -> str:
    return f'IF(AND({name(x.upper())}<>"",{{price_{x}}}=""),"the line "&{{asked_texts}}&" has no price","")'


def _quantity(x: str) -> str:
    """Quantities that are no whole numbers may be written as whole ones."""
    asked, given = "{asked_quantities}", f"{{counted_{x}}}"
    return (
        f'IF(ABS({given}-N({asked}))>IF(N({asked})=ROUND(N({asked}),0),0.005,0.5),"the quantity of "&{{asked_texts}}&" is "'
        f'&ROUND({given},4)&" in place of "&ROUND(N({asked}),4)&" "&{{asked_units}},"")'
    )


def _sum(x: str) -> str:
    price, total = f"{{bid_{x}_prices}}", f"{{bid_{x}_totals}}"
    made = f"{{counted_{x}}}*{price}"
    return (
        f'IF(ISNUMBER({price})*ISNUMBER({total})=0,"",IF(ABS({total}-{made})>0.0101,"the line total of "&{{asked_texts}}'
        f'&" is "&FIXED({total},2)&"; "&ROUND({{counted_{x}}},4)&" × "&ROUND({price},4)&" make "&FIXED({made},2),""))'
    )


def _slip(x: str) -> str:
    """A price far from the middle, with what would explain it."""
    price, times, middle = f"{{price_{x}}}", f"{{times_{x}}}", f"{{middle_{x}}}"
    most = f"MAX({times},1/{times})"
    step = f"SUMPRODUCT((step_kinds={{unit_kinds}})*(step_from<={most})*(step_to>{most})*step_places)"
    why = (
        f"IF(AND({times}>1,{{asked_quantities}}>1,ABS({times}/{{asked_quantities}}-1)<=0.2),"
        f'"is it the line total in place of the unit price?",'
        f'IF({step}=0,"check the unit","the step between "&INDEX(step_words,{step})&"?"))'
    )
    size = f'IF({times}>1,{_short(most)}&" times","one part in "&{_short(most)}&" of")'
    return (
        f'IF({times}="","",IF({times}<=0,"the price of "&{{asked_texts}}&" is "&ROUND({price},4)'
        f'&": is the line included elsewhere?",IF({most}<far_off,"","the unit price of "&{{asked_texts}}&", "'
        f'&ROUND({price},4)&", is "&{size}&" "&{{middle_words}}&", "&{_short(middle)}&": "&{why})))'
    )


def _short(number: str) -> str:
    """A number to three figures."""
    return f"ROUND({number},2-INT(LOG10({number})))"


_OWN: Final = (
    'IF(INDEX(own_bids,{n})="","",IF(N(INDEX(own_numbers,{n}))>0,"the line "&INDEX(own_numbers,{n})&", "&INDEX(own_texts,{n})'
    '&", is not asked for","a line of the contractor\'s own: "&IF(INDEX(own_texts,{n})="","without words",'
    'INDEX(own_texts,{n})))&", "&FIXED(INDEX(own_written,{n}),2)&IF(INDEX(own_counts,{n})="no",": it is left out"," in all"))'
)
_OWN_PRODUCT: Final = "N(INDEX(own_quantities,{n}))*N(INDEX(own_prices,{n}))"
_OWN_SUM: Final = (
    'IF(INDEX(own_bids,{n})="","",IF(ISNUMBER(INDEX(own_totals,{n}))*ISNUMBER(INDEX(own_prices,{n}))=0,"",'
    f'IF(ABS(INDEX(own_totals,{{n}})-{_OWN_PRODUCT})<=0.0101,"","the line total of "&INDEX(own_texts,{{n}})&" is "'
    '&FIXED(INDEX(own_totals,{n}),2)&"; "&N(INDEX(own_quantities,{n}))&" × "&INDEX(own_prices,{n})&" make "'
    f"&FIXED({_OWN_PRODUCT},2))))"
)
_BID_SUM: Final = (
    'IF(INDEX(bidder_names,{n})="","",IF(NOT(ISNUMBER(INDEX(bidder_sums,{n}))),"the sum of all lines is not written",'
    'IF(ABS(INDEX(bidder_sums,{n})-INDEX(added_up,{n}))<=0.005*MAX(2,INDEX(added_counts,{n}))+0.000001,"",'
    '"the sum is "&FIXED(INDEX(bidder_sums,{n}),2)&"; the line totals add up to "&FIXED(INDEX(added_up,{n}),2))))'
)
_NOTE: Final = 'IF(INDEX(note_bids,{n})="","",INDEX(note_texts,{n})&"")'


def _findings(columns: _Columns) -> None:
    """What is found, a column for each kind and bid, and beside it the place of each finding in the list."""
    heads: list[tuple[str, str, int]] = []
    start = columns.at
    for kind, sentence in (("missing", _missing), ("quantity", _quantity), ("sum", _sum), ("slip", _slip)):
        for x in LETTERS.lower():
            columns.add(f"{kind}_{x}", sentence(x))
            heads.append((kind, x.upper(), OF_LINES))
    for kind, formula, count, source in (
        ("own line", _OWN, OWN, OF_OWN_LINES),
        ("sum", _OWN_SUM, OWN, OF_OWN_LINES),
        ("sum", _BID_SUM, len(LETTERS), OF_BIDS),
        ("note", _NOTE, NOTES, OF_NOTES),
    ):
        columns.rows(f"{kind}, {source}", formula, count)
        heads.append((kind, "", source))
    page, first, width = columns.page, columns.first, len(heads)
    last = first + columns.asked.count - 1
    end = start + width - 1
    page.name("found_texts", first, start, last, end)
    for place in range(width):
        _counters(page, columns, start + place, place == 0, first, last)
    page.name("found_places", first, start + width, last, end + width)
    for down, values in enumerate(zip(*heads, strict=True), start=1):
        called = ("found_kinds", "found_letters", "found_sources")[down - 1]
        for place, value in enumerate(values):
            page.put(first - 1 - down, start + place, value or None, font=look.SMALL)
        page.name(called, first - 1 - down, start, first - 1 - down, end)
    page.name("found_before", first - 1, start + width, first - 1, end + width)


def _counters(page: Page, columns: _Columns, column: int, is_first: bool, first: int, last: int) -> None:
    """Number the findings of a column, on from those of the columns before it."""
    here, before = get_column_letter(columns.at), get_column_letter(columns.at - 1)
    start = "=0" if is_first else f"=MAX({before}{first - 1}:{before}{last})"
    page.put(first - 1, columns.at, start, font=look.SMALL)
    for row in range(first, last + 1):
        text = f"{get_column_letter(column)}{row}"
        formula = f'=IF({text}="","",MAX({here}${first - 1}:{here}{row - 1})+1)'
        page.put(row, columns.at, formula, font=look.SMALL)
    columns.at += 1
