"""The catalogue as JSON: all that a host needs to show every formula and to call it."""

from __future__ import annotations

import inspect
from collections.abc import Iterator
from functools import cache
from typing import TYPE_CHECKING, Any

from pydantic import BaseModel, Field

from stillbook import __version__, catalogue
from stillbook.cells import Code, ErrorValue
from stillbook.formula import PREFIX, Formula, Parameter
from stillbook.quantities import SYSTEMS, Kind, System
from stillbook.results import ResultForm

if TYPE_CHECKING:
    from openpyxl.formula.tokenizer import Token

Plain = float | str | bool | None


class BySystem(BaseModel):
    """A text for each unit system; alike where the system does not matter."""

    US: str
    SI: str


class Argument(BaseModel):
    """An argument of a formula."""

    name: str
    words: str = Field(description="The name in plain words, as messages use it.")
    help: str = Field(description="What it means.")
    help_shown: BySystem = Field(description="The help with unit, choices and default.")
    form: str = Field(description="number, choice, text, any, or cells: a range with a form of its own.")
    kind: str = Field(description="What a number stands for, such as mass per area; empty if not a number.")
    unit: BySystem = Field(description="Unit of a bare number; empty for a plain number.")
    label: BySystem = Field(description="Unit or form of a bare value, in words.")
    choices: list[str] = Field(description="The words allowed, where it is a choice.")
    required: bool
    default: dict[System, Plain] = Field(description="The value when left out, in the unit of a bare number.")
    default_shown: BySystem
    repeats: bool = Field(description="Whether it may be given any number of times; only the last argument does.")
    whole_range: bool = Field(description="Whether a range is one value; else it gives an answer for each cell.")


class Column(BaseModel):
    """A column of a result that has several."""

    heading: BySystem
    kind: str
    unit: BySystem


class Result(BaseModel):
    """What a formula gives."""

    form: str = Field(
        description="number, text, row (values of one kind), cells (side by side) or table (with headings)."
    )
    kind: str
    unit: BySystem
    columns: list[Column] = Field(description="The columns of cells or of a table.")


class Example(BaseModel):
    """A call as an estimator would type it."""

    call: str
    arguments: list[Any] | None = Field(
        description="Its arguments as the service takes them, a formula among them as its value; null if not known."
    )
    gives: Plain | list[Plain] = Field(description="What the cell shows; of several cells the first row.")


class Entry(BaseModel):
    """A formula."""

    name: str = Field(description="The name without prefix, by which it is called.")
    workbook_name: str = Field(description="The name as it is typed in a cell.")
    family: str
    summary: str
    signature: str = Field(description="The call with optional arguments in brackets.")
    arguments: list[Argument]
    result: Result
    dimensional: bool = Field(description="Whether it takes the unit system as its last argument.")
    example: Example
    source: str = Field(description="The publication it follows.")
    no_answer: str = Field(description="The reason given where the inputs have no answer.")
    docstring: str


class Listing(BaseModel):
    """Every formula, family by family."""

    version: str
    prefix: str
    systems: list[str]
    errors: list[str] = Field(description="The error codes that an answer can hold.")
    families: list[str]
    formulas: list[Entry]


def listing() -> Listing:
    """Every formula, as a host is told of it."""
    found = list(catalogue.formulas().values())
    return Listing(
        version=__version__,
        prefix=PREFIX,
        systems=list(SYSTEMS),
        errors=[str(code) for code in Code],
        families=list(dict.fromkeys(formula.family for formula in found)),
        formulas=[described(formula) for formula in found],
    )


@cache
def listed() -> bytes:
    """The same as the service sends it, made once in a process."""
    return listing().model_dump_json().encode()


def described(formula: Formula) -> Entry:
    """One formula, as a host is told of it."""
    gives = formula.example.gives
    return Entry(
        name=formula.name,
        workbook_name=formula.workbook_name,
        family=formula.family,
        summary=formula.summary,
        signature=formula.signature,
        arguments=[_argument(parameter) for parameter in formula.arguments],
        result=_result(formula.result),
        dimensional=formula.dimensional,
        example=Example(
            call=formula.example.call,
            arguments=example_arguments(formula.example.call),
            gives=list(gives) if isinstance(gives, tuple) else gives,
        ),
        source=formula.source,
        no_answer=formula.no_answer,
        docstring=inspect.getdoc(formula.function) or "",
    )


