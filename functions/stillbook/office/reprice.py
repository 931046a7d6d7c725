"""New prices brought into jobs by code: from a price book, or from any workbook that names its price columns.

A price book names its columns as an estimate does (:mod:`stillbook.workbook.job.lines`). It may hold a column of costs
for each price level: a level ``trade`` is the column named ``price_costs_trade``.

>>> from stillbook.office.reprice import read_prices, reprice
>>> reprice("job.xlsx", read_prices("prices.xlsx")).moved        # doctest: +SKIP
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from os import PathLike
from pathlib import Path
from typing import Final

from stillbook.office.compare import Difference, compare_jobs, same
from stillbook.workbook import WorkbookError
from stillbook.workbook.file.package import Package
from stillbook.workbook.file.sheet import Change, Key
from stillbook.workbook.job.estimate import Job
from stillbook.workbook.job.lines import (
    CURRENCY,
    LABOUR_COLUMNS,
    PRICE_COLUMNS,
    PriceRow,
    column,
    labour_rates,
    lines,
    number,
    price_rows,
    rows,
    words,
)

LEVEL: Final = "price_costs_"
"""The start of the name of a column of costs for one price level."""


@dataclass(frozen=True, slots=True)
class Prices:
    """Prices to be brought into jobs.

    Args:
        source: The file they come from.
        rows: The rows by code, in lower case.
        labour: What an hour costs, by trade, in lower case.
        levels: The price levels that the source has.
        currency: What they are in, as the source says.
    """

    source: str
    rows: Mapping[str, PriceRow]
    labour: Mapping[str, float]
    levels: tuple[str, ...] = ()
    currency: str = ""


@dataclass(frozen=True, slots=True)
class Moved:
    """A price that changed in a job.

    Args:
        code: Its code, or the trade of a labour rate.
        what: ``unit cost``, ``done in an hour`` or ``hour of labour``.
        before: The old figure; None for a blank.
        after: The new one.
    """

    code: str
    what: str
    before: float | None
    after: float


@dataclass(frozen=True, slots=True)
class Repriced:
    """What new prices did to a job.

    Args:
        path: The job.
        moved: The prices that changed in it.
        lines: The lines whose cost moved.
        results: The key results that moved.
        missing: Codes that the job's lines use and the prices do not have.
        refused: Prices that were not taken, in words.
        saved: Whether the job was changed.
    """

    path: Path
    moved: tuple[Moved, ...]
    lines: tuple[Difference, ...]
    results: tuple[Difference, ...]
    missing: tuple[str, ...]
    refused: tuple[str, ...]
    saved: bool


def read_prices(path: str | PathLike[str], level: str = "") -> Prices:
    """Read a price book, or the prices of another estimate, calculated first.

    Args:
        path: The workbook.
        level: The price level; the plain costs when empty.

    Raises:
        WorkbookError: If it names no price columns, has no such level, or gives a code twice with different costs.
    """
    where = Path(path)
    job = Job.open(where)
    job.calculate()
    package = job.package
    found = sorted({n.name.casefold() for n in package.names if n.name.casefold().startswith(LEVEL)})
    levels = tuple(name.removeprefix(LEVEL) for name in found)
    columns = dict(PRICE_COLUMNS)
    if level:
        wanted = "_".join(level.casefold().split())
        if wanted not in levels:
            known = f"it has {', '.join(levels)}" if levels else "it has no levels"
            raise WorkbookError(f"{where}: there is no price level {level[:40]}: {known}")
        columns["cost"] = LEVEL + wanted
    if not column(package, columns["code"]) or not column(package, columns["cost"]):
        raise WorkbookError(
            f"{where}: it names no prices: give its columns the names price_codes and {columns['cost']}"
        )
    try:
        listed = price_rows(package, columns)
    except WorkbookError as error:
        raise WorkbookError(f"{where}: {error}") from None
    by_code: dict[str, PriceRow] = {}
    for row in listed:
        other = by_code.setdefault(row.code.casefold(), row)
        if not same(other.cost, row.cost):
            raise WorkbookError(
                f"{where}: the code {row.code} has two costs, in rows {other.row} and {row.row}: keep one"
            )
    labour = {trade.casefold(): rate for trade, rate in labour_rates(package).items()}
    return Prices(str(where), by_code, labour, levels, _currency(package))


def reprice(path: str | PathLike[str], prices: Prices, *, write: bool = True) -> Repriced:
    """Bring new prices into a job, calculate it and save it.

    A price is taken where the code is alike and the unit too; a price in another unit is refused, since the job's
    quantities would no longer fit it. So are all prices in another currency.

    Args:
        path: The job.
        prices: The new prices.
        write: False to see what they would do; the job is not changed then.

    Raises:
        WorkbookError: If the job has no price columns or another currency, cannot be calculated or cannot be saved; it
            is not changed then.
    """
    where = Path(path)
    before = Job.open(where)
    first = before.calculate()
    job = Job.open(where)
    if not column(job.package, PRICE_COLUMNS["code"]) or not column(job.package, PRICE_COLUMNS["cost"]):
        raise WorkbookError(f"{where}: it has no prices to change: use an estimate whose columns have the price_ names")
    mine = _currency(job.package)
    if mine and prices.currency and mine.casefold() != prices.currency.casefold():
        raise WorkbookError(
            f"{where}: it is priced in {mine} and {prices.source} in {prices.currency}: take prices in {mine}"
        )
    refused: list[str] = []
    changes, moved = _changes(job.package, prices, refused)
    job.write(changes)
    second = job.calculate()
    comparison = compare_jobs(before, first, job, second)
    used = {line.code.casefold(): line.code for line in lines(job.package) if line.code}
    saved = bool(changes) and write
    if saved:
        job.save()
    return Repriced(
        path=where,
        moved=tuple(moved),
        lines=comparison.of("line"),
        results=comparison.of("result"),
        missing=tuple(code for key, code in used.items() if key not in prices.rows),
        refused=tuple(refused),
        saved=saved,
    )


def _currency(package: Package) -> str:
    """The currency a workbook names; empty where it names none."""
    spot = column(package, CURRENCY)
    return words(package.value(spot[0], *spot[1][:2])).strip() if spot else ""


def _changes(package: Package, prices: Prices, refused: list[str]) -> tuple[dict[str, dict[Key, Change]], list[Moved]]:
    """The cells that new prices change, and the prices that move."""
    changes: dict[str, dict[Key, Change]] = {}
    moved: list[Moved] = []

    def put(name: str, row: int, code: str, what: str, old: float | None, new: float | None) -> None:
        spot = column(package, name)
        if spot is None or new is None or same(old, new):
            return
        if (row, spot[1].first_column) in package.sheet(spot[0]).formulas:
            refused.append(f"{code}: the {what} is worked out by a formula in this job, and stays")
            return
        changes.setdefault(spot[0], {})[row, spot[1].first_column] = Change(new)
        moved.append(Moved(code, what, old, new))

    for mine in price_rows(package):
        new = prices.rows.get(mine.code.casefold())
        if new is None:
            continue
        if new.cost is not None and new.cost < 0:
            refused.append(f"{mine.code}: its cost is {new.cost:g}, less than nothing")
            continue
        if new.unit and mine.unit and new.unit.casefold() != mine.unit.casefold():
            refused.append(f"{mine.code}: it is priced for {words(new.unit)}, the job counts {words(mine.unit)}")
            continue
        put(PRICE_COLUMNS["cost"], mine.row, mine.code, "unit cost", mine.cost, new.cost)
        put(PRICE_COLUMNS["rate"], mine.row, mine.code, "done in an hour", mine.rate, new.rate)
    for row, entry in rows(package, LABOUR_COLUMNS):
        trade = words(entry.get("trade"))
        new_rate = prices.labour.get(trade.casefold())
        put(LABOUR_COLUMNS["rate"], row, trade, "hour of labour", number(entry.get("rate")), new_rate)
    return changes, moved
