"""What a finished job cost, by code or by trade, beside its lines."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from stillbook.office.actuals.columns import read_rows
from stillbook.workbook import WorkbookError
from stillbook.workbook.file.package import Package
from stillbook.workbook.job.lines import labour_rates, lines

NEEDED: Final = ("code",)
AMOUNTS: Final = {"quantity": "", "hours": "h", "money": ""}
"""What is booked, with the unit that a figure may carry."""

_MOST: Final = {"quantity": 1e7, "hours": 1e5, "money": 1e9}
"""As much as the sheets of a job let anyone type; hours of fifty people in a year (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Booked:
    """What the books say of one code, or of one trade where no code was written down.

    Args:
        code: The code of a line, or the name of a trade.
        quantity: What was used, in the unit of the line; None where it was not written down.
        hours: Hours of the office's own people; None where they were not written down.
        money: What was paid for material and to others; None where it was not written down.
    """

    code: str
    quantity: float | None
    hours: float | None
    money: float | None


@dataclass(frozen=True, slots=True)
class Beside:
    """A code or a trade, as it was estimated and as it came out.

    Args:
        code: The code; empty for a trade as a whole.
        text: What it is.
        trade: Its trade; empty for what the estimate does not have.
        unit: What is counted.
        quantity: Estimated quantity; None for a trade.
        hours: Estimated hours.
        money: Estimated cost of material.
        labour: Estimated cost of the hours.
        booked: What the books say; None where they say nothing.
        wage: What an hour of its trade costs in the job; None where the job does not say.
    """

    code: str
    text: str
    trade: str
    unit: str
    quantity: float | None
    hours: float
    money: float
    labour: float
    booked: Booked | None
    wage: float | None

    @property
    def cost(self) -> float:
        """What was estimated, material and labour."""
        return self.money + self.labour

    @property
    def actual(self) -> float | None:
        """What it cost: money, and hours at the wage of the job; None where that is not known."""
        if self.booked is None or (self.booked.money is None and self.booked.hours is None):
            return None
        if self.booked.hours and self.wage is None:
            return None
        return (self.booked.money or 0.0) + (self.booked.hours or 0.0) * (self.wage or 0.0)


def read_booked(path: Path) -> dict[str, Booked]:
    """What the books say, by code in lower case; rows of one code are added.

    Raises:
        WorkbookError: If the file cannot be read, a row has no code, a figure is more than a job can have, or a sum is
            less than nothing.
    """
    sums: dict[str, Booked] = {}
    taken_off: dict[tuple[str, str], str] = {}
    for row in read_rows(path, NEEDED, tuple(AMOUNTS)):
        code = row.text("code")
        amounts = {name: row.number(name, unit) for name, unit in AMOUNTS.items()}
        if not code:
            if any(amounts.values()):
                raise WorkbookError(f"{row.place}: it has no code: write the code of a line, or the name of a trade")
            continue
        for name, amount in amounts.items():
            if amount is not None and abs(amount) > _MOST[name]:
                raise WorkbookError(
                    f"{row.place}: {name} {amount:,.12g} of {code} cannot be: it lies from 0 to {_MOST[name]:,.0f}, "
                    "and what is taken off again is no more: check the figure"
                )
            if amount is not None and amount < 0:
                taken_off.setdefault((code.casefold(), name), row.place)
        known = sums.get(code.casefold(), Booked(code, None, None, None))
        added = {name: _added(getattr(known, name), amount) for name, amount in amounts.items()}
        sums[code.casefold()] = Booked(known.code, **added)
    if not sums:
        raise WorkbookError(f"{path}: it holds no row with a code")
    for key, one in sums.items():
        for name in AMOUNTS:
            amount = getattr(one, name)
            if amount is not None and amount < 0:
                raise WorkbookError(
                    f"{taken_off[key, name]}: {name} of {one.code} adds up to {amount:g}, less than nothing: "
                    "check the sign, or give what it is taken off"
                )
    return sums


def _added(one: float | None, other: float | None) -> float | None:
    return other if one is None else one if other is None else one + other


def beside(where: Path, package: Package, booked: Mapping[str, Booked]) -> tuple[list[Beside], list[Beside]]:
    """The lines of a calculated job by code, then its trades, each with what the books say.

    A code on several lines is one here. What the books say under the name of a trade is of that trade alone; the
    trades have what their codes have too.

    Raises:
        WorkbookError: If the job has no lines, the lines of a code differ in unit, or none of the codes is in the job.
    """
    wages = {trade.casefold(): rate for trade, rate in labour_rates(package).items()}
    by_code: dict[str, Beside] = {}
    for line in lines(package):
        key = line.code.casefold()
        before = by_code.get(key)
        if before and before.unit.casefold() != line.unit.casefold():
            raise WorkbookError(
                f"{where}: {line.code} is counted in {before.unit} and in {line.unit}: give each a code"
            )
        by_code[key] = Beside(
            line.code,
            before.text if before else line.text,
            line.trade,
            line.unit,
            line.quantity + ((before.quantity or 0.0) if before else 0.0),
            line.hours + (before.hours if before else 0.0),
            line.material + (before.money if before else 0.0),
            line.labour + (before.labour if before else 0.0),
            booked.get(key),
            wages.get(line.trade.casefold()),
        )
    if not by_code:
        raise WorkbookError(f"{where}: it has no lines: use an estimate whose columns have the line_ names")
    trades = list(dict.fromkeys(line.trade for line in by_code.values()))
    known = {*by_code, *(trade.casefold() for trade in trades), *wages}
    more = [one for key, one in booked.items() if key not in known]
    if len(more) == len(booked):
        raise WorkbookError(
            f"{where}: none of its codes or trades is in the books, which have {', '.join(o.code for o in more[:3])}"
        )
    by_code |= {one.code.casefold(): Beside(one.code, "", "", "", None, 0.0, 0.0, 0.0, one, None) for one in more}
    return list(by_code.values()), [_trade(trade, list(by_code.values()), booked, wages) for trade in trades]


def _trade(trade: str, each: Sequence[Beside], booked: Mapping[str, Booked], wages: Mapping[str, float]) -> Beside:
    """One trade as a whole."""
    own = [line for line in each if line.trade == trade]
    told = [line.booked for line in own if line.booked]
    told += [whole] if (whole := booked.get(trade.casefold())) else []
    found = None
    if told:
        hours, money = ([getattr(one, name) for one in told] for name in ("hours", "money"))
        found = Booked(trade, None, _sum(hours), _sum(money))
    return Beside(
        "",
        trade,
        trade,
        "",
        None,
        sum(line.hours for line in own),
        sum(line.money for line in own),
        sum(line.labour for line in own),
        found,
        wages.get(trade.casefold()),
    )


def _sum(amounts: Sequence[float | None]) -> float | None:
    given = [amount for amount in amounts if amount is not None]
    return sum(given) if given else None
