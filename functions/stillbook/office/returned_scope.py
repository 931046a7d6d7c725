"""One scope of work as a contractor returned it.

The lines are found by the headings of their columns, so that rows and columns may have moved, and whichever spreadsheet
program the file went through.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

from stillbook.cells import Cell
from stillbook.workbook import WorkbookError
from stillbook.workbook.calculation.recalculate import calculate
from stillbook.workbook.file.package import Package
from stillbook.workbook.job.lines import LINE_COLUMNS, number, words

HEADINGS: Final = {
    "no.": "number",
    "item": "text",
    "trade": "trade",
    "quantity": "quantity",
    "unit": "unit",
    "unit price": "price",
    "line total": "total",
}
_NEEDED: Final = frozenset(("number", "text", "quantity", "price"))
_SUM: Final = "sum of all lines"
_REVISION: Final = re.compile(r"\bfrom revision (?:.{1,20} \()?([0-9a-f]{12})\b")
_AMOUNT: Final = re.compile(r"[-+]?\d[\d.,' \u00a0\u2019]*")
_INCLUDED: Final = re.compile(r"\bincl(uded|\.)?\b", re.IGNORECASE)
_MOST_ROWS: Final = 20_000


@dataclass(frozen=True, slots=True)
class Offer:
    """What a returned scope says of one line.

    Args:
        number: Its number; 0 for a line of the contractor's own.
        text: What it is.
        quantity: How much; None where the cell holds no number.
        unit: By what it is priced.
        price: Price of one unit; None without one.
        price_text: The price as written, where it is no plain number.
        total: The line total that stands there; None without one.
    """

    number: int
    text: str
    quantity: float | None
    unit: str
    price: float | None
    price_text: str
    total: float | None


@dataclass(slots=True)
class ReturnedScope:
    """A returned scope.

    Args:
        file: The file.
        contractor: Who returned it, as written there; may be empty.
        remarks: What is remarked there.
        offers: The numbered lines.
        own: Lines that the contractor added.
        sum: The sum that stands there; None without one.
        revision: The start of the revision that it was shared from; empty where it is not told.
        twice: What was found for a second time and left out, in words.
    """

    file: str
    contractor: str = ""
    remarks: str = ""
    offers: dict[int, Offer] = field(default_factory=dict)
    own: list[Offer] = field(default_factory=list)
    sum: float | None = None
    revision: str = ""
    twice: list[str] = field(default_factory=list)


def read_scope(path: Path) -> ReturnedScope:
    """Read a returned scope; the file is not changed.

    Raises:
        WorkbookError: If it cannot be opened, is an estimate with its costs, or holds no table with the headings of a
            scope.
    """
    package = Package.open(path)
    if any(name.name.casefold() == LINE_COLUMNS["cost"] for name in package.names):
        raise WorkbookError(f"{path}: it is an estimate of the office, with its costs: give the copy that came back")
    _fill_in(package)
    for sheet in package.sheets:
        scope = ReturnedScope(str(path))
        if _read_sheet(package, sheet, scope):
            properties = package.properties()
            scope.revision = properties.get("shared_from_revision", scope.revision)
            return scope
    raise WorkbookError(
        f'{path}: it holds no scope: no sheet has the headings "No.", "Item", "Quantity" and "Unit price"'
    )


def _fill_in(package: Package) -> None:
    """Calculate a file whose formulas came back without results; one that cannot be calculated is read as it is."""
    waits = any(
        at not in package.sheet(sheet).stored for sheet in package.sheets for at in package.sheet(sheet).formulas
    )
    if waits:
        try:
            package.write(calculate(package).changes)
        except WorkbookError:
            return


def _read_sheet(package: Package, sheet: str, scope: ReturnedScope) -> bool:
    """Read the lines of a sheet; whether it has any table of them."""
    by_row: dict[int, dict[int, Cell]] = {}
    for row, column in sorted(package.sheet(sheet).stored):
        if row <= _MOST_ROWS:
            by_row.setdefault(row, {})[column] = package.value(sheet, row, column)
    columns: dict[str, int] = {}
    found = False
    for cells in by_row.values():
        heads = _headings(cells)
        if heads:
            columns, found = heads, True
            continue
        _read_frame(cells, scope)
        if columns:
            _read_line(cells, columns, scope)
    return found


def _headings(cells: dict[int, Cell]) -> dict[str, int]:
    """The columns of a row of headings, by what they hold; none for any other row."""
    heads = {}
    for column, value in cells.items():
        kind = HEADINGS.get(words(value).casefold())
        if kind and kind not in heads:
            heads[kind] = column
    return heads if heads.keys() >= _NEEDED else {}


def _read_frame(cells: dict[int, Cell], scope: ReturnedScope) -> None:
    """What stands above the lines: who bids, the remarks, the sum, the revision."""
    texts = [words(value) for value in cells.values()]
    for place, text in enumerate(texts):
        label = text.casefold().rstrip(":")
        after = next((other for other in texts[place + 1 :] if other), "")
        if label == "contractor" and not scope.contractor:
            scope.contractor = after[:80]
        elif label == "remarks" and not scope.remarks:
            scope.remarks = after
        elif label.startswith(_SUM) and scope.sum is None:
            amounts = [n for value in list(cells.values())[place + 1 :] if (n := number(value)) is not None]
            scope.sum = amounts[-1] if amounts else None
        elif match := _REVISION.search(text):
            scope.revision = scope.revision or match[1]


def _read_line(cells: dict[int, Cell], columns: dict[str, int], scope: ReturnedScope) -> None:
    held = {kind: cells.get(column) for kind, column in columns.items()}
    price, text = _price(held.get("price"))
    offer = Offer(
        number=_line_number(held["number"]),
        text=words(held["text"]),
        quantity=_amount(held["quantity"]),
        unit=words(held.get("unit")),
        price=price,
        price_text=text,
        total=_amount(held.get("total")),
    )
    if offer.number:
        if offer.number in scope.offers:
            scope.twice.append(f"the line {offer.number}, {offer.text}, stands there twice: the first is taken")
        else:
            scope.offers[offer.number] = offer
    elif offer.price is not None and (offer.text or offer.quantity is not None):
        scope.own.append(offer)


def _line_number(value: Cell) -> int:
    """The number of a line; 0 for a row that is none of ours."""
    amount = number(value)
    if amount is None and isinstance(value, str) and value.strip().rstrip(".").isdecimal():
        amount = float(value.strip().rstrip("."))
    return int(amount) if amount is not None and amount > 0 and amount == int(amount) else 0


def _amount(value: Cell) -> float | None:
    plain = number(value)
    return plain if plain is not None else read_amount(value) if isinstance(value, str) else None


def _price(value: Cell) -> tuple[float | None, str]:
    """A price, and how it is written where it is no plain number."""
    plain = number(value)
    if plain is not None or not isinstance(value, str) or not value.strip():
        return plain, ""
    text = words(value)
    if _INCLUDED.search(text) and read_amount(text) is None:
        return 0.0, text
    return read_amount(text), text


def read_amount(text: str) -> float | None:
    """An amount of money as people write it; None where there is none, or more than one.

    >>> [read_amount(text) for text in ("$1,234.50", "1.234,50 €", "12,5", "1,234", "USD 18.- per sheet", "ask us")]
    [1234.5, 1234.5, 12.5, 1234.0, 18.0, None]
    """
    found = _AMOUNT.findall(text)
    if len(found) != 1:
        return None
    digits = re.sub(r"[ '\u00a0\u2019]", "", found[0]).rstrip(".,")
    marks = [sign for sign in digits if sign in ".,"]
    if len(set(marks)) == 2:
        digits = digits.replace("," if marks[-1] == "." else ".", "").replace(",", ".")
    elif len(marks) > 1 or (marks and re.search(r"[1-9]\d{0,2},\d{3}$", digits)):
        digits = digits.replace(marks[0], "")
    else:
        digits = digits.replace(",", ".")
    try:
        return float(digits)
    except ValueError:
        return None
