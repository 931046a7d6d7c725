"""Finished jobs in one plain file of the office's, an SQLite database. Nothing of it leaves the machine."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from stillbook.office.actuals.booked import Beside
from stillbook.office.actuals.measured import Measured
from stillbook.templates.custom import folder
from stillbook.workbook import WorkbookError

_VERSION: Final = 1
_MARK: Final = 0x5371626B
"""Tells this file from other programs' databases."""

_TABLES: Final = """
create table job (id integer primary key, file text unique not null, project text not null, template text not null,
    units text not null, currency text not null, kept_on text not null default current_date);
create table line (job integer not null references job on delete cascade, code text not null, text text not null,
    trade text not null, unit text not null, quantity real, hours real not null, money real not null, wage real,
    booked_quantity real, booked_hours real, booked_money real);
create table measured (job integer not null references job on delete cascade, what text not null, band text not null,
    unit text not null, predicted real not null, value real not null);
"""


@dataclass(frozen=True, slots=True)
class PastJob:
    """A finished job.

    Args:
        file: The workbook that it was estimated in.
        project: What the workbook calls it.
        template: The template it was made from.
        units: Its unit system.
        currency: What its money is.
    """

    file: str
    project: str
    template: str
    units: str
    currency: str


@dataclass(frozen=True, slots=True)
class PastLine:
    """A code of a finished job with what was booked on it; figures as in :class:`Beside`."""

    job: int
    code: str
    text: str
    trade: str
    unit: str
    quantity: float | None
    hours: float
    money: float
    booked_quantity: float | None
    booked_hours: float | None
    booked_money: float | None


class PastJobs:
    """The file of finished jobs, open for the time of a ``with`` of :func:`past_jobs`."""

    def __init__(self, connection: sqlite3.Connection) -> None:
        self._connection = connection

    def keep(self, job: PastJob, lines: Sequence[Beside] | None, measured: Sequence[Measured] | None) -> bool:
        """Keep what became of a job, in the place of what was kept of it before; whether there was something.

        Args:
            job: The job, which its file tells from others.
            lines: What was booked, by code; what was kept of it stays where None.
            measured: What was measured; what was kept of it stays where None.
        """
        ask = self._connection.execute
        before = ask("select id from job where file = ?", (job.file,)).fetchone()
        values = (job.project, job.template, job.units, job.currency)
        if before:
            (at,) = before
            ask(
                "update job set project=?, template=?, units=?, currency=?, kept_on=current_date where id=?",
                (*values, at),
            )
        else:
            at = ask(
                "insert into job (project, template, units, currency, file) values (?,?,?,?,?)",
                (*values, job.file),
            ).lastrowid
        if lines is not None:
            ask("delete from line where job = ?", (at,))
            for one in lines:
                booked = one.booked
                told = (booked.quantity, booked.hours, booked.money) if booked else (None, None, None)
                row = (at, one.code, one.text, one.trade, one.unit, one.quantity, one.hours, one.money, one.wage, *told)
                ask(f"insert into line values ({','.join('?' * len(row))})", row)
        if measured is not None:
            ask("delete from measured where job = ?", (at,))
            for thing in measured:
                figures = (thing.predicted, thing.value)
                ask("insert into measured values (?,?,?,?,?,?)", (at, thing.what, thing.band, thing.unit, *figures))
        return bool(before)

    def jobs(self) -> list[PastJob]:
        """Every job that is kept, in the order in which it came."""
        rows = self._connection.execute("select file, project, template, units, currency from job order by id")
        return [PastJob(*row) for row in rows]

    def lines(self, units: str, currency: str) -> list[PastLine]:
        """What was booked on codes, in jobs of one unit system and currency."""
        rows = self._connection.execute(
            "select job, code, text, trade, unit, quantity, hours, money, booked_quantity, booked_hours, booked_money"
            " from line join job on job.id = line.job where units = ? and lower(currency) = lower(?)"
            " order by line.rowid",
            (units, currency),
        )
        return [PastLine(*row) for row in rows]

    def measured(self, units: str) -> list[Measured]:
        """Everything that was measured, in jobs of one unit system."""
        rows = self._connection.execute(
            "select what, band, value, predicted, unit from measured join job on job.id = measured.job"
            " where units = ? order by measured.rowid",
            (units,),
        )
        return [Measured(*row) for row in rows]


def default_place() -> Path:
    """Where finished jobs are kept, beside the folder of the office's own templates."""
    return folder().parent / "finished-jobs.sqlite"


@contextmanager
def past_jobs(path: Path | None, *, write: bool = True) -> Iterator[PastJobs]:
    """Open the file of finished jobs, made if it is not there; all that is done in the ``with`` is kept, or nothing.

    Args:
        path: The file; None for one that is forgotten afterwards.
        write: False where nothing is to be kept.

    Raises:
        WorkbookError: If it cannot be opened or is no file of finished jobs, or another program keeps it from writing.
    """
    try:
        if path:
            path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        connection = sqlite3.connect(path or ":memory:", timeout=5)
    except (OSError, sqlite3.Error) as error:
        raise WorkbookError(f"{path}: the file of finished jobs cannot be opened ({error})") from None
    try:
        connection.execute("pragma foreign_keys = on")
        connection.execute("begin immediate")
        _check(connection, path)
        yield PastJobs(connection)
        if write:
            connection.commit()
    except sqlite3.DatabaseError as error:
        raise WorkbookError(f"{path}: it is no file of finished jobs, or is in use ({error})") from None
    finally:
        connection.close()


def _check(connection: sqlite3.Connection, path: Path | None) -> None:
    """Make the tables of a new file; refuse one that is not ours, or of a newer version."""
    mark, version = (connection.execute(f"pragma {name}").fetchone()[0] for name in ("application_id", "user_version"))
    if not connection.execute("select count(*) from sqlite_master").fetchone()[0]:
        for statement in _TABLES.split(";"):
            connection.execute(statement)
        connection.execute(f"pragma application_id = {_MARK}")
        connection.execute(f"pragma user_version = {_VERSION}")
    elif mark != _MARK:
        raise WorkbookError(f"{path}: it is a database of another program: give another name")
    elif version > _VERSION:
        raise WorkbookError(f"{path}: a newer version of the formulas made it: update this one")
