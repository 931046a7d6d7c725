"""What a formula says of itself: names, help, signature, example and source, as every host shows them."""

from __future__ import annotations

import inspect
import re
from dataclasses import dataclass
from typing import Any, Final, Literal

from stillbook.quantities import SYSTEMS, System
from stillbook.readers import Choice, Reader
from stillbook.results import ResultForm

PREFIX: Final = "STILL_"

Family = Literal[
    "Mass",
    "Isolation",
    "Doors",
    "Air",
    "Ducts",
    "Quiet air path",
    "Services",
    "Inside the room",
    "Taking off and pricing",
    "About the formulas",
]


@dataclass(frozen=True)
class Parameter:
    """One argument of a formula, as every host shows it."""

    name: str
    reader: Reader
    help: str
    required: bool
    default: Any = None
    variadic: bool = False

    @property
    def words(self) -> str:
        """The name in plain words."""
        return self.name.replace("_", " ")

    def default_shown(self, system: System) -> str:
        """The default in the workbook's unit, or empty."""
        return "" if self.default is None else self.reader.shown(self.default, system)

    def help_shown(self, system: System) -> str:
        """The help text with the unit of a bare number, the choices and the default."""
        parts = [self.help.rstrip(".")]
        if self.reader.choices:
            parts.append("one of " + ", ".join(f'"{choice}"' for choice in self.reader.choices))
        elif self.reader.label(system) and self.reader.label(system) != "text":
            parts.append(self.reader.label(system))
        if self.default is not None:
            parts.append(f"{self.default_shown(system)} when left out")
        return "; ".join(parts) + "."

    @property
    def help_for_both(self) -> str:
        """The help text with what it says of an SI workbook beside what it says of a US one, where they differ."""
        us, si = self.help_shown("US"), self.help_shown("SI")
        if us == si:
            return us
        shared = self.help.rstrip(".")
        return f'{us.rstrip(".")} (with units "SI": {si.removeprefix(shared).strip("; .")}).'

    @property
    def unit_for_both(self) -> str:
        """The unit or form of a bare value, said once where it is the same in both unit systems."""
        return "text" if self.reader.choices else both(self.reader.label("US"), self.reader.label("SI"))

    @property
    def meaning(self) -> str:
        """The help text with the choices and with what holds when it is left out, in both unit systems."""
        text = self.help.rstrip(".")
        if self.reader.choices:
            text += ": one of " + ", ".join(self.reader.choices)
        if self.default is not None:
            text += f"; {both(self.default_shown('US'), self.default_shown('SI'))} when left out"
        elif not self.required and "left out" not in text:
            text += "; may be left out"
        return text + "."


def both(us: str, si: str) -> str:
    """What stands for the two unit systems, said once where it is the same: ``in or mm``, ``lb or kg, a row``."""
    if us == si:
        return us
    (us_unit, us_mark, us_form), (si_unit, _, si_form) = us.partition(", "), si.partition(", ")
    return f"{us_unit} or {si_unit}{us_mark}{us_form}" if us_form == si_form else f"{us} or {si}"


def prose(doc: str) -> str:
    """A docstring for those who do not read Python: without what only its readers need."""
    text = re.sub(r"^(?:Args|Raises):\n(?:[ \t]+.*\n?|\n)+", "", inspect.cleandoc(doc) + "\n", flags=re.MULTILINE)
    text = re.sub(r"^>>> .*\n(?:.+\n)*", "", text, flags=re.MULTILINE)
    text = re.sub(r"(?<=\S)\n(?=\S)", " ", text)
    text = re.sub(r":\w+:`~?([^`]+)`", r"\1", text).replace("``", "")
    return re.sub(r"\n{3,}", "\n\n", text).strip()


def without_units(text: str) -> str:
    """Words without the SI units in brackets, which only the trade function itself keeps to."""
    return re.sub(r"\s*\[[^\]]*\]", "", text)


UNITS: Final = Parameter(
    "units",
    Choice(*SYSTEMS),
    "Unit system of bare numbers in this call.",
    required=False,
    default="US",
)
"""The last argument of every formula whose bare numbers depend on the unit system."""


@dataclass(frozen=True)
class Example:
    """A call as an estimator would type it, and what the cell shows."""

    call: str
    gives: float | str | tuple[Any, ...]


@dataclass(frozen=True, eq=False, kw_only=True)
class Description:
    """All that is told of a formula.

    Args:
        name: The workbook name without its prefix.
        family: The family it is listed under.
        summary: One line that says what it gives.
        parameters: Its arguments, without ``units``.
        result: The form of what it gives.
        example: A call and what the cell shows.
        source: The publication it follows.
        no_answer: The reason told where its function gives NaN.
        dimensional: Whether it takes ``units`` as its last argument.
    """

    name: str
    family: Family
    summary: str
    parameters: tuple[Parameter, ...]
    result: ResultForm
    example: Example
    source: str
    no_answer: str
    dimensional: bool

    @property
    def workbook_name(self) -> str:
        """The name in a cell: ``STILL_DOORMASS``."""
        return PREFIX + self.name

    @property
    def arguments(self) -> tuple[Parameter, ...]:
        """All arguments as the workbook sees them, ``units`` last."""
        return (*self.parameters, UNITS) if self.dimensional else self.parameters

    @property
    def signature(self) -> str:
        """The call with optional arguments in brackets."""
        words = [argument.words + ("…" if argument.variadic else "") for argument in self.arguments]
        shown = [w if a.required else f"[{w}]" for w, a in zip(words, self.arguments, strict=True)]
        return f"{self.workbook_name}({', '.join(shown)})"
