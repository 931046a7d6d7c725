"""Moving a job onto a newer template: every input that has a home there, and a list of all that has none.

>>> from stillbook.office.carry import carry
>>> carry("job-2025.xlsx", "booth_2026.xlsx", "job-2026.xlsx").left        # doctest: +SKIP
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from os import PathLike
from pathlib import Path
from typing import Final, Literal

from stillbook.cells import Cell
from stillbook.office.added import Content, Left, added
from stillbook.office.compare import Difference, compare_jobs, same
from stillbook.office.reports import check_target
from stillbook.share.cells import formula_texts
from stillbook.templates.shipped import ONCE_TYPED
from stillbook.trade.mass.leaves import named_instead
from stillbook.workbook.file.address import cell_name, place, read_cell
from stillbook.workbook.file.package import Package
from stillbook.workbook.file.sheet import Change, Key
from stillbook.workbook.job.estimate import Job
from stillbook.workbook.job.inputs import InputError, InputSpec
from stillbook.workbook.job.interface import Input
from stillbook.workbook.job.lines import (
    ASSEMBLY_COLUMNS,
    CURRENCY,
    LABOUR_COLUMNS,
    PART_COLUMNS,
    PRICE_COLUMNS,
    column,
    number,
    rows,
    unit_system,
    words,
)

_PRICE_BLOCKS: Final = (PRICE_COLUMNS, LABOUR_COLUMNS, ASSEMBLY_COLUMNS)
_DAYS_1904: Final = 1462
FIRST_STEPS: Final = ("quick-quote",)
"""Templates whose job goes on in another one for the same client."""


@dataclass(frozen=True, slots=True)
class Carried:
    """Something that found its home in the new workbook.

    Args:
        kind: An input, or a row of prices.
        name: Its name or code.
        value: What the new workbook holds now.
        note: What became of it on the way, such as another unit; empty where nothing did.
    """

    kind: Literal["input", "price"]
    name: str
    value: Cell
    note: str = ""


@dataclass(frozen=True, slots=True)
class CarriedJob:
    """What became of a job on a newer template.

    Args:
        path: The new workbook.
        carried: What was carried.
        left: What was not, for a person to look at.
        new_inputs: Inputs that the old workbook does not have, and what they hold.
        results: Key results, checks, quantities and lines that differ from the old workbook.
    """

    path: Path
    carried: tuple[Carried, ...]
    left: tuple[Left, ...]
    new_inputs: dict[str, Cell]
    results: tuple[Difference, ...]


def carry(
    old: str | PathLike[str],
    template: str | PathLike[str],
    new: str | PathLike[str],
    *,
    origin: str | PathLike[str] | None = None,
    replace: bool = False,
) -> CarriedJob:
    """Make a new workbook from a template with what an old job holds; the old one is not changed.

    Args:
        old: The job.
        template: The newer template.
        new: Where the new workbook goes.
        origin: The template that the job was made from, where it is at hand: what stands there is then not listed as
            added by the estimator. Without it, all that the new template lacks is listed.
        replace: Whether a file that stands at ``new`` may be replaced.

    Raises:
        WorkbookError: If a workbook cannot be opened or calculated, or the new one cannot be written.
    """
    sources = [Path(path) for path in (old, template, origin) if path is not None]
    check_target(Path(new), *sources, replace=replace)
    source, target = Job.open(old), Job.open(template)
    before = source.calculate()
    moving = _Moving(source, target)
    moving.inputs()
    moving.prices()
    after = target.calculate()
    mine, known = Content(Path(old), source.package), [Content(Path(template), target.package)]
    if origin is not None:
        known.append(Content(Path(origin), Package.open(Path(origin))))
    moving.left += added(mine, known, moving.homes, set(source.inputs))
    comparison = compare_jobs(source, before, target, after)
    path = target.save(new, replace=replace)
    return CarriedJob(
        path=path,
        carried=tuple(moving.carried),
        left=tuple(moving.left),
        new_inputs=moving.new_inputs,
        results=tuple(d for d in comparison.differences if d.subject not in ("input", "price")),
    )


@dataclass(frozen=True, slots=True)
class Taken:
    """What a new job took from one for another client.

    Args:
        inputs: Names of the inputs that were set.
        prices: Codes and trades whose price is that of the other job.
        cleared: Names of the inputs that belong to the other client's job and stay as the template has them.
        left: What the template lacks or does not take, for a person to look at.
    """

    inputs: tuple[str, ...]
    prices: tuple[str, ...]
    cleared: tuple[str, ...]
    left: tuple[Left, ...]


def take_over(source: Job, target: Job) -> Taken:
    """Start a job for the next client: the inputs and prices of a calculated job, without what is that client's alone.

    Prices are taken where both are in one currency; else the template keeps its own, and the report says so. A first
    quote goes on with its own client, who is taken over too, and what it worked out becomes what is typed.
    """
    goes_on = source.origin.template in FIRST_STEPS
    moving = _Moving(source, target, next_client=not goes_on)
    moving.inputs()
    if goes_on:
        moving.left = [entry for entry in moving.left if entry.kind != "formula"]
    if not moving.other_currency:
        moving.prices()
    carried = {kind: tuple(c.name for c in moving.carried if c.kind == kind) for kind in ("input", "price")}
    return Taken(carried["input"], carried["price"], tuple(moving.cleared), tuple(moving.left))


class _Moving:
    """The state of moving one job."""

    def __init__(self, source: Job, target: Job, *, next_client: bool = False) -> None:
        self.source = source
        self.target = target
        self.next_client = next_client
        self.other_currency = False
        self.cleared: list[str] = []
        self.carried: list[Carried] = []
        self.left: list[Left] = []
        self.new_inputs: dict[str, Cell] = {}
        self.homes: dict[str, set[Key]] = {}
        """Cells of the old workbook whose content is accounted for, by sheet."""

    def _account(self, sheet: str, at: Key | None) -> None:
        if at is not None:
            self.homes.setdefault(sheet, set()).add(at)

    # --- inputs -------------------------------------------------------------------------------------------------------

    def inputs(self) -> None:
        """Carry the inputs by name."""
        homes = {name.casefold(): entry for name, entry in self.target.inputs.items()}
        offered = {**{name.casefold(): entry for name, entry in self._computed(homes).items()}}
        offered |= {name.casefold(): entry for name, entry in self.source.inputs.items()}
        taken: dict[str, Cell] = {}
        for key, entry in offered.items():
            self._account(entry.sheet, read_cell(entry.cell))
            home = homes.get(key)
            shown = words(entry.value)
            where = f"{entry.name} ({place(entry.sheet, *(read_cell(entry.cell) or (1, 1)))})"
            if home is None:
                if entry.value not in (None, ""):
                    self.left.append(Left("input", where, shown, "the template has no such input"))
                continue
            if entry.value in (None, "") and not home.spec.optional:
                continue
            if self.next_client and home.spec.one_job:
                self.cleared.append(home.name)
                continue
            if self.next_client and key == CURRENCY and entry.value != home.value:
                self.other_currency = True
                reason = f"the prices stay the template's, in {words(home.value)}: bring yours in, and set it then"
                self.left.append(Left("input", where, shown, reason))
                continue
            try:
                value, note = self._value(entry, self._with_its_list(home, homes, offered))
            except InputError as error:
                self.left.append(Left("input", where, shown, f"the template does not take it: {error}"))
                continue
            if home.spec.material and (sheets := named_instead(value, unit_system(self.target.package))):
                reason = (
                    "it is carried, but a mass alone no longer says how stiff a board is, and isolation becomes an "
                    f"error: type the sheet's name there, such as {sheets[0]}, {sheets[1]} or {sheets[2]}"
                )
                self.left.append(Left("input", where, shown, reason))
            taken[home.name] = value
            if entry.value not in (None, "") or home.value not in (None, ""):
                self.carried.append(Carried("input", home.name, value, note))
        typed = {
            homes[new].name for new, old in ONCE_TYPED.items() if new in homes and new not in offered and old in offered
        }
        self.target.set({**taken, **dict.fromkeys(typed)})
        self.new_inputs = {
            e.name: None if e.name in typed else e.value for key, e in homes.items() if key not in offered
        }

    @staticmethod
    def _with_its_list(home: Input, homes: dict[str, Input], offered: dict[str, Input]) -> InputSpec:
        """What a cell takes once the list that its choices stand in is carried too."""
        if home.listed is None:
            return home.spec
        sheet, area = home.listed
        carried = (
            entry.value
            for key, entry in offered.items()
            if (cell := homes.get(key)) and cell.sheet == sheet and area.holds(*(read_cell(cell.cell) or (0, 0)))
        )
        return replace(home.spec, choices=(*home.spec.choices, *(word for word in carried if isinstance(word, str))))

    def _computed(self, homes: dict[str, Input]) -> dict[str, Input]:
        """Inputs of the new template whose cell holds a formula in the old workbook, such as ``=2*12``."""
        found = {}
        package = self.source.package
        for name in package.names:
            cells = name.cells
            sheet = package.find_sheet(cells[0]) if cells else None
            if cells is None or sheet is None or name.sheet or cells[1].columns != 1:
                continue
            area = cells[1]
            for number_of_row in range(1, area.rows + 1):
                own = name.name if area.rows == 1 else f"{name.name}_{number_of_row}"
                home, at = homes.get(own.casefold()), (area.first_row + number_of_row - 1, area.first_column)
                if home is None or at not in package.sheet(sheet).formulas:
                    continue
                found[own] = Input(home.spec, sheet, cell_name(*at), package.value(sheet, *at))
                formula = dict(formula_texts(package, sheet)).get(at, "")
                told = f"{own} was worked out: its value is carried"
                self.left.append(Left("formula", place(sheet, *at), f"={formula}", told))
        return found

    def _value(self, entry: Input, spec: InputSpec) -> tuple[Cell, str]:
        """The value for the new cell, and what became of it."""
        value = entry.value
        source_1904, target_1904 = self.source.package.starts_1904, self.target.package.starts_1904
        amount = number(value)
        if spec.unit == "date" and amount is not None and source_1904 != target_1904:
            return amount + (_DAYS_1904 if source_1904 else -_DAYS_1904), ""
        note = ""
        given: Cell = value
        if (
            amount is not None
            and entry.spec.unit != spec.unit
            and entry.spec.unit
            and spec.unit not in ("text", "date")
        ):
            given = f"{amount!r} {entry.spec.unit}"
            note = f"was {words(value)} {entry.spec.unit}"
        read = spec.read(given if given != "" else None, starts_1904=target_1904)
        return read, note

    # --- prices -------------------------------------------------------------------------------------------------------

    def prices(self) -> None:
        """Carry the rows of prices and of labour by code: into the row of the same code, or else into a blank one."""
        for columns in _PRICE_BLOCKS:
            key = next(iter(columns))
            homes = {name: column(self.target.package, columns[name]) for name in columns}
            olds = {name: column(self.source.package, columns[name]) for name in columns}
            rows_there = {words(row.get(key)).casefold(): at for at, row in rows(self.target.package, columns)}
            blank = [at for at, row in rows(self.target.package, columns) if not words(row.get(key))]
            there = dict(rows(self.target.package, columns))
            changes: dict[str, dict[Key, Change]] = {}
            for at, row in rows(self.source.package, columns):
                code = words(row.get(key))
                for old in filter(None, olds.values()):
                    self._account(old[0], (at, old[1].first_column))
                if not code:
                    continue
                home = rows_there.get(code.casefold())
                if home is None and blank and homes[key]:
                    home = blank.pop(0)
                content = ", ".join(words(value) for value in row.values())
                if home is None:
                    self.left.append(Left("price", code, content, "the template has no row for it, and no blank one"))
                    continue
                units = (words(row.get("unit")), words(there[home].get("unit")))
                if all(units) and units[0].casefold() != units[1].casefold():
                    self.left.append(Left("price", code, content, f"the template counts {units[1]}, not {units[0]}"))
                    continue
                moved = [name for name, value in row.items() if not same(there[home].get(name), value)]
                for name in moved:
                    if spot := homes[name]:
                        changes.setdefault(spot[0], {})[home, spot[1].first_column] = Change(row[name])
                    elif row[name] not in (None, ""):
                        self.left.append(
                            Left("price", code, words(row[name]), f"the template has no column {columns[name]}")
                        )
                if moved:
                    note = "; ".join(f"{columns[name]} was {words(there[home].get(name)) or 'blank'}" for name in moved)
                    self.carried.append(Carried("price", code, row.get("cost", row.get("rate")), note))
            self.target.write(changes)
        self._parts()

    def _parts(self) -> None:
        """Carry what assemblies are made of, all of it: an assembly may have the same item twice."""
        held = list(rows(self.source.package, PART_COLUMNS))
        parts = [row for _, row in held if words(row.get("assembly"))]
        there = list(rows(self.target.package, PART_COLUMNS))
        if not parts or not there:
            return
        for name in PART_COLUMNS.values():
            if old := column(self.source.package, name):
                for at, _ in held:
                    self._account(old[0], (at, old[1].first_column))
        for part in parts[len(there) :]:
            content = ", ".join(words(value) for value in part.values())
            self.left.append(
                Left("price", words(part.get("assembly")), content, "the template has no row for this part of it")
            )
        changes: dict[str, dict[Key, Change]] = {}
        spots = {short: column(self.target.package, name) for short, name in PART_COLUMNS.items()}
        for place_of, (at, row) in enumerate(there):
            part = parts[place_of] if place_of < len(parts) else {}
            for short, spot in spots.items():
                if not spot or same(row.get(short) or None, part.get(short) or None):
                    continue
                if (at, spot[1].first_column) in self.target.package.sheet(spot[0]).formulas:
                    where = place(spot[0], at, spot[1].first_column)
                    self.left.append(Left("price", where, words(part.get(short)), "the template has a formula there"))
                else:
                    changes.setdefault(spot[0], {})[at, spot[1].first_column] = Change(part.get(short))
        self.target.write(changes)
