"""New prices brought into jobs by code: from a price book, or from any workbook that names its price columns.

A price book names its columns as an estimate does (:mod:`stillbook.workbook.job.lines`). It may have price levels, by
the names that the office gives them:

- a level with a mark-up on costs, in a cell named ``level_a_markup`` beside its name in ``level_a_name``, is for
  clients: the job takes the plain costs, and the level and its mark-up become inputs of the job, a step of its price;
- a level with costs of its own, such as a supplier's, is a column named ``price_costs_trade``, and one named
  ``labour_rates_trade`` where hours cost otherwise too.

>>> from stillbook.office.reprice import read_prices, reprice
>>> reprice("job.xlsx", read_prices("prices.xlsx")).moved        # doctest: +SKIP
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from os import PathLike
from pathlib import Path
from typing import Final

from stillbook.cells import Cell
from stillbook.office.compare import Difference, compare_jobs, same
from stillbook.workbook import WorkbookError
from stillbook.workbook.file.package import Package
from stillbook.workbook.file.sheet import Change, Key
from stillbook.workbook.job.estimate import Job
from stillbook.workbook.job.lines import (
    ASSEMBLY_COLUMNS,
    LABOUR_COLUMNS,
    OWN_COLUMNS,
    PART_COLUMNS,
    PRICE_COLUMNS,
    PriceRow,
    column,
    currency_of,
    lines,
    number,
    price_rows,
    rows,
    words,
)

_COSTS: Final = "price_costs_"
_HOURS: Final = "labour_rates_"
"""The starts of the names of columns for one price level."""

_MARKUP: Final = re.compile(r"level_(\w+)_markup", re.IGNORECASE)

LEVEL_INPUTS: Final = ("level_name", "level_markup")
"""The inputs of a job that say at which level it is priced."""


@dataclass(frozen=True, slots=True)
class Level:
    """A price level of a price book.

    Args:
        key: What its columns and cells are named after.
        name: What the office calls it.
        markup: Share that it adds to costs; None where it has costs of its own.
    """

    key: str
    name: str
    markup: float | None


@dataclass(frozen=True, slots=True)
class Prices:
    """Prices to be brought into jobs.

    Args:
        source: The file they come from.
        rows: The rows by code, in lower case.
        labour: What an hour costs, by trade, in lower case; None where no number stands.
        levels: The price levels that the source has, by the names the office gives them.
        currency: What they are in, as the source says.
        level: The level asked for.
        made_up: The assemblies that the source has.
    """

    source: str
    rows: Mapping[str, PriceRow]
    labour: Mapping[str, float | None]
    levels: tuple[str, ...] = ()
    currency: str = ""
    level: Level | None = None
    made_up: MadeUp = field(default_factory=lambda: MadeUp({}, ()))


@dataclass(frozen=True, slots=True)
class MadeUp:
    """Assemblies: made-up work and what a unit of it takes.

    Args:
        assemblies: Code, description and unit of each, by its code in lower case.
        parts: Assembly, item, quantity and waste of each part.
    """

    assemblies: Mapping[str, tuple[str, str, str]]
    parts: tuple[tuple[str, str, float | None, float | None], ...]


@dataclass(frozen=True, slots=True)
class Moved:
    """A price that changed in a job.

    Args:
        code: Its code, or the trade of a labour rate.
        what: ``unit cost``, ``done in an hour``, ``hours each`` of an estimator's own line, ``hour of labour``, or of a
            part of an assembly ``in one unit`` or ``waste``.
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
        checks: The checks whose state is another than before.
        missing: Codes that the job's lines use and the prices do not have.
        refused: Prices that were not taken, in words.
        saved: Whether the job was changed.
    """

    path: Path
    moved: tuple[Moved, ...]
    lines: tuple[Difference, ...]
    results: tuple[Difference, ...]
    checks: tuple[Difference, ...]
    missing: tuple[str, ...]
    refused: tuple[str, ...]
    saved: bool


def read_prices(path: str | PathLike[str], level: str = "") -> Prices:
    """Read a price book, or the prices of another estimate, calculated first.

    Args:
        path: The workbook.
        level: The price level, by its name in the book; the plain costs when empty.

    Raises:
        WorkbookError: If it names no price columns, has no such level, or gives a code twice with different costs.
    """
    where = Path(path)
    job = Job.open(where)
    job.calculate()
    package = job.package
    levels = _levels(package)
    taken = _level(where, levels, level) if level else None
    columns, hours = dict(PRICE_COLUMNS), dict(LABOUR_COLUMNS)
    if taken is not None and taken.markup is None:
        columns["cost"] = _COSTS + taken.key
        hours["rate"] = _HOURS + taken.key if column(package, _HOURS + taken.key) else hours["rate"]
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
        if not same(other.rate, row.rate):
            raise WorkbookError(
                f"{where}: the code {row.code} has two rates of work, in rows {other.row} and {row.row}: keep one"
            )
    labour: dict[str, float | None] = {}
    for _, entry in rows(package, hours):
        if (trade := words(entry.get("trade"))) and not same(
            labour.setdefault(trade.casefold(), hour := number(entry.get("rate"))), hour
        ):
            raise WorkbookError(f"{where}: the trade {trade} has two rates of an hour: keep one")
    return Prices(
        str(where),
        by_code,
        labour,
        tuple(entry.name for entry in levels),
        currency_of(package),
        taken,
        _made_up(package),
    )


def _levels(package: Package) -> list[Level]:
    """The price levels of a workbook, in the order of their names."""
    names = {name.name.casefold() for name in package.names}
    marked = {match[1] for name in names if (match := _MARKUP.fullmatch(name))}
    own = {name.removeprefix(_COSTS) for name in names if name.startswith(_COSTS)}
    found = []
    for key in sorted(marked | own):
        name = _cell(package, f"level_{key}_name")
        markup = number(_cell(package, f"level_{key}_markup"))
        found.append(Level(key, words(name) or key.replace("_", " "), markup))
    return found


def _level(where: Path, levels: Sequence[Level], wanted: str) -> Level:
    """The level of that name.

    Raises:
        WorkbookError: If there is none, two have that name, or its mark-up is less than nothing.
    """
    asked = " ".join(wanted.casefold().split())
    named = [entry for entry in levels if asked == " ".join(entry.name.casefold().split())]
    if len(named) > 1:
        raise WorkbookError(f"{where}: {len(named)} price levels are called {named[0].name}: give each its own name")
    for entry in named or [entry for entry in levels if asked == entry.key.casefold().replace("_", " ")]:
        if entry.markup is not None and entry.markup < 0:
            raise WorkbookError(f"{where}: the mark-up of {entry.name} is {entry.markup:g}: give 0 or more")
        return entry
    known = f"it has {', '.join(entry.name for entry in levels)}" if levels else "it has no levels"
    raise WorkbookError(f"{where}: there is no price level {wanted[:40]}: {known}")


def reprice(path: str | PathLike[str], prices: Prices, *, write: bool = True) -> Repriced:
    """Bring new prices into a job, calculate it and save it.

    A price is taken where the code is alike and the unit too; a price in another unit is refused, since the job's
    quantities would no longer fit it. So are all prices in another currency, and a price that is blank, no number, or
    nothing: it would lower the estimate without a word.

    Args:
        path: The job.
        prices: The new prices.
        write: False to see what they would do; the job is not changed then.

    Raises:
        WorkbookError: If the job has no price columns, another currency or no place for the level, cannot be
            calculated or cannot be saved; it is not changed then.
    """
    where = Path(path)
    job = Job.open(where)
    if not column(job.package, PRICE_COLUMNS["code"]) or not column(job.package, PRICE_COLUMNS["cost"]):
        raise WorkbookError(f"{where}: it has no prices to change: use an estimate whose columns have the price_ names")
    mine = currency_of(job.package)
    if mine and prices.currency and mine.casefold() != prices.currency.casefold():
        raise WorkbookError(
            f"{where}: it is priced in {mine} and {prices.source} in {prices.currency}: take prices in {mine}"
        )
    refused: list[str] = []
    changes, moved = _changes(job.package, prices, refused)
    _bring_assemblies(job.package, prices, changes, moved, refused)
    marked_up = _at_level(job, prices)
    changed = bool(changes) or marked_up
    before = Job.open(where) if changed else job
    first = before.calculate()
    job.write(changes)
    second = job.calculate() if changed else first
    comparison = compare_jobs(before, first, job, second)
    used = {line.code.casefold(): line.code for line in lines(job.package) if line.code}
    saved = changed and write
    if saved:
        job.save()
    return Repriced(
        path=where,
        moved=tuple(moved),
        lines=comparison.of("line"),
        results=comparison.of("result"),
        checks=comparison.of("check"),
        missing=tuple(
            code for key, code in used.items() if key not in prices.rows and key not in prices.made_up.assemblies
        ),
        refused=tuple(refused),
        saved=saved,
    )


def _at_level(job: Job, prices: Prices) -> bool:
    """Make a level's mark-up a step of the job's price; whether that changed the job.

    Raises:
        WorkbookError: If the job has no such step.
    """
    level = prices.level
    if level is None or level.markup is None:
        return False
    if any(name not in job.inputs for name in LEVEL_INPUTS):
        raise WorkbookError(
            f"{job.path}: it has no place for the mark-up of {level.name}: carry it onto a template whose price has "
            "that step, or take the plain costs"
        )
    wanted: dict[str, Cell] = dict(zip(LEVEL_INPUTS, (level.name, level.markup), strict=True))
    moved = {name: value for name, value in wanted.items() if not same(job.inputs[name].value, value)}
    job.set(moved)
    return bool(moved)


def _cell(package: Package, name: str) -> Cell:
    """What a named cell holds; None where there is none."""
    spot = column(package, name)
    return package.value(spot[0], *spot[1][:2]) if spot else None


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
        if (fault := _fault(new)) is not None:
            refused.append(f"{mine.code}: {fault}")
            continue
        if new.unit and mine.unit and new.unit.casefold() != mine.unit.casefold():
            refused.append(f"{mine.code}: it is priced for {words(new.unit)}, the job counts {words(mine.unit)}")
            continue
        put(PRICE_COLUMNS["cost"], mine.row, mine.code, "unit cost", mine.cost, new.cost)
        put(PRICE_COLUMNS["rate"], mine.row, mine.code, "done in an hour", mine.rate, new.rate)
    known = {mine.code.casefold() for mine in price_rows(package)} | _made_up(package).assemblies.keys()
    for row, entry in rows(package, OWN_COLUMNS):
        code = words(entry.get("code"))
        new = prices.rows.get(code.casefold())
        if new is None or code.casefold() in known:
            continue
        if (fault := _fault(new)) is not None:
            refused.append(f"{code}: {fault}")
            continue
        unit = words(entry.get("unit"))
        if unit and new.unit and unit.casefold() != new.unit.casefold():
            refused.append(f"{code}: it is priced for {words(new.unit)}, the line counts {unit}")
            continue
        put(OWN_COLUMNS["cost"], row, code, "unit cost", number(entry.get("cost")), new.cost)
        put(
            OWN_COLUMNS["hours"],
            row,
            code,
            "hours each",
            number(entry.get("hours")),
            1 / new.rate if new.rate else None,
        )
        for name, value in (("unit", new.unit), ("trade", new.trade)):
            if value and not words(entry.get(name)) and (spot := column(package, OWN_COLUMNS[name])):
                changes.setdefault(spot[0], {})[row, spot[1].first_column] = Change(value)
    for row, entry in rows(package, LABOUR_COLUMNS):
        trade = words(entry.get("trade"))
        if trade.casefold() not in prices.labour:
            continue
        new_rate = prices.labour[trade.casefold()]
        if (fault := _unfit(new_rate)) is not None:
            refused.append(f"{trade}: its hour {fault}")
            continue
        put(LABOUR_COLUMNS["rate"], row, trade, "hour of labour", number(entry.get("rate")), new_rate)
    return changes, moved


def _made_up(package: Package) -> MadeUp:
    """The assemblies of a workbook and their parts."""
    assemblies = {
        code.casefold(): (code, words(row.get("text")), words(row.get("unit")))
        for _, row in rows(package, ASSEMBLY_COLUMNS)
        if (code := words(row.get("code")))
    }
    parts = tuple(
        (assembly, words(row.get("item")), number(row.get("quantity")), _waste(row.get("waste")))
        for _, row in rows(package, PART_COLUMNS)
        if (assembly := words(row.get("assembly")))
    )
    return MadeUp(assemblies, parts)


def _waste(value: Cell) -> float | None:
    """A share of waste; NaN for words, which are none."""
    found = number(value)
    return math.nan if found is None and words(value) else found


def _bring_assemblies(
    package: Package, prices: Prices, changes: dict[str, dict[Key, Change]], moved: list[Moved], refused: list[str]
) -> None:
    """Bring the assemblies of a price book into a job, and the prices that the parts of those in use take."""
    mine, theirs = _made_up(package), prices.made_up
    if (
        not theirs.assemblies
        or not column(package, ASSEMBLY_COLUMNS["code"])
        or not column(package, PART_COLUMNS["assembly"])
    ):
        return
    for assembly, item, quantity, waste in theirs.parts:
        if quantity is None or not quantity > 0 or not (waste or 0) >= 0:
            refused.append(
                f"the assemblies: {assembly} takes {item} with no quantity over 0, or with a waste that is no share "
                "from 0 up: mend it in the book"
            )
            return
    for columns, wanted, what in (
        (ASSEMBLY_COLUMNS, list({**mine.assemblies, **theirs.assemblies}.values()), "assemblies"),
        (
            PART_COLUMNS,
            [part for part in mine.parts if part[0].casefold() not in theirs.assemblies] + list(theirs.parts),
            "parts of assemblies",
        ),
    ):
        there = list(rows(package, columns))
        if len(wanted) > len(there):
            refused.append(
                f"the {what}: there are {len(wanted)}, the job has place for {len(there)}: take some out of the book"
            )
            return
        for place, (row, held) in enumerate(there):
            values = wanted[place] if place < len(wanted) else (None,) * len(columns)
            for (short, name), value in zip(columns.items(), values, strict=True):
                spot = column(package, name)
                if spot is None or same(held.get(short) or None, value or None):
                    continue
                if (row, spot[1].first_column) in package.sheet(spot[0]).formulas:
                    refused.append(
                        f"{values[0]}: its {short}, row {row}, is worked out by a formula in this job, and stays"
                    )
                    continue
                changes.setdefault(spot[0], {})[row, spot[1].first_column] = Change(value)
                if short in ("quantity", "waste") and isinstance(value, float):
                    code = f"{wanted[place][0]}: {wanted[place][1]}"
                    moved.append(
                        Moved(
                            code, {"quantity": "in one unit", "waste": "waste"}[short], number(held.get(short)), value
                        )
                    )
    _bring_items(package, prices, changes, moved, refused)


def _bring_items(
    package: Package, prices: Prices, changes: dict[str, dict[Key, Change]], moved: list[Moved], refused: list[str]
) -> None:
    """Write what the parts of assemblies in use take, and the job has no price for, into its blank rows of prices."""
    used = {words(row.get("code")).casefold() for _, row in rows(package, OWN_COLUMNS)}
    known = {row.code.casefold() for row in price_rows(package)}
    blank = [row for row, held in rows(package, PRICE_COLUMNS) if not words(held.get("code"))]
    for assembly, item, *_ in prices.made_up.parts:
        new = prices.rows.get(item.casefold())
        if assembly.casefold() not in used or item.casefold() in known or new is None:
            continue
        known.add(item.casefold())
        if (fault := _fault(new)) is not None:
            refused.append(f"{item}: {fault}")
            continue
        if not blank:
            refused.append(f"{item}: the job has no blank row of prices for it, which {assembly} takes")
            continue
        row = blank.pop(0)
        for name, value in zip(
            PRICE_COLUMNS.values(), (new.code, new.text, new.unit, new.cost, new.trade, new.rate), strict=True
        ):
            if (spot := column(package, name)) and value is not None:
                changes.setdefault(spot[0], {})[row, spot[1].first_column] = Change(value)
        if new.cost is not None:
            moved.append(Moved(new.code, "unit cost", None, new.cost))


def _fault(price: PriceRow) -> str | None:
    """Why a price is not taken; None for one that is. A rate of work that is blank leaves the job's."""
    if (fault := _unfit(price.cost)) is not None:
        return f"its cost {fault}"
    return f"its rate of work {_unfit(price.rate)}" if price.rate is not None and price.rate <= 0 else None


def _unfit(amount: float | None) -> str | None:
    """Why a cost is not taken; None for one that is."""
    if amount is None:
        return "is blank or no number: write it in the book"
    return f"is {amount:g}: write more than nothing in the book" if amount <= 0 else None
