"""The lines of an estimate, and the rows of its prices, read by the names of their columns.

An estimate names the columns of its lines ``line_codes``, ``line_texts``, ``line_quantities`` and so on, and those of
its prices ``price_codes``, ``price_costs`` and so on; a price book of the office names its columns in the same way.
Columns that a workbook does not name are read as blank.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from stillbook.cells import Cell
from stillbook.quantities import SYSTEMS, System
from stillbook.workbook import WorkbookError
from stillbook.workbook.file.address import Area
from stillbook.workbook.file.package import Package

LINE_COLUMNS: Final = {
    "code": "line_codes",
    "text": "line_texts",
    "quantity": "line_quantities",
    "unit": "line_units",
    "unit_cost": "line_unit_costs",
    "material": "line_material",
    "hours": "line_hours",
    "labour": "line_labour",
    "cost": "line_cost",
    "trade": "line_trade",
    "counts": "line_counts",
    "number": "line_numbers",
}
OFF_COLUMNS: Final = {"text": "line_texts", "quantity": "line_quantities", "off": "line_offs"}
PRICE_COLUMNS: Final = {
    "code": "price_codes",
    "text": "price_texts",
    "unit": "price_units",
    "cost": "price_costs",
    "trade": "price_trades",
    "rate": "price_rates",
}
OWN_COLUMNS: Final = {
    "code": "own_codes",
    "unit": "own_units",
    "cost": "own_costs",
    "hours": "own_hours",
    "trade": "own_trades",
}
"""Columns of an estimator's own lines, whose price stands beside them where their code is none of the prices."""

ASSEMBLY_COLUMNS: Final = {"code": "assembly_codes", "text": "assembly_texts", "unit": "assembly_units"}
PART_COLUMNS: Final = {
    "assembly": "part_assemblies",
    "item": "part_items",
    "quantity": "part_quantities",
    "waste": "part_wastes",
}
"""Columns of made-up work, and of what a unit of it takes."""

LABOUR_COLUMNS: Final = {"trade": "labour_trades", "rate": "labour_rates"}
CURRENCY: Final = "currency"
"""The name of the cell that says what prices are in."""


@dataclass(frozen=True, slots=True)
class Line:
    """One line of an estimate that counts in its price.

    Args:
        code: Code of its price.
        text: What it is.
        quantity: How much, in the unit.
        unit: What is bought.
        unit_cost: Cost of one unit.
        material: Cost of all units.
        hours: Hours of the work.
        labour: Cost of the work.
        cost: Material and labour.
        trade: Who does it.
        number: Its number in the scope that contractors price; 0 without one.
    """

    code: str
    text: str
    quantity: float
    unit: str
    unit_cost: float
    material: float
    hours: float
    labour: float
    cost: float
    trade: str
    number: int


@dataclass(frozen=True, slots=True)
class PriceRow:
    """One row of prices.

    Args:
        code: Its code.
        text: What it is.
        unit: The unit that the cost is for.
        cost: Cost of one unit; None where the cell holds no number.
        trade: Who does it.
        rate: Units that one person finishes in an hour; None without.
        row: The row of the sheet in which it stands.
    """

    code: str
    text: str
    unit: str
    cost: float | None
    trade: str
    rate: float | None
    row: int


def unit_system(package: Package) -> System:
    """The unit system of a workbook, from the cell that is named ``units``; US where it does not say."""
    found = column(package, "units")
    held = package.value(found[0], found[1].first_row, found[1].first_column) if found else None
    return next((system for system in SYSTEMS if system == held), "US")


def currency_of(package: Package) -> str:
    """The currency a workbook names; empty where it names none."""
    found = column(package, CURRENCY)
    return words(package.value(found[0], found[1].first_row, found[1].first_column)) if found else ""


def column(package: Package, name: str) -> tuple[str, Area] | None:
    """Sheet and cells of a named column; None where the workbook has no such name."""
    found = next((n for n in package.names if n.name.casefold() == name.casefold() and not n.sheet), None)
    cells = found.cells if found else None
    sheet = package.find_sheet(cells[0]) if cells else None
    return (sheet, cells[1]) if cells and sheet else None


def rows(package: Package, columns: Mapping[str, str]) -> Iterator[tuple[int, dict[str, Cell]]]:
    """Row number and values by short name, row by row, of columns that stand side by side.

    Raises:
        WorkbookError: If the columns start or end in different rows.
    """
    found = {short: place for short, name in columns.items() if (place := column(package, name))}
    if not found:
        return
    spans = {(sheet, area.first_row, area.last_row) for sheet, area in found.values()}
    if len(spans) > 1:
        names = ", ".join(columns[short] for short in found)
        raise WorkbookError(f"the names {names} do not cover the same rows: let them start and end in the same row")
    ((sheet, first, last),) = spans
    for row in range(first, last + 1):
        yield row, {short: package.value(sheet, row, area.first_column) for short, (_, area) in found.items()}


def lines(package: Package) -> tuple[Line, ...]:
    """The lines of a calculated estimate that count in its price; none where it names no lines."""
    found = []
    for _, row in rows(package, LINE_COLUMNS):
        quantity = number(row.get("quantity"))
        if not quantity or number(row.get("counts", 1.0)) == 0:
            continue
        found.append(
            Line(
                code=words(row.get("code")),
                text=words(row.get("text")),
                quantity=quantity,
                unit=words(row.get("unit")),
                unit_cost=number(row.get("unit_cost")) or 0.0,
                material=number(row.get("material")) or 0.0,
                hours=number(row.get("hours")) or 0.0,
                labour=number(row.get("labour")) or 0.0,
                cost=number(row.get("cost")) or 0.0,
                trade=words(row.get("trade")),
                number=int(number(row.get("number")) or 0),
            )
        )
    return tuple(found)


def name_of(text: str) -> str:
    """The name of a line in its text, which may go on after a colon with the pieces it comes in.

    >>> name_of("Studs, inner frame: 42 of 8 ft")
    'Studs, inner frame'
    """
    return text.partition(": ")[0]


def switched_off(package: Package) -> dict[str, str]:
    """The lines of a calculated estimate that are not in its price though there is a quantity, each with the reason."""
    found = (
        (words(row.get("text")), words(row.get("off")), row.get("quantity")) for _, row in rows(package, OFF_COLUMNS)
    )
    return {name_of(text): off for text, off, quantity in found if off and number(quantity)}


def price_rows(package: Package, columns: Mapping[str, str] = PRICE_COLUMNS) -> tuple[PriceRow, ...]:
    """The rows of prices that have a code."""
    return tuple(
        PriceRow(
            code=code,
            text=words(row.get("text")),
            unit=words(row.get("unit")),
            cost=number(row.get("cost")),
            trade=words(row.get("trade")),
            rate=number(row.get("rate")),
            row=place,
        )
        for place, row in rows(package, columns)
        if (code := words(row.get("code")))
    )


def labour_rates(package: Package) -> dict[str, float]:
    """What an hour costs, by trade."""
    found = ((words(row.get("trade")), number(row.get("rate"))) for _, row in rows(package, LABOUR_COLUMNS))
    return {trade: rate for trade, rate in found if trade and rate is not None}


def number(value: Cell) -> float | None:
    """The number in a cell; None where it holds none."""
    return float(value) if isinstance(value, int | float) and not isinstance(value, bool) else None


def words(value: Cell) -> str:
    """A cell's value as text without needless spaces or digits."""
    if value is None:
        return ""
    if isinstance(value, int | float) and not isinstance(value, bool):
        return f"{value:.12g}"
    return " ".join(str(value).split())
