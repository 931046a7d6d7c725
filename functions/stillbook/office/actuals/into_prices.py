"""What finished jobs propose, taken into a price book."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from stillbook.office.actuals.proposals import COST, RATE, Proposal
from stillbook.office.compare import same
from stillbook.workbook import WorkbookError
from stillbook.workbook.file.sheet import Change, Key
from stillbook.workbook.job.estimate import Job
from stillbook.workbook.job.lines import PRICE_COLUMNS, column, currency_of, price_rows, unit_system


@dataclass(frozen=True, slots=True)
class Taken:
    """A figure of a price book that a proposal changed."""

    code: str
    what: str
    before: float | None
    after: float
    jobs: int


def take_into(book: Job, found: Iterable[Proposal], least_jobs: int, units: str, currency: str) -> list[Taken]:
    """Change costs and rates of a price book, or of a job, to what finished jobs propose; it is not saved.

    Args:
        book: The workbook with the price columns.
        found: The proposals, from jobs of one unit system and currency.
        least_jobs: A proposal with fewer jobs behind it is left.
        units: The unit system of those jobs.
        currency: Their currency.

    Raises:
        WorkbookError: If it has no such columns, or is in other units or another currency.
    """
    package = book.package
    if not column(package, PRICE_COLUMNS["code"]) or not column(package, PRICE_COLUMNS["cost"]):
        raise WorkbookError(f"{book.path}: it has no prices to change: use a price book, or an estimate")
    mine = currency_of(package)
    if mine.casefold() != currency.casefold():
        raise WorkbookError(f"{book.path}: it is priced in {mine or 'no currency'}, the finished jobs in {currency}")
    if unit_system(package) != units:
        raise WorkbookError(f"{book.path}: its units are {unit_system(package)}, those of the finished jobs {units}")
    wanted = {
        (one.code.casefold(), one.unit.casefold(), one.what): one
        for one in found
        if one.what in (COST, RATE) and one.jobs >= least_jobs
    }
    changes: dict[str, dict[Key, Change]] = {}
    taken: list[Taken] = []
    for row in price_rows(package):
        for what, name, before in ((COST, PRICE_COLUMNS["cost"], row.cost), (RATE, PRICE_COLUMNS["rate"], row.rate)):
            one = wanted.get((row.code.casefold(), row.unit.casefold(), what))
            spot = column(package, name)
            if one is None or spot is None or same(before, one.likely):
                continue
            key = (row.row, spot[1].first_column)
            if key not in package.sheet(spot[0]).formulas:
                changes.setdefault(spot[0], {})[key] = Change(one.likely)
                taken.append(Taken(row.code, what, before, one.likely, one.jobs))
    book.write(changes)
    return taken
