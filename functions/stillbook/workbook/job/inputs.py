"""A template's interface: named cells that are inputs, with unit, limits and help, and named cells that are results.

The note on a defined name (its ``comment``) says what the cell is, in a form that people and programs can read:

- an input: ``Inside length. | unit: ft | from: 3 | to: 60 | default: 7``, ``… | choices: pair; single``,
  ``… | text``, ``… | whole``, ``… | optional``;
- a key result: ``Price | result | unit: USD``;
- the block of checks, one rule a row: ``| checks``;
- a column of inputs, named as a whole: ``Leaf width. | unit: in | optional | column``. Its cells are inputs by the name
  of the column and the number of the row: ``widths_1``, ``widths_2``.

Some spreadsheet programs drop these notes when they save. :func:`keep_note` therefore writes each one a second time,
as a property of the file under the same name, which they keep; and where both are lost, the rule for what may be typed
into a named cell still gives its limits and choices.
"""

from __future__ import annotations

import datetime
import difflib
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from typing import TYPE_CHECKING, Any, Final

from stillbook.catalogue import call
from stillbook.cells import Cell, Code, ErrorValue
from stillbook.quantities import KINDS, Kind, QuantityError, System, convert, from_base, read_text
from stillbook.workbook import WorkbookError
from stillbook.workbook.file.address import Area, cell_name, read_area, read_cell, split_reference
from stillbook.workbook.file.package import Package
from stillbook.workbook.file.sheet import LONGEST_TEXT, Rule

if TYPE_CHECKING:
    from openpyxl import Workbook

LONGEST_NOTE: Final = 255
"""The longest note that spreadsheet programs take on a name."""

_DAY_ONE: Final = {False: datetime.date(1899, 12, 30), True: datetime.date(1904, 1, 1)}


class InputError(WorkbookError):
    """A value that an input does not take; the message names the input and says what to give."""


