"""The declaration of an input: what may be written in a named cell, and the check of what is typed there."""

from __future__ import annotations

import datetime
import difflib
import math
from dataclasses import dataclass, replace
from typing import Any

from stillbook.catalogue import call
from stillbook.cells import Cell, Code, ErrorValue
from stillbook.quantities import QuantityError
from stillbook.trade.mass.materials import material_key
from stillbook.trade.mass.words import may_mean, named
from stillbook.workbook import WorkbookError
from stillbook.workbook.file.sheet import LONGEST_TEXT
from stillbook.workbook.job.notes import note_text
from stillbook.workbook.job.values import day_number, load_as_mass, plain_number, quantity, shown


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
        load: Whether it is a load on a floor or a structure, as mass per area: a pressure is then taken as its weight.
        difference: Whether it is a difference of two temperatures, of which 10 °C are 18 °F.
        one_job: Whether it belongs to one client's job and is not taken into the next.
        tries: The values that an exploration tries where nobody says which; none where it leaves the input alone.
        label: What it is, in a few words, as the sheet says beside the cell or above the column.
        options: The name of the list that its drop-down offers.
        free: Whether something else than that list holds may be written; of a material it always may.
        number_format: How the sheet shows what is written.
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
    load: bool = False
    difference: bool = False
    one_job: bool = False
    tries: tuple[str, ...] = ()
    label: str = ""
    options: str = ""
    free: bool = False
    number_format: str = "General"

    def saying(self, help_text: str) -> InputSpec:
        """The same input with a sentence that says what to write."""
        return replace(self, help=help_text)

    def trying(self, *values: str | float) -> InputSpec:
        """The same input with the values that an exploration tries; text that is blank leaves it blank."""
        return replace(self, tries=tuple(shown(value) for value in values))

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
            *([("from", shown(self.least))] if self.least is not None else []),
            *([("to", shown(self.most))] if self.most is not None else []),
            *([("choices", "; ".join(self.choices))] if self.choices else []),
            *([("default", shown(self.default))] if self.default not in (None, "") else []),
            *([("whole", None)] if self.whole else []),
            *([("optional", None)] if self.optional else []),
            *([("material", None)] if self.material else []),
            *([("load", None)] if self.load else []),
            *([("difference", None)] if self.difference else []),
            *([("one job", None)] if self.one_job else []),
            *([("tries", "; ".join(self.tries))] if self.tries else []),
            *([("column", None)] if column else []),
        ]
        if any(";" in choice for choice in (*self.choices, *self.tries)):
            raise ValueError(f"{self.name}: a choice may not hold a semicolon")
        return note_text(self.name, self.help or self.label, parts or [("any", None)])

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
            return f"give {number and number + 'from '}{shown(self.least)} to {shown(self.most)}{unit}"
        if self.least is not None:
            return f"give {number}{shown(self.least)}{unit} or more"
        if self.most is not None:
            return f"give {number}{shown(self.most)}{unit} or less"
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
            given = str(value).upper() if isinstance(value, bool) else f"a {type(value).__name__}"
            raise InputError(f"{self.name} is {given}: {self.wanted}")
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
            number = plain_number(value)
            return number if isinstance(number, float) and self.unit != "text" else self._text(value)
        return shown(value) if self.unit == "text" else self._finite(value)

    def _number(self, value: str | float) -> float:
        number = self._finite(value) if not isinstance(value, str) else self._quantity(value)
        least = -math.inf if self.least is None else self.least
        most = math.inf if self.most is None else self.most
        if not least <= number <= most or (self.whole and number % 1):
            given = f"{shown(number)} {self.unit}".rstrip()
            raise InputError(f"{self.name} is {given}: {self.wanted}")
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
        try:
            return quantity(text, self.unit, is_difference=self.difference)
        except QuantityError as error:
            if self.load and (mass := load_as_mass(text, self.unit)) is not None:
                return mass
            raise InputError(f"{self.name}: {error}") from None

    def weighed(self, value: Any) -> bool:
        """Whether a value is a load given as a pressure, which is read as the mass whose weight it is."""
        return self.load and isinstance(value, str) and load_as_mass(value, self.unit) is not None

    def _choice(self, value: Any) -> Cell:
        wanted = " ".join(str(shown(value)).lower().split())
        for choice in self.choices:
            if choice.lower() == wanted:
                return plain_number(choice)
        if self.unit and isinstance(value, str) and self.unit != "text":
            number = self._quantity(value)
            for choice in self.choices:
                if plain_number(choice) == number:
                    return number
        meant = named(str(value))
        if meant is not None and meant.name in self.choices:
            return meant.name
        near = difflib.get_close_matches(wanted, [choice.lower() for choice in self.choices], n=1)
        hint = next((f': did you mean "{c}"?' for c in self.choices if near and c.lower() == near[0]), "")
        raise InputError(f'{self.name} "{str(value)[:60]}" is not known{hint or ": " + self.wanted}')

    def _material(self, value: str | float) -> Cell:
        """What a build-up can read in its first column, by its name in the table; the thickness stands elsewhere."""
        meant = named(value) if isinstance(value, str) else None
        if meant is not None and isinstance(value, str) and material_key(value) != material_key(meant.name):
            return meant.name
        # A word that may mean several is one material with no thickness either.
        several = meant is None and isinstance(value, str) and may_mean(value)
        found = call("SURFACEMASS", [[value, None if several else "1 in"]])
        if isinstance(found, ErrorValue) and found.code == Code.VALUE:
            raise InputError(f"{self.name}: {found.reason.removeprefix('leaf: ')}")
        return self._text(value) if isinstance(value, str) else self._finite(value)

    def _date(self, value: Any, *, starts_1904: bool) -> float:
        if isinstance(value, str):
            try:
                value = datetime.date.fromisoformat(value.strip())
            except ValueError:
                raise InputError(f'{self.name} "{value[:40]}" is not a date: {self.wanted}') from None
        if isinstance(value, datetime.date):
            return day_number(value, starts_1904=starts_1904)
        return self._finite(value)

    def _text(self, value: str) -> str:
        most = self.longest or LONGEST_TEXT
        if len(value) > most:
            raise InputError(f"{self.name} has {len(value)} characters: give at most {most}")
        if any(sign < " " and sign not in "\t\n" for sign in value):
            raise InputError(f"{self.name} has characters that no cell can show: give plain text")
        return value
