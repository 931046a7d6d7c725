"""Contractors' returned scopes read back, and set beside each other and our estimate in the bid comparison template.

A contractor gets the scope as a shared copy, writes unit prices into it and sends it back. What comes back is read as
it is: lines may be missing, quantities changed, totals typed over, prices written as words, or meant for another unit.
It is written into the template, whose formulas do the comparing; what no formula can see goes onto its Notes sheet.
Nothing is put right in silence.

>>> from stillbook.office.bids import bids
>>> bids(["a.xlsx", "b.xlsx"], "job.xlsx", "bids.xlsx").findings        # doctest: +SKIP
"""

from __future__ import annotations

import datetime
import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from os import PathLike
from pathlib import Path
from typing import Any, Final

from stillbook.cells import Cell, ErrorValue
from stillbook.office.judged_bids import on_filled, on_remarks, on_sum
from stillbook.office.reports import check_target, plain_words
from stillbook.office.returned_scope import Offer, ReturnedScope, read_scope
from stillbook.templates.heights import ROW, height_for
from stillbook.templates.shipped import template
from stillbook.workbook import WorkbookError
from stillbook.workbook.file.package import Package
from stillbook.workbook.file.sheet import Change, Key
from stillbook.workbook.job.estimate import Job
from stillbook.workbook.job.lines import LINE_COLUMNS, Line, column, lines, number, rows, unit_system, words

TEMPLATE: Final = "bid-comparison"
_LETTERS: Final = "ABCDEF"
_FEWEST_ROWS: Final = 3
"""Rows that a sheet prints where it holds none."""

_TYPE: Final = {"Findings": 9.0}
_USUAL_TYPE: Final = 10.0
"""Size of the type in which the words of a row are reckoned, in points: they are narrower than figures."""

_WRAPPED: Final = {
    "Bidders": ("bidder_names", "bidder_remarks"),
    "Lines": ("asked_texts", "asked_trades", "asked_units"),
    "Bids": ("asked_texts", "asked_units"),
    "Own lines": ("own_texts", "own_units"),
    "Notes": ("note_kinds", "note_texts"),
    "Findings": ("finding_kinds", "finding_texts"),
}
"""The columns of words that decide how tall the rows of a sheet are; the Bids sheet has those of the Lines, as wide."""

_CARRIED: Final = ("project", "reference", "prepared_by", "currency")
"""Inputs of the job that the comparison takes over."""

Note = tuple[int, str, str]
"""What no formula can see: number of the line, or 0 for the bid as a whole; what it is in a word; a sentence."""