@dataclass(frozen=True, slots=True)
class InputSpec:
    """What may be written in a template's input cell.

    Args:
        name: The defined name of the cell.
        help: A sentence that says what to write.
        unit: Unit of a bare number as the sheet shows it; ``text`` for words, ``date`` for a day.
        least: Smallest number allowed, in the unit.
        most: Largest number allowed, in the unit.
        default: What a new workbook holds.
        choices: The only values allowed, where there are few.
        optional: Whether the cell may stay blank.
        whole: Whether only whole numbers make sense.
        longest: The most characters of a text, where its place on a page is small; the cell's typing rule says it.
        material: Whether it is a layer of a build-up: a material of the table, or a mass per area.
    """

    name: str
    help: str = ""
    unit: str = ""
    least: float | None = None
    most: float | None = None
    default: str | float | None = None
    choices: tuple[str, ...] = ()
    optional: bool = False
    whole: bool = False
    longest: int | None = None
    material: bool = False

    def comment(self, *, column: bool = False) -> str:
        """The note for the defined name; with ``column`` for that of a column of such inputs.

        >>> InputSpec("room_length", "Inside length.", "ft", 3, 60, 7).comment()
        'Inside length. | unit: ft | from: 3 | to: 60 | default: 7'
        >>> InputSpec("widths", "Leaf width.", "in", optional=True).comment(column=True)
        'Leaf width. | unit: in | optional | column'

        Raises:
            ValueError: If the note would be too long for a spreadsheet program, or a part holds a mark that separates.
        """
        parts = [
            *([("text", None)] if self.unit == "text" else [("unit", self.unit)] if self.unit else []),
            *([("from", _shown(self.least))] if self.least is not None else []),
            *([("to", _shown(self.most))] if self.most is not None else []),
            *([("choices", "; ".join(self.choices))] if self.choices else []),
            *([("default", _shown(self.default))] if self.default not in (None, "") else []),
            *([("whole", None)] if self.whole else []),
            *([("optional", None)] if self.optional else []),
            *([("material", None)] if self.material else []),
            *([("column", None)] if column else []),
        ]
        if any(";" in choice for choice in self.choices):
            raise ValueError(f"{self.name}: a choice may not hold a semicolon")
        return _note(self.name, self.help, parts or [("any", None)])

    @property
    def wanted(self) -> str:
        """What to give, in words.

        >>> InputSpec("room_length", unit="ft", least=3, most=60).wanted
        'give 3 to 60 ft'
        """
        unit = "" if self.unit in ("text", "date") else f" {self.unit}".rstrip()
        if self.choices:
            return "give one of " + ", ".join(f'"{choice}"' for choice in self.choices)
        number = "a whole number " if self.whole else ""
        if self.least is not None and self.most is not None:
            return f"give {number and number + 'from '}{_shown(self.least)} to {_shown(self.most)}{unit}"
        if self.least is not None:
            return f"give {number}{_shown(self.least)}{unit} or more"
        if self.most is not None:
            return f"give {number}{_shown(self.most)}{unit} or less"
        if self.unit in ("text", "date"):
            if self.unit == "date":
                return "give a date such as 2026-03-31"
            return f"give text of at most {self.longest} characters" if self.longest else "give text"
        return f"give {number or 'a number '}{f'in {self.unit}' if self.unit else ''}".rstrip()

    @property
    def takes_number(self) -> bool:
        """Whether the cell holds a number and nothing else."""
        if self.unit in ("text", "date") or self.choices:
            return False
        limited = self.least is not None or self.most is not None or self.whole
        return bool(self.unit) or limited or isinstance(self.default, int | float)

    def read(self, value: Any, *, starts_1904: bool = False) -> Cell:
        """The value for the cell: checked, and a quantity with a unit converted to the cell's own.

        >>> InputSpec("room_length", unit="ft", least=3, most=60).read("36 in")
        3.0

        Args:
            value: A number, text, a date, or None to clear the cell.
            starts_1904: Whether the workbook counts its days from 1904.

        Raises:
            InputError: If it is not understood, is the wrong kind of quantity, or is outside the limits.
        """
        if value is None or (isinstance(value, str) and not value.strip()):
            if self.optional:
                return None
            raise InputError(f"{self.name} may not be blank: {self.wanted}")
        if isinstance(value, bool) or not isinstance(value, str | int | float | datetime.date):
            shown = str(value).upper() if isinstance(value, bool) else f"a {type(value).__name__}"
            raise InputError(f"{self.name} is {shown}: {self.wanted}")
        if self.choices:
            return self._choice(value)
        if self.unit == "date":
            return self._date(value, starts_1904=starts_1904)
        if isinstance(value, datetime.date):
            raise InputError(f"{self.name} is a date: {self.wanted}")
        if self.takes_number:
            return self._number(value)
        if self.material:
            return self._material(value)
        if isinstance(value, str):
            number = _plain_number(value)
            return number if isinstance(number, float) and self.unit != "text" else self._text(value)
        return _shown(value) if self.unit == "text" else self._finite(value)

    def _number(self, value: str | float) -> float:
        number = self._finite(value) if not isinstance(value, str) else self._quantity(value)
        least = -math.inf if self.least is None else self.least
        most = math.inf if self.most is None else self.most
        if not least <= number <= most or (self.whole and number % 1):
            shown = f"{_shown(number)} {self.unit}".rstrip()
            raise InputError(f"{self.name} is {shown}: {self.wanted}")
        return number

    def _finite(self, value: float) -> float:
        try:
            number = float(value)
        except OverflowError:
            number = math.inf
        if not math.isfinite(number):
            raise InputError(f"{self.name} is not a finite number: {self.wanted}")
        return number

    def _quantity(self, text: str) -> float:
        """Text as a number in the cell's unit."""
        text = text.strip()
        known = _kind_of(self.unit)
        try:
            if known is not None:
                kind, system = known
                number = from_base(read_text(text, kind, system), kind, system)
            elif self.unit and _is_unit(self.unit) and not _is_bare(text):
                number = convert(text, self.unit)
            else:
                bare = text[: -len(self.unit)] if self.unit and text.lower().endswith(self.unit.lower()) else text
                number = read_text(bare, KINDS["number"])
        except QuantityError as error:
            raise InputError(f"{self.name}: {error}") from None
        return float(f"{number:.12g}")

    def _choice(self, value: Any) -> Cell:
        wanted = " ".join(str(_shown(value)).lower().split())
        for choice in self.choices:
            if choice.lower() == wanted:
                return _plain_number(choice)
        if self.unit and isinstance(value, str) and self.unit != "text":
            number = self._quantity(value)
            for choice in self.choices:
                if _plain_number(choice) == number:
                    return number
        near = difflib.get_close_matches(wanted, [choice.lower() for choice in self.choices], n=1)
        hint = next((f': did you mean "{c}"?' for c in self.choices if near and c.lower() == near[0]), "")
        raise InputError(f'{self.name} "{str(value)[:60]}" is not known{hint or ": " + self.wanted}')

    def _material(self, value: str | float) -> Cell:
        """What a build-up can read in its first column; the thickness stands elsewhere."""
        found = call("SURFACEMASS", [[value, "1 in"]])
        if isinstance(found, ErrorValue) and found.code == Code.VALUE:
            raise InputError(f"{self.name}: {found.reason.removeprefix('leaf: ')}")
        return self._text(value) if isinstance(value, str) else self._finite(value)

    def _date(self, value: Any, *, starts_1904: bool) -> float:
        if isinstance(value, str):
            try:
                value = datetime.date.fromisoformat(value.strip())
            except ValueError:
                raise InputError(f'{self.name} "{value[:40]}" is not a date: {self.wanted}') from None
        if isinstance(value, datetime.datetime):
            value = value.date()
        if isinstance(value, datetime.date):
            return float((value - _DAY_ONE[starts_1904]).days)
        return self._finite(value)

    def _text(self, value: str) -> str:
        most = self.longest or LONGEST_TEXT
        if len(value) > most:
            raise InputError(f"{self.name} has {len(value)} characters: give at most {most}")
        if any(sign < " " and sign not in "\t\n" for sign in value):
            raise InputError(f"{self.name} has characters that no cell can show: give plain text")
        return value


