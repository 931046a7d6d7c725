"""Contractors' returned scopes read back, line by line, and set beside each other and our estimate.

A contractor gets the scope as a shared copy, writes unit prices into it and sends it back. What comes back is read as
it is: lines may be missing, quantities changed, totals typed over, prices written as words, or meant for another unit.
Everything that a person should look at is told as a finding; nothing is put right in silence.

>>> from stillbook.workbook.bids import bids
>>> bids(["a.xlsx", "b.xlsx"], "job.xlsx", "bids.xlsx").findings        # doctest: +SKIP
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from os import PathLike
from pathlib import Path
from statistics import median
from typing import Final, Literal

from stillbook.workbook import WorkbookError
from stillbook.workbook.job import Job
from stillbook.workbook.lines import Line, lines
from stillbook.workbook.returned_scope import Offer, ReturnedScope, read_scope

Kind = Literal["missing", "quantity", "unit", "price", "sum", "slip", "own line", "twice", "revision"]

Tell = Callable[[int, Kind, str], None]
"""Notes a finding: number of the line, kind and sentence."""

_CENT: Final = 0.01
_HALF: Final = 0.5
"""Quantities in a scope are shown in whole numbers."""

FAR_OFF: Final = 4.0
"""A unit price this many times the others, or this part of them, is hardly meant for the same unit."""

_NEAR: Final = 0.2
_LENGTHS: Final = ("ft", "m", "in", "mm", "yd")
_AREAS: Final = ("ft²", "m²", "sheet", "yd²")
_COUNTED: Final = ()
"""Units of things that are counted: all others."""

_FACTORS: Final = (
    (3.28084, "metres and feet", _LENGTHS),
    (12.0, "feet and inches", _LENGTHS),
    (9.0, "square yards and square feet", _AREAS),
    (10.7639, "m² and ft²", _AREAS),
    (32.0, "4 × 8 ft sheets and ft²", _AREAS),
    (12.0, "dozens and pieces", _COUNTED),
    (100.0, "hundreds and pieces", _COUNTED),
    (1000.0, "thousands and pieces", _COUNTED),
)
"""How many of one unit another holds: exact or to six figures from the definitions of the units."""


@dataclass(frozen=True, slots=True)
class Finding:
    """Something about a bid that a person should look at.

    Args:
        contractor: Whose bid.
        line: Number of the line; 0 for the bid as a whole or a line of the contractor's own.
        kind: What kind of thing it is.
        text: What was found, in a sentence.
    """

    contractor: str
    line: int
    kind: Kind
    text: str


@dataclass(frozen=True, slots=True)
class Bid:
    """One contractor's bid.

    Args:
        contractor: Who bids.
        file: The file that came back.
        remarks: What the contractor remarks.
        prices: Unit price by line; a line without one is not there.
        written: The sum that stands in the file; None without one.
        sum: Our quantities at the contractor's unit prices, and the contractor's own lines.
        own: The sum of the contractor's own lines, which is part of ``sum``.
        missing: Numbers of the lines without a price.
        levelled: ``sum``, with each missing line at the middle of the other bids, or at our cost where nobody bids.
    """

    contractor: str
    file: str
    remarks: str
    prices: dict[int, float]
    written: float | None
    sum: float
    own: float
    missing: tuple[int, ...]
    levelled: float


@dataclass(frozen=True, slots=True)
class LineBids:
    """The prices for one line.

    Args:
        line: The line of our estimate.
        our_price: Our cost of one unit, material and labour.
        prices: Unit price by contractor.
        lowest: Contractor with the lowest price; empty where nobody bids.
        spread: Highest over lowest less one, as a share; None with fewer than two prices.
    """

    line: Line
    our_price: float
    prices: dict[str, float]
    lowest: str
    spread: float | None


@dataclass(frozen=True, slots=True)
class BidComparison:
    """The bids for a job beside each other.

    Args:
        job: The file of the job.
        lines: Line by line.
        bids: The bids, in the order given.
        findings: What a person should look at, bid by bid.
        unread: Files that could not be read, with the reason.
        our_cost: Our cost of the lines asked for.
    """

    job: str
    lines: tuple[LineBids, ...]
    bids: tuple[Bid, ...]
    findings: tuple[Finding, ...]
    unread: tuple[tuple[str, str], ...]
    our_cost: float


def bids(
    files: Sequence[str | PathLike[str]], job: str | PathLike[str], out: str | PathLike[str], *, replace: bool = False
) -> BidComparison:
    """Read returned scopes and write the comparison as a workbook.

    Args:
        files: The scopes as the contractors returned them.
        job: The job that the scope was shared from.
        out: Where the comparison goes.
        replace: Whether a file that stands at ``out`` may be replaced.

    Raises:
        WorkbookError: If the job has no lines, none of the files can be read, or the comparison cannot be written.
    """
    from stillbook.workbook.bid_report import write_bids
    from stillbook.workbook.reports import check_target

    target = Path(out)
    check_target(target, Path(job), *map(Path, files), replace=replace)
    comparison = compare_bids(files, job)
    write_bids(comparison, target, replace=replace)
    return comparison


def compare_bids(files: Sequence[str | PathLike[str]], job: str | PathLike[str]) -> BidComparison:
    """Read returned scopes and compare them with the job and each other; no file is changed.

    Raises:
        WorkbookError: If the job has no lines that are asked for, or none of the files can be read.
    """
    where = Path(job)
    estimate = Job.open(where)
    revision = hashlib.sha256(estimate.package.to_bytes()).hexdigest()
    estimate.calculate()
    asked = {line.number: line for line in lines(estimate.package) if line.number}
    if not asked:
        raise WorkbookError(f"{where}: it asks for no lines: use an estimate with a scope, in which lines have numbers")
    scopes: dict[str, ReturnedScope] = {}
    unread = []
    for file in files:
        try:
            scope = read_scope(Path(file))
        except WorkbookError as error:
            unread.append((str(file), str(error).removeprefix(f"{file}: ")))
            continue
        scopes[_own_name(scope, scopes)] = scope
    if not scopes:
        reasons = "; ".join(f"{file}: {reason}" for file, reason in unread)
        raise WorkbookError(f"none of the bids can be read: {reasons or 'give at least one returned scope'}")
    prices = {name: _prices(scope, asked) for name, scope in scopes.items()}
    findings: list[Finding] = []
    for name, scope in scopes.items():
        others = [other for key, other in prices.items() if key != name]
        findings += _findings(name, scope, asked, prices[name], others, revision)
    return BidComparison(
        job=str(where),
        lines=tuple(_line(line, prices) for line in asked.values()),
        bids=tuple(_bid(name, scope, asked, prices) for name, scope in scopes.items()),
        findings=tuple(findings),
        unread=tuple(unread),
        our_cost=sum(line.cost for line in asked.values()),
    )


def _own_name(scope: ReturnedScope, others: dict[str, ReturnedScope]) -> str:
    """A name for a bid that no other has."""
    name = scope.contractor or Path(scope.file).stem
    if name not in others:
        return name
    return f"{name} ({Path(scope.file).stem})" if f"{name} ({Path(scope.file).stem})" not in others else scope.file


def _prices(scope: ReturnedScope, asked: dict[int, Line]) -> dict[int, float]:
    return {n: offer.price for n, offer in scope.offers.items() if n in asked and offer.price is not None}


def _bid(name: str, scope: ReturnedScope, asked: dict[int, Line], prices: dict[str, dict[int, float]]) -> Bid:
    mine = prices[name]
    own = sum((offer.quantity or 0.0) * (offer.price or 0.0) for offer in scope.own)
    priced = sum(asked[n].quantity * price for n, price in mine.items()) + own
    missing = tuple(n for n in asked if n not in mine)
    filled = 0.0
    for n in missing:
        others = [other[n] for other in prices.values() if n in other]
        filled += asked[n].quantity * median(others) if others else asked[n].cost
    return Bid(name, scope.file, scope.remarks, mine, scope.sum, priced, own, missing, priced + filled)


def _line(line: Line, prices: dict[str, dict[int, float]]) -> LineBids:
    offered = {name: mine[line.number] for name, mine in prices.items() if line.number in mine}
    lowest = min(offered, key=lambda name: offered[name], default="")
    spread = None
    if len(offered) > 1 and offered[lowest] > 0:
        spread = max(offered.values()) / offered[lowest] - 1
    return LineBids(line, line.cost / line.quantity, offered, lowest, spread)


# --- findings ---------------------------------------------------------------------------------------------------------


def _findings(
    name: str,
    scope: ReturnedScope,
    asked: dict[int, Line],
    mine: dict[int, float],
    others: list[dict[int, float]],
    revision: str,
) -> list[Finding]:
    found: list[Finding] = []

    def tell(line: int, kind: Kind, text: str) -> None:
        found.append(Finding(name, line, kind, text))

    if scope.revision and not revision.startswith(scope.revision):
        tell(
            0, "revision", f"it prices revision {scope.revision[:12]}, the job is now {revision[:12]}: lines may differ"
        )
    for number, line in asked.items():
        offer = scope.offers.get(number)
        if offer is None:
            tell(number, "missing", f"the line {line.text} is gone from the bid")
            continue
        if offer.price is None:
            words = f' (it says "{offer.price_text}")' if offer.price_text else ""
            tell(number, "missing", f"the line {line.text} has no price{words}")
        elif offer.price_text:
            tell(
                number, "price", f'the price of {line.text} is written as "{offer.price_text}": read as {offer.price:g}'
            )
        _look_at_quantity(offer, line, tell)
        if offer.price is not None:
            _look_at_total(offer, tell)
            _look_at_size(offer.price, line, [other[number] for other in others if number in other], tell)
    for number, offer in scope.offers.items():
        if number not in asked:
            tell(number, "own line", f"the line {number}, {offer.text}, is not asked for and is left out")
    for text in scope.twice:
        tell(0, "twice", text)
    for offer in scope.own:
        amount = (offer.quantity or 0.0) * (offer.price or 0.0)
        tell(0, "own line", f"a line of the contractor's own: {offer.text or 'without words'}, {amount:,.2f} in all")
        if offer.price is not None:
            _look_at_total(offer, tell)
    _look_at_sum(scope, tell)
    return found


def _look_at_quantity(offer: Offer, line: Line, tell: Tell) -> None:
    if offer.quantity is None:
        tell(
            line.number, "quantity", f"the quantity of {line.text} is gone; asked for are {line.quantity:g} {line.unit}"
        )
    elif abs(offer.quantity - line.quantity) > _HALF:
        tell(
            line.number,
            "quantity",
            f"the quantity of {line.text} is {offer.quantity:g} in place of {line.quantity:g} {line.unit}",
        )
    if offer.unit.casefold() != line.unit.casefold():
        tell(line.number, "unit", f'{line.text} is priced by "{offer.unit or "no unit"}" in place of {line.unit}')


def _look_at_total(offer: Offer, tell: Tell) -> None:
    product = (offer.quantity or 0.0) * (offer.price or 0.0)
    if offer.total is not None and abs(offer.total - product) > _CENT + 1e-9 * abs(product):
        sum_text = f"{offer.quantity or 0:g} × {offer.price:g} make {product:,.2f}"
        tell(offer.number, "sum", f"the line total of {offer.text} is {offer.total:,.2f}; {sum_text}")


def _look_at_sum(scope: ReturnedScope, tell: Tell) -> None:
    totals = [
        offer.total if offer.total is not None else (offer.quantity or 0.0) * (offer.price or 0.0)
        for offer in (*scope.offers.values(), *scope.own)
    ]
    added = sum(totals)
    if scope.sum is None:
        tell(0, "sum", "the sum of all lines is gone")
    elif abs(scope.sum - added) > _CENT * max(1, len(totals)) / 2:
        tell(0, "sum", f"the sum is {scope.sum:,.2f}; the line totals add up to {added:,.2f}")


def _look_at_size(price: float, line: Line, others: list[float], tell: Tell) -> None:
    """Tell a price that is far from the others and our own, with the slip that would explain it."""
    known = [p for p in (*others, line.cost / line.quantity) if p > 0]
    if not known:
        return
    middle = median(known)
    if price <= 0:
        tell(line.number, "slip", f"the price of {line.text} is {price:g}: is the line included elsewhere?")
        return
    ratio = price / middle
    if 1 / FAR_OFF < ratio < FAR_OFF:
        return
    times = ratio if ratio > 1 else 1 / ratio
    why = "check the unit"
    if ratio > 1 and line.quantity > 1 and abs(times / line.quantity - 1) <= _NEAR:
        why = "is it the line total in place of the unit price?"
    else:
        counted = line.unit not in (*_LENGTHS, *_AREAS)
        near = [
            (abs(times / factor - 1), words)
            for factor, words, units in _FACTORS
            if (line.unit in units or (counted and units is _COUNTED)) and abs(times / factor - 1) <= _NEAR
        ]
        if near:
            why = f"the step between {min(near)[1]}?"
    size = f"{times:.3g} times" if ratio > 1 else f"one part in {times:.3g} of"
    of_others = f"{size} the middle of the others, {middle:.4g}"
    tell(line.number, "slip", f"the unit price of {line.text}, {price:g}, is {of_others}: {why}")
