"""The columns of an estimate's lines, wherever they are listed with their costs; a bid or a new price list finds them
by their names."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from stillbook.templates import look
from stillbook.templates.parts.table import Column

_LINES: Final = {
    "code": Column("Code", name="line_codes", words=True),
    "text": Column("Item", name="line_texts", words=True),
    "quantity": Column("Quantity", name="line_quantities", number_format=look.GENERAL),
    "unit": Column("Unit", name="line_units", words=True),
    "cost": Column("Unit cost", name="line_unit_costs", number_format=look.PRICE),
    "material": Column("Material", "{quantity}*{cost}", name="line_material", number_format=look.PRICE, total=""),
    "trade": Column("Trade", name="line_trade", words=True),
    "hours": Column("Hours", name="line_hours", number_format=look.ONE, total=""),
    "labour": Column("Labour", name="line_labour", number_format=look.PRICE, total=""),
    "line": Column("Line cost", "{material}+{labour}", name="line_cost", number_format=look.PRICE, total=""),
    "counts": Column("Counts", name="line_counts", number_format=look.WHOLE),
    "number": Column("Scope no.", name="line_numbers", number_format=look.WHOLE),
}
"""By key; the number is that of the line in the scope."""


def column(key: str, width: float, formula: str = "") -> Column:
    """A column of the lines, with the formula of one template where all have not the same."""
    of = _LINES[key]
    return replace(of, key=key, width=width, formula=formula or of.formula)