@dataclass(frozen=True, slots=True)
class Finding:
    """Something about a bid that a person should look at.

    Args:
        contractor: Whose bid.
        line: Number of the line; 0 for the bid as a whole or a line of the contractor's own.
        kind: What kind of thing it is, in a word.
        text: What was found, in a sentence.
    """

    contractor: str
    line: int
    kind: str
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
        alike: ``sum``, with missing lines filled in as the template says: at the middle of the other bids, or at our
            cost where nobody bids.
    """

    contractor: str
    file: str
    remarks: str
    prices: dict[int, float]
    written: float | None
    sum: float
    own: float
    missing: tuple[int, ...]
    alike: float


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
        findings: What differs from what was asked or does not add up, bid by bid.
        concerns: What the figures mean beside each other, bid by bid: filled in, far from our cost, with remarks.
        unread: Files that could not be read, with the reason.
        our_cost: Our cost of the lines asked for.
    """

    job: str
    lines: tuple[LineBids, ...]
    bids: tuple[Bid, ...]
    findings: tuple[Finding, ...]
    concerns: tuple[Finding, ...]
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
        WorkbookError: If the job has no lines, none of the files can be read, there are more lines or bids than the
            template holds, or the comparison cannot be written.
    """
    target = Path(out)
    check_target(target, Path(job), *map(Path, files), replace=replace)
    comparison, workbook = _compared(files, Path(job))
    workbook.save(target, replace=replace)
    return comparison


def compare_bids(files: Sequence[str | PathLike[str]], job: str | PathLike[str]) -> BidComparison:
    """Read returned scopes and compare them with the job and each other; no file is written.

    Raises:
        WorkbookError: If the job has no lines that are asked for, none of the files can be read, or there are
            more lines or bids than the template holds.
    """
    return _compared(files, Path(job))[0]


def _compared(files: Sequence[str | PathLike[str]], where: Path) -> tuple[BidComparison, Job]:
    """The comparison, and the workbook filled and calculated."""
    estimate = Job.open(where)
    revision = hashlib.sha256(estimate.package.to_bytes()).hexdigest()
    estimate.calculate()
    _refuse_broken(where, estimate.package)
    asked = {line.number: line for line in lines(estimate.package) if line.number}
    if not asked:
        raise WorkbookError(f"{where}: it asks for no lines: use an estimate with a scope, in which lines have numbers")
    scopes, unread = _read(files)
    workbook = Job.open(template(TEMPLATE).path(unit_system(estimate.package)))
    filling = _Filling(workbook.package)
    filling.job(estimate, f"{where.name}, revision {revision[:12]}")
    filling.lines(asked.values())
    for letter, (name, scope) in zip(_LETTERS, scopes.items(), strict=False):
        filling.bid(letter, name, scope, asked, _notes(scope, asked, revision))
    workbook.write(filling.changes)
    workbook.calculate()
    _print_what_is_used(workbook.package, len(scopes))
    _fit_rows(workbook.package)
    return _comparison(workbook.package, where, asked, scopes, unread), workbook


def _refuse_broken(where: Path, package: Package) -> None:
    """No comparison where a line of the job is broken: it would be left out, or stand at nothing.

    Raises:
        WorkbookError: Naming the first such line, and what of it.
    """
    for row, held in rows(package, LINE_COLUMNS):
        for what, value in held.items():
            if isinstance(value, ErrorValue) and number(held.get("counts", 1.0)) != 0:
                name = held.get("text")
                named = f"row {row}" if isinstance(name, ErrorValue) or not name else words(name)
                raise WorkbookError(
                    f"{where}: the {what.replace('_', ' ')} of the line {named} is {value.code}: "
                    "mend the estimate first"
                )


def _read(files: Sequence[str | PathLike[str]]) -> tuple[dict[str, ReturnedScope], list[tuple[str, str]]]:
    """The scopes by the name of their contractor, and the files that could not be read, with the reason."""
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
    if len(scopes) > len(_LETTERS):
        raise WorkbookError(f"there are {len(scopes)} bids: compare at most {len(_LETTERS)} at a time")
    return scopes, unread


def _own_name(scope: ReturnedScope, others: Mapping[str, ReturnedScope]) -> str:
    """A name for a bid that no other has."""
    name = plain_words(scope.contractor or Path(scope.file).stem)
    if name not in others:
        return name
    return f"{name} ({Path(scope.file).stem})" if f"{name} ({Path(scope.file).stem})" not in others else scope.file


def _notes(scope: ReturnedScope, asked: Mapping[int, Line], revision: str) -> list[Note]:
    """What a returned scope says that its numbers do not."""
    found: list[Note] = []
    if scope.revision and not revision.startswith(scope.revision):
        text = f"it prices revision {scope.revision[:12]}, the job is now {revision[:12]}: lines may differ"
        found.append((0, "revision", text))
    for place, line in asked.items():
        offer = scope.offers.get(place)
        if offer is None:
            found.append((place, "missing", f"the line {line.text} is gone from the bid"))
            continue
        if offer.price_text:
            read = "no amount in it" if offer.price is None else f"read as {offer.price:g}"
            found.append((place, "price", f'the price of {line.text} is written as "{offer.price_text}": {read}'))
        if offer.quantity is None:
            text = f"the quantity of {line.text} is gone; asked for are {line.quantity:g} {line.unit}"
            found.append((place, "quantity", text))
        if offer.unit.casefold() != line.unit.casefold():
            text = f'{line.text} is priced by "{offer.unit or "no unit"}" in place of {line.unit}'
            found.append((place, "unit", text))
    found += [(0, "twice", text) for text in scope.twice]
    return found


# --- the template -----------------------------------------------------------------------------------------------------


class _Filling:
    """Values for the named cells and columns of the template."""

    def __init__(self, package: Package) -> None:
        self.package = package
        self.changes: dict[str, dict[Key, Change]] = {}
        self.own = self.notes = 0

    def put(self, name: str, row: int, value: Cell, what: str = "") -> None:
        """Set a cell of a named column, the first being 0; None leaves it as it is.

        Raises:
            WorkbookError: If the template has no such name, or no such row: ``what`` says what there is too much of.
        """
        place = column(self.package, name)
        if place is None:
            raise WorkbookError(f"the template {TEMPLATE} has no cells named {name}: install Stillbook anew")
        sheet, area = place
        if row >= area.rows:
            raise WorkbookError(f"there are more than {area.rows} {what}: the bid comparison holds no more")
        if value is not None and value != "":
            kept = plain_words(value) if isinstance(value, str) else value
            self.changes.setdefault(sheet, {})[area.first_row + row, area.first_column] = Change(kept)

    def job(self, estimate: Job, file: str) -> None:
        """Which job the bids are for."""
        for name in _CARRIED:
            if (entry := estimate.inputs.get(name)) is not None:
                self.put(name, 0, entry.value)
        self.put("estimate_file", 0, file)
        day = (datetime.date.today() - datetime.date(1899, 12, 30)).days
        self.put("comparison_date", 0, float(day))

    def lines(self, asked: Iterable[Line]) -> None:
        """What is asked for."""
        for row, line in enumerate(asked):
            for name, value in (
                ("numbers", float(line.number)),
                ("texts", line.text),
                ("trades", line.trade),
                ("quantities", line.quantity),
                ("units", line.unit),
                ("costs", line.cost),
            ):
                self.put(f"asked_{name}", row, value, "lines")

    def bid(
        self, letter: str, name: str, scope: ReturnedScope, asked: Mapping[int, Line], notes: Sequence[Note]
    ) -> None:
        """What one contractor bids."""
        at = _LETTERS.index(letter)
        for column_name, value in (("names", name), ("taxes", "no"), ("sums", scope.sum), ("remarks", scope.remarks)):
            self.put(f"bidder_{column_name}", at, value)
        bid = f"bid_{letter.lower()}"
        for row, (place, line) in enumerate(asked.items()):
            offer = scope.offers.get(place)
            if offer is None:
                continue
            if offer.quantity is not None and offer.quantity != line.quantity:
                self.put(f"{bid}_quantities", row, offer.quantity)
            self.put(f"{bid}_prices", row, offer.price)
            if offer.price is not None or offer.total:
                self.put(f"{bid}_totals", row, offer.total)
        for place, offer in scope.offers.items():
            if place not in asked:
                self._own(letter, offer, counts=False)
        for offer in scope.own:
            self._own(letter, offer, counts=True)
        for place, kind, text in notes:
            note = {"bids": letter, "lines": place or None, "kinds": kind, "texts": text}
            for column_name, value in note.items():
                self.put(f"note_{column_name}", self.notes, value, "notes on the bids")
            self.notes += 1

    def _own(self, letter: str, offer: Offer, *, counts: bool) -> None:
        for name, value in (
            ("bids", letter),
            ("numbers", offer.number or None),
            ("texts", offer.text),
            ("quantities", offer.quantity),
            ("units", offer.unit),
            ("prices", offer.price),
            ("totals", offer.total),
            ("counts", "yes" if counts else "no"),
        ):
            self.put(f"own_{name}", self.own, value, "lines of the contractors' own")
        self.own += 1


def _print_what_is_used(package: Package, bids: int) -> None:
    """Let each long sheet print the rows that hold something, and the Bids sheet the half that does."""
    for name in ("asked_texts", "bid_a_prices", "own_bids", "note_bids", "finding_texts"):
        place = column(package, name)
        if place is None:
            continue
        sheet, rows = place
        held = column(package, "asked_texts") if name == "bid_a_prices" else place
        used = sum(row[0] not in (None, "") for row in package.rows(*(held or place)))
        last = rows.first_row + max(used, _FEWEST_ROWS) - 1
        areas = [area._replace(last_row=last) for area in package.print_areas(sheet)]
        if name == "bid_a_prices" and bids <= len(_LETTERS) // 2:
            areas = areas[:1]
        package.set_print_areas(sheet, areas)


def _fit_rows(package: Package) -> None:
    """Make rows whose words take more than one line as tall as they need."""
    for sheet, names in _WRAPPED.items():
        places = [place for name in names if (place := column(package, name))]
        head = column(package, "bid_a_prices") if sheet == "Bids" else places[0] if places else None
        if head is None:
            continue
        heights: dict[int, float] = {}
        for source, area in places:
            width = package.column_widths(source).get(area.first_column, 0.0) - 1
            for down, (value,) in enumerate(package.rows(source, area)):
                needed = height_for(words(value), width, _TYPE.get(sheet, _USUAL_TYPE))
                row = head[1].first_row + down
                heights[row] = max(heights.get(row, 0.0), needed)
        package.set_heights(sheet, {row: height for row, height in heights.items() if height > ROW + 1})


def _comparison(
    package: Package,
    where: Path,
    asked: Mapping[int, Line],
    scopes: Mapping[str, ReturnedScope],
    unread: Sequence[tuple[str, str]],
) -> BidComparison:
    """What the calculated workbook says."""
    names = list(scopes)
    prices = [_numbers(package, f"price_{letter.lower()}") for letter in _LETTERS[: len(names)]]
    spreads = _numbers(package, "line_spreads")
    ours = _numbers(package, "asked_costs")
    lowest = [words(value) for value in _held(package, "lowest_bidders")]
    by_letter = dict(zip(_LETTERS, names, strict=False))
    compared = []
    for row, line in enumerate(asked.values()):
        offered = {
            name: price for name, by_line in zip(names, prices, strict=True) if (price := by_line[row]) is not None
        }
        by = by_letter.get(lowest[row], "")
        compared.append(LineBids(line, (ours[row] or 0.0) / line.quantity, offered, by, spreads[row]))
    sums, own, alike = (_numbers(package, f"bids_{name}") for name in ("compared", "own", "alike"))
    found = [
        Bid(
            contractor=name,
            file=scope.file,
            remarks=scope.remarks,
            prices={place: price for place, price in zip(asked, prices[row], strict=False) if price is not None},
            written=scope.sum,
            sum=sums[row] or 0.0,
            own=own[row] or 0.0,
            missing=tuple(place for place, price in zip(asked, prices[row], strict=False) if price is None),
            alike=alike[row] or 0.0,
        )
        for row, (name, scope) in enumerate(scopes.items())
    ]
    our_cost = _numbers(package, "our_cost")[0] or 0.0
    far = _numbers(package, "far_from_ours")[0]
    fills = dict(zip(asked, _numbers(package, "fills"), strict=False))
    told = [
        Finding(bid.contractor, *sentence)
        for bid in found
        for sentence in (
            *on_filled(
                {
                    entry.line.number: (entry.line.text, fills[entry.line.number] or 0.0, tuple(entry.prices.values()))
                    for entry in compared
                    if entry.line.number in bid.missing
                }
            ),
            *(on_sum(bid.alike, our_cost, far) if far is not None else ()),
            *on_remarks(bid.remarks),
        )
    ]
    return BidComparison(
        job=str(where),
        lines=tuple(compared),
        bids=tuple(found),
        findings=tuple(_in_order(_findings(package), names)),
        concerns=tuple(told),
        unread=tuple(unread),
        our_cost=our_cost,
    )


def _findings(package: Package) -> list[Finding]:
    """The findings that the workbook lists."""
    columns = (_held(package, f"finding_{name}") for name in ("bidders", "lines", "kinds", "texts"))
    return [
        Finding(words(bidder), int(number(line) or _whole(line)), words(kind), words(text))
        for bidder, line, kind, text in zip(*columns, strict=True)
        if text not in (None, "")
    ]


def _in_order(findings: Iterable[Finding], names: Sequence[str]) -> list[Finding]:
    """Findings bid by bid: an older revision first, then line by line, then the bid as a whole."""
    return sorted(
        findings,
        key=lambda finding: (
            names.index(finding.contractor),
            finding.kind != "revision",
            not finding.line,
            finding.line,
        ),
    )


def _whole(value: Cell) -> int:
    return int(value) if isinstance(value, str) and value.isdecimal() else 0


def _held(package: Package, name: str) -> list[Any]:
    """The values of a named column."""
    place = column(package, name)
    return [row[0] for row in package.rows(*place)] if place else []


def _numbers(package: Package, name: str) -> list[float | None]:
    return [number(value) for value in _held(package, name)]