@dataclass(frozen=True, slots=True)
class ResultSpec:
    """A named cell that holds a key result.

    Args:
        name: The defined name of the cell.
        label: What it is, in a few words.
        unit: Its unit as the sheet shows it.
    """

    name: str
    label: str = ""
    unit: str = ""

    def comment(self) -> str:
        """The note for the defined name.

        >>> ResultSpec("price", "Price", "USD").comment()
        'Price | result | unit: USD'

        Raises:
            ValueError: If the note would be too long for a spreadsheet program.
        """
        return _note(self.name, self.label, [("result", None), *([("unit", self.unit)] if self.unit else [])])


CHECKS_NOTE: Final = "| checks"
"""The note on the name of a template's block of checks: first column the rule, the last two its state and advice."""


@dataclass(frozen=True, slots=True)
class Input:
    """An input of a workbook, with what its cell holds now.

    Args:
        spec: What may be written in it.
        sheet: Its sheet.
        cell: Its address in the sheet.
        value: What it holds; None for a blank.
        offers: Values the sheet offers, where others are allowed too.
    """

    spec: InputSpec
    sheet: str
    cell: str
    value: Cell
    offers: tuple[str, ...] = ()

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
    """

    inputs: Mapping[str, Input] = field(default_factory=dict)
    results: tuple[tuple[ResultSpec, str, int, int], ...] = ()
    checks: tuple[str, Area] | None = None
    columns: Mapping[str, tuple[str, ...]] = field(default_factory=dict)


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
    taken = {name.name.casefold() for name in package.names}
    for name in package.names:
        cells = name.cells
        sheet = package.find_sheet(cells[0]) if cells else None
        if name.hidden or name.sheet or name.name.startswith("_xlnm.") or cells is None or sheet is None:
            continue
        area = cells[1]
        help_text, parts = _parts(name.comment or notes.get(name.name.casefold(), ""))
        at = (order[sheet], area.first_row, area.first_column)
        if "checks" in parts:
            checks = (sheet, area)
        elif area.rows == area.columns == 1:
            if "result" in parts:
                results.append((at, (ResultSpec(name.name, help_text, parts.get("unit", "")), sheet, *at[1:])))
            elif made := _input(package, name.name, sheet, area, help_text, parts):
                inputs.append((at, made))
        elif "column" in parts and area.columns == 1:
            listed = []
            for number, row in enumerate(range(area.first_row, area.last_row + 1), start=1):
                cell = Area(row, area.first_column, row, area.first_column)
                own = f"{name.name}_{number}"
                if own.casefold() not in taken and (made := _input(package, own, sheet, cell, help_text, parts)):
                    inputs.append(((at[0], row, area.first_column), made))
                    listed.append(own)
            if listed:
                columns[name.name] = tuple(listed)
    inputs.sort(key=lambda item: item[0])
    results.sort(key=lambda item: item[0])
    return Interface({made.name: made for _, made in inputs}, tuple(result for _, result in results), checks, columns)


def refreshed(known: Interface, package: Package) -> Interface:
    """The same interface with what its input cells hold now."""
    inputs = {}
    for name, entry in known.inputs.items():
        at = read_cell(entry.cell)
        inputs[name] = replace(entry, value=package.value(entry.sheet, *at)) if at else entry
    return replace(known, inputs=inputs)


def keep_note(workbook: Workbook, name: str, refers_to: str, comment: str) -> None:
    """Add a name to a workbook that openpyxl builds, with its note on the name and again as a property of the file.

    Args:
        workbook: The workbook under construction.
        name: The defined name.
        refers_to: What it refers to, such as ``Inputs!$B$7``.
        comment: The note, from :meth:`InputSpec.comment` or :meth:`ResultSpec.comment`.
    """
    from openpyxl.packaging.custom import StringProperty
    from openpyxl.workbook.defined_name import DefinedName as OpenpyxlName

    workbook.defined_names[name] = OpenpyxlName(name, attr_text=refers_to, comment=comment or None)
    if comment:
        workbook.custom_doc_props.append(StringProperty(name=name, value=comment))


# --- notes ------------------------------------------------------------------------------------------------------------

_WORDS: Final = ("text", "whole", "optional", "any", "result", "checks", "column", "material")
_PAIRS: Final = ("unit", "from", "to", "default", "choices")


def _note(name: str, help_text: str, parts: Iterable[tuple[str, str | None]]) -> str:
    pieces = [help_text.strip(), *(key if value is None else f"{key}: {value}" for key, value in parts)]
    if any("|" in piece for piece in pieces):
        raise ValueError(f"{name}: a note may not hold the mark |")
    note = " | ".join(pieces).strip()
    if len(note) > LONGEST_NOTE:
        raise ValueError(f"{name}: its note has {len(note)} characters: shorten the help to fit in {LONGEST_NOTE}")
    return note


def _parts(note: str) -> tuple[str, dict[str, str]]:
    """Help and marked parts of a note; no parts for a note that is not in our form."""
    help_text, *pieces = (piece.strip() for piece in note.split("|"))
    parts = {}
    for piece in pieces:
        key, mark, value = piece.partition(":")
        key = key.strip().lower()
        if (mark and key in _PAIRS) or (not mark and key in _WORDS):
            parts[key] = value.strip()
    return help_text, parts


def _input(
    package: Package, name: str, sheet: str, area: Area, help_text: str, parts: Mapping[str, str]
) -> Input | None:
    """The input that a named cell is, from its note and the typing rule of its cell; None where it is none."""
    row, column = area.first_row, area.first_column
    part = package.sheet(sheet)
    if (row, column) in part.formulas:
        return None
    rule = part.rule_for(row, column)
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
    )
    offers: tuple[str, ...] = ()
    if rule is not None:
        spec, offers = _with_rule(package, spec, sheet, rule, noted=bool(parts))
    return Input(spec, sheet, cell_name(row, column), package.value(sheet, row, column), offers)


def _with_rule(
    package: Package, spec: InputSpec, sheet: str, rule: Rule, *, noted: bool
) -> tuple[InputSpec, tuple[str, ...]]:
    """A spec completed from the typing rule of its cell: what the note says stands."""
    if not noted:
        spec = replace(spec, help=spec.help or rule.prompt, optional=True)
    if rule.kind == "list":
        listed = _listed(package, rule.first, sheet)
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
        number if isinstance(number := _plain_number(t), float) else None for t in (rule.first, rule.second)
    )
    return {
        "between": (first, second),
        "greaterThanOrEqual": (first, None),
        "lessThanOrEqual": (None, first),
        "equal": (first, first),
    }.get(rule.operator, (None, None))


def _listed(package: Package, source: str, sheet: str) -> tuple[str, ...]:
    """The values a drop-down offers: written out, in cells, or in a named range."""
    source = source.removeprefix("=")
    if source.startswith('"') and source.endswith('"'):
        return tuple(part.strip() for part in source[1:-1].replace('""', '"').split(",") if part.strip())
    named = next((name for name in package.names if name.name.casefold() == source.casefold()), None)
    cells = named.cells if named else split_reference(source)
    if cells is None and (area := read_area(source)):
        cells = (sheet, area)
    found = package.find_sheet(cells[0]) if cells else None
    if cells is None or found is None:
        return ()
    values = (value for row in package.rows(found, cells[1]) for value in row)
    return tuple(str(_shown(value)) for value in values if isinstance(value, str | float) and value != "")


def _limit(name: str, parts: Mapping[str, str], key: str) -> float | None:
    if key not in parts:
        return None
    number = _plain_number(parts[key])
    if not isinstance(number, float):
        raise WorkbookError(f'the note on the name {name} says "{key}: {parts[key]}": write a number there')
    return number


def _plain_default(text: str | None) -> str | float | None:
    return None if text is None else _plain_number(text)


def _plain_number(text: str) -> str | float:
    """A number where the text is one, else the text."""
    try:
        number = float(text)
    except ValueError:
        return text
    return number if math.isfinite(number) and "_" not in text else text


def _is_bare(text: str) -> bool:
    return isinstance(_plain_number(text), float)


def _shown(value: Any) -> str:
    """A number without needless digits; anything else as text."""
    if isinstance(value, int | float) and not isinstance(value, bool):
        return f"{value:.12g}"
    return str(value)


@cache
def _kind_of(unit: str) -> tuple[Kind, System] | None:
    """The kind of quantity that a cell in this unit holds, and the workbook system whose unit it is."""
    if not unit:
        return None
    for kind in KINDS.values():
        if unit in (kind.us, kind.si):
            return kind, "US" if unit == kind.us else "SI"
    return None


@cache
def _is_unit(unit: str) -> bool:
    """Whether quantities can be converted to this unit; else it is a word such as "people" or a currency."""
    try:
        convert(f"1 {unit}", unit)
    except QuantityError:
        return False
    return True
