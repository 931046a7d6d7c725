"""The columns of an estimate's lines, wherever they are listed with their costs; a bid or a new price list finds them
by their names."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from stillbook.templates import look
from stillbook.templates.parts.table import Column

PLACE: Final = "IFERROR(MATCH({code},price_codes,0),-1)"
"""The row of a line's code on the Unit costs sheet, looked for once; no row of it where the code is not there, as #N/A
would look like an input that is missing."""

_LINES: Final = {
    "code": Column("Code", name="line_codes", words=True),
    "text": Column("Item", name="line_texts", words=True),
    "quantity": Column("Quantity", name="line_quantities", number_format=look.GENERAL),
    "unit": Column("Unit", name="line_units", words=True),
    "cost": Column("Unit cost", name="line_unit_costs", number_format=look.PRICE),
    "material": Column("Material", "ROUND({quantity}*{cost},2)", name="line_material", number_format=look.PRICE, total=""),
    "trade": Column("Trade", name="line_trade", words=True),
    "hours": Column("Hours", name="line_hours", number_format=look.TWO, total=""),
    "labour": Column("Labour", name="line_labour", number_format=look.PRICE, total=""),
    "line": Column("Line cost", "{material}+{labour}", name="line_cost", number_format=look.PRICE, total=""),
    "counts": Column("Counts", name="line_counts", number_format=look.WHOLE),
    "number": Column("Scope no.", name="line_numbers", number_format=look.WHOLE),
    "fault": Column("To mend", name="line_faults", words=True),
    "off": Column("Off because", name="line_offs", words=True),
    "place": Column("Price row", PLACE, number_format=look.PLACE),
}
"""By key; the number is that of the line in the scope. Hours and money are rounded as shown, so that sums add up."""

COST: Final = "N(INDEX(price_costs,{place}))"
"""The unit cost of a line; a blank or a word costs nothing, and is a fault of the line."""

HOURS: Final = "IF(N(INDEX(price_rates,{place}))>0,ROUND(STILL_CREWHOURS({quantity},INDEX(price_rates,{place})),2),0)"
LABOUR: Final = "ROUND({hours}*N(INDEX(labour_rates,IFERROR(MATCH({trade},labour_trades,0),-1))),2)"

_PRICED: Final = ("price_costs", "price_rates", "price_trades", "price_units")

Faults = tuple[tuple[str, str], ...]
"""What may be wrong, in the order in which it is told: the condition, and the words for it as a formula."""


def first_of(faults: Faults, otherwise: str = '""') -> str:
    """The words of the first of some faults that there is, as a formula."""
    told = "".join(f"IF({when},{words}," for when, words in faults)
    return f"{told}{otherwise}{')' * len(faults)}"


def on(sheet: str, words: str) -> str:
    """The words of a fault behind the sheet on which it is mended, as a formula."""
    return f'"{sheet}: {words}"'


def no_number(sheet: str, cell: str, called: str) -> Faults:
    """That a cell holds a text, or no number over 0; in what it is ``called`` a formula may stand between quotes."""
    return (f"ISTEXT({cell})", on(sheet, f"{called} is text, not a number")), (f"N({cell})<=0", on(sheet, f"{called} no number over 0"))


_SHEET: Final = "Unit costs"
_RATE: Final = "done in an hour"
"""What the head of its column calls a rate of work."""


def labour_faults(trade: str, sheet: str = _SHEET) -> Faults:
    """What may be wrong with a trade, which is typed on a sheet, and with its rate on the Unit costs sheet."""
    at = f"MATCH({trade},labour_trades,0)"
    rate = no_number(_SHEET, f"INDEX(labour_rates,{at})", f'labour rate of "&{trade}&"')
    return (f"ISNA({at})", on(sheet, "trade not among the labour rates")), *rate


def figures_faults(at: str) -> Faults:
    """What may be wrong with the figures in a row of the Unit costs sheet."""
    cost, rate = (no_number(_SHEET, f"INDEX({column},{at})", called) for column, called in (("price_costs", "cost"), ("price_rates", _RATE)))
    return *cost, *rate, *labour_faults(f"INDEX(price_trades,{at})")


def priced_faults() -> str:
    """What is wrong with the price that a code has on the Unit costs sheet; empty where nothing is."""
    unlike = "+".join(f"({column}<>INDEX({column},{{place}}))" for column in _PRICED)
    same = "(price_codes={code})"
    twice = f"IF(SUMPRODUCT({same}*1)>1,SUMPRODUCT({same}*(({unlike})>0))>0,FALSE)"
    return first_of((("{place}<0", on(_SHEET, "code not found")), (twice, on(_SHEET, "two rows that differ")), *figures_faults("{place}")))


FAULT: Final = f'IF({{code}}="","",IF({{quantity}}=0,"",{priced_faults()}))'
"""What is wrong with the price of a line that is ordered: the sheet on which it is mended, a colon, and what it is."""

ALL_PRICED: Final = 'COUNTIF(line_faults,"?*")=0'
"""Whether no line is to be mended, as a condition: each has a price that somebody typed."""

OFF_FAULT: Final = f'IF({{off}}<>"","",{FAULT})'
"""The same where a line can be off."""


def column(key: str, width: float, formula: str = "") -> Column:
    """A column of the lines, with the formula of one template where all have not the same."""
    of = _LINES[key]
    return replace(of, key=key, width=width, formula=formula or (FAULT if key == "fault" else of.formula))
