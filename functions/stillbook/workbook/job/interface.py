"""What a workbook takes and gives: inputs, key results and checks, read from its names and the rules on its cells."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from stillbook.cells import Cell
from stillbook.workbook import WorkbookError
from stillbook.workbook.file.address import Area, cell_name, read_area, read_cell, split_reference
from stillbook.workbook.file.package import Package
from stillbook.workbook.file.sheet import Rule
from stillbook.workbook.job.inputs import InputSpec
from stillbook.workbook.job.notes import note_parts
from stillbook.workbook.job.results import BEST, Best, ResultSpec
from stillbook.workbook.job.values import plain_number, shown


@dataclass(frozen=True, slots=True)
class Input:
    """An input of a workbook, with what its cell holds now.

    Args:
        spec: What may be written in it.
        sheet: Its sheet.
        cell: Its address in the sheet.
        value: What it holds; None for a blank.
        offers: Values the sheet offers, where others are allowed too.
        listed: Sheet and cells in which its choices stand, where others may be written; None for choices of the rule.
    """

    spec: InputSpec
    sheet: str
    cell: str
    value: Cell
    offers: tuple[str, ...] = ()
    listed: tuple[str, Area] | None = None

    @property
    def name(self) -> str:
        """The defined name."""
        return self.spec.name

    @property
    def missing(self) -> bool:
        """Whether it must be filled in and is not."""
        return not self.spec.optional and self.value in (None, "")


@dataclass(frozen=True, slots=True)
class Interface:
    """What a workbook takes and gives.

    Args:
        inputs: The inputs by name, in the order of the sheets.
        results: The key results with sheet, row and column, in the order of the sheets.
        checks: Sheet and cells of the block of checks; None without one.
        columns: The inputs of each column, by the name of the column.
        worked: Cells declared as inputs that hold a formula: nothing sets them, and their value keeps the same limits.
    """

    inputs: Mapping[str, Input] = field(default_factory=dict)
    results: tuple[tuple[ResultSpec, str, int, int], ...] = ()
    checks: tuple[str, Area] | None = None
    columns: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    worked: Mapping[str, Input] = field(default_factory=dict)


def interface(package: Package) -> Interface:
    """The inputs, key results and checks that a workbook's names declare.

    Raises:
        WorkbookError: If the note on a name cannot be read.
    """
    notes = {key.casefold(): text for key, text in package.properties().items()}
    order = {sheet: place for place, sheet in enumerate(package.sheets)}
    inputs: list[tuple[tuple[int, int, int], Input]] = []
    results: list[tuple[tuple[int, int, int], tuple[ResultSpec, str, int, int]]] = []
    checks = None
    columns: dict[str, tuple[str, ...]] = {}
    worked: dict[str, Input] = {}
    taken = {name.name.casefold() for name in package.names}
    lists = _Lists(package)
    for name in package.names:
        cells = name.cells
        sheet = package.find_sheet(cells[0]) if cells else None
        if name.hidden or name.sheet or name.name.startswith("_xlnm.") or cells is None or sheet is None:
            continue
        area = cells[1]
        help_text, parts = note_parts(name.comment)
        if not parts:
            help_text, parts = (
                note_parts(notes.get(name.name.casefold(), "")) if name.name.casefold() in notes else (help_text, parts)
            )
        at = (order[sheet], area.first_row, area.first_column)
        if "checks" in parts:
            checks = (sheet, area)
        elif area.rows == area.columns == 1:
            if "result" in parts:
                made_result = ResultSpec(name.name, help_text, parts.get("unit", ""), _best(name.name, parts))
                results.append((at, (made_result, sheet, *at[1:])))
            elif made := _input(package, lists, name.name, sheet, area, help_text, parts):
                if at[1:] in package.sheet(sheet).formulas:
                    worked[made.name] = made
                else:
                    inputs.append((at, made))
        elif "column" in parts and area.columns == 1:
            listed = []
            for number, row in enumerate(range(area.first_row, area.last_row + 1), start=1):
                cell = Area(row, area.first_column, row, area.first_column)
                own = f"{name.name}_{number}"
                free = own.casefold() not in taken
                made = _input(package, lists, own, sheet, cell, help_text, parts) if free else None
                if made and (row, area.first_column) not in package.sheet(sheet).formulas:
                    inputs.append(((at[0], row, area.first_column), made))
                    listed.append(own)
            if listed:
                columns[name.name] = tuple(listed)
    inputs.sort(key=lambda item: item[0])
    results.sort(key=lambda item: item[0])
    by_name = {made.name: made for _, made in inputs}
    return Interface(by_name, tuple(result for _, result in results), checks, columns, worked)


def refreshed(known: Interface, package: Package) -> Interface:
    """The same interface with what its input cells hold now."""

    def now(entry: Input) -> Input:
        at = read_cell(entry.cell)
        return replace(entry, value=package.value(entry.sheet, *at)) if at else entry

    inputs, worked = ({name: now(entry) for name, entry in held.items()} for held in (known.inputs, known.worked))
    return replace(known, inputs=inputs, worked=worked)


def _input(
    package: Package, lists: _Lists, name: str, sheet: str, area: Area, help_text: str, parts: Mapping[str, str]
) -> Input | None:
    """The input that a named cell is, from its note and the typing rule of its cell; None where it is none."""
    row, column = area.first_row, area.first_column
    rule = package.sheet(sheet).rule_for(row, column)
    if rule is not None and not rule.kind:
        rule = None
    if not parts and rule is None:
        return None
    unit = "text" if "text" in parts else parts.get("unit", "")
    spec = InputSpec(
        name=name,
        help=help_text,
        unit=unit,
        least=_limit(name, parts, "from"),
        most=_limit(name, parts, "to"),
        default=parts["default"] if unit == "text" and "default" in parts else _plain_default(parts.get("default")),
        choices=tuple(choice.strip() for choice in parts.get("choices", "").split(";") if choice.strip()),
        optional="optional" in parts,
        whole="whole" in parts,
        material="material" in parts,
        load="load" in parts,
        difference="difference" in parts,
        one_job="one job" in parts,
        tries=tuple(value.strip() for value in parts["tries"].split(";")) if "tries" in parts else (),
    )
    offers: tuple[str, ...] = ()
    if rule is not None:
        spec, offers = _with_rule(lists, spec, sheet, rule, noted=bool(parts))
    listed = lists.cells(rule.first, sheet) if rule is not None and rule.kind == "list" and rule.enforced else None
    return Input(spec, sheet, cell_name(row, column), package.value(sheet, row, column), offers, listed)


def _with_rule(
    lists: _Lists, spec: InputSpec, sheet: str, rule: Rule, *, noted: bool
) -> tuple[InputSpec, tuple[str, ...]]:
    """A spec completed from the typing rule of its cell: what the note says stands."""
    if not noted:
        spec = replace(spec, help=spec.help or rule.prompt, optional=True)
    if rule.kind == "list":
        listed = lists.listed(rule.first, sheet)
        if rule.enforced and not spec.choices:
            spec = replace(spec, choices=listed)
        return spec, () if rule.enforced else listed
    if not rule.enforced or rule.kind not in ("whole", "decimal", "textLength"):
        return spec, ()
    least, most = _rule_limits(rule)
    if rule.kind == "textLength":
        return replace(spec, longest=None if most is None else int(most)), ()
    return (
        replace(
            spec,
            whole=spec.whole or rule.kind == "whole",
            least=least if spec.least is None else spec.least,
            most=most if spec.most is None else spec.most,
        ),
        (),
    )


def _rule_limits(rule: Rule) -> tuple[float | None, float | None]:
    """Least and most that a typing rule with plain numbers allows."""
    first, second = (
        number if isinstance(number := plain_number(t), float) else None for t in (rule.first, rule.second)
    )
    return {
        "between": (first, second),
        "greaterThanOrEqual": (first, None),
        "lessThanOrEqual": (None, first),
        "equal": (first, first),
    }.get(rule.operator, (None, None))


class _Lists:
    """The values that drop-downs offer, each list read once for all the cells that offer it."""

    def __init__(self, package: Package) -> None:
        self._package = package
        self._named = {name.name.casefold(): name.cells for name in reversed(package.names)}
        self._read: dict[tuple[str, str], tuple[str, ...]] = {}

    def listed(self, source: str, sheet: str) -> tuple[str, ...]:
        """The values of a list that is written out, in cells, or in a named range, as a rule of a sheet names it."""
        key = (source.removeprefix("="), sheet)
        if key not in self._read:
            self._read[key] = self._found(*key)
        return self._read[key]

    def cells(self, source: str, sheet: str) -> tuple[str, Area] | None:
        """Sheet and cells of such a list; None for one that is written out, or that the workbook lacks."""
        source = source.removeprefix("=")
        if source.startswith('"'):
            return None
        name = source.casefold()
        cells = self._named[name] if name in self._named else split_reference(source)
        if cells is None and (area := read_area(source)):
            cells = (sheet, area)
        found = self._package.find_sheet(cells[0]) if cells else None
        return (found, cells[1]) if cells and found else None

    def _found(self, source: str, sheet: str) -> tuple[str, ...]:
        if source.startswith('"') and source.endswith('"'):
            return tuple(part.strip() for part in source[1:-1].replace('""', '"').split(",") if part.strip())
        cells = self.cells(source, sheet)
        values = (value for row in self._package.rows(*cells) for value in row) if cells else ()
        return tuple(str(shown(value)) for value in values if isinstance(value, str | float) and value != "")


def _best(name: str, parts: Mapping[str, str]) -> Best:
    found = parts.get("best", "")
    if found not in BEST:
        raise WorkbookError(f'the note on the name {name} says "best: {found}": write least or most there')
    return found


def _limit(name: str, parts: Mapping[str, str], key: str) -> float | None:
    if key not in parts:
        return None
    number = plain_number(parts[key])
    if not isinstance(number, float):
        raise WorkbookError(f'the note on the name {name} says "{key}: {parts[key]}": write a number there')
    return number


def _plain_default(text: str | None) -> str | float | None:
    return None if text is None else plain_number(text)