def _argument(parameter: Parameter) -> Argument:
    reader = parameter.reader
    default = parameter.default
    return Argument(
        name=parameter.name,
        words=parameter.words,
        help=parameter.help,
        help_shown=_by_system(parameter.help_shown),
        form=reader.form,
        kind=_name(reader.numbers_of),
        unit=_units(reader.numbers_of),
        label=_by_system(reader.label),
        choices=list(reader.choices),
        required=parameter.required,
        default={system: None if default is None else reader.bare(default, system) for system in SYSTEMS},
        default_shown=_by_system(parameter.default_shown),
        repeats=parameter.variadic,
        whole_range=not reader.broadcasts,
    )


def _result(result: ResultForm) -> Result:
    headings = zip(result.headings("US"), result.headings("SI"), strict=True)
    return Result(
        form=result.form,
        kind=_name(result.numbers_of),
        unit=_by_system(result.unit),
        columns=[
            Column(heading=BySystem(US=us, SI=si), kind=_name(kind), unit=_units(kind))
            for (us, si), (_, kind) in zip(headings, result.columns, strict=True)
        ],
    )


def _name(kind: Kind | None) -> str:
    return kind.name if kind else ""


def _units(kind: Kind | None) -> BySystem:
    return _by_system(kind.unit) if kind else BySystem(US="", SI="")


def _by_system(text: Any) -> BySystem:
    return BySystem(US=text("US"), SI=text("SI"))


def example_arguments(call: str) -> list[Any] | None:
    """The arguments in a call as it is typed in a cell, a formula of ours among them as its value.

    None where one is neither that nor a constant.

    >>> example_arguments('STILL_X(-1.5,,{1,2;3,4},"80 in",TRUE,20%,STILL_QUANTITY("1 ft","in"))')
    [-1.5, None, [[1.0, 2.0], [3.0, 4.0]], '80 in', True, 0.2, 12.0]
    """
    from openpyxl.formula.tokenizer import Token, Tokenizer  # a service answers without waiting for it to load

    name, *inside = Tokenizer(f"={call}").items
    return _arguments(iter(inside)) if name.type == Token.FUNC else None


def _arguments(tokens: Iterator[Token]) -> list[Any] | None:
    """The arguments up to the bracket that closes their call."""
    from openpyxl.formula.tokenizer import Token

    arguments: list[Any] = [None]
    rows: list[list[Any]] = []
    sign = 1.0
    is_empty = True
    for token in tokens:
        cells = rows[-1] if rows else arguments
        match (token.type, token.subtype):
            case (Token.FUNC, Token.CLOSE):
                return [] if is_empty else arguments
            case (Token.FUNC, Token.OPEN):
                values = _arguments(tokens)
                given = None if values is None else catalogue.call(token.value.removesuffix("("), *values)
                if given is None or isinstance(given, ErrorValue):
                    return None
                cells[-1] = given
            case (Token.SEP, _):
                if not rows:
                    arguments.append(None)
                elif token.subtype == Token.ROW:
                    rows.append([None])
                else:
                    cells.append(None)
            case (Token.OP_PRE, _):
                sign = -sign if token.value == "-" else sign
            case (Token.OP_POST, _):
                cells[-1] /= 100
            case (Token.OPERAND, Token.NUMBER):
                cells[-1], sign = sign * float(token.value), 1.0
            case (Token.OPERAND, Token.TEXT):
                cells[-1] = token.value[1:-1].replace('""', '"')
            case (Token.OPERAND, Token.LOGICAL):
                cells[-1] = token.value == "TRUE"
            case (Token.ARRAY, Token.OPEN):
                rows = [[None]]
            case (Token.ARRAY, Token.CLOSE):
                arguments[-1], rows = rows, []
            case (Token.WSPACE, _):
                continue
            case _:
                return None
        is_empty = False
    return None
