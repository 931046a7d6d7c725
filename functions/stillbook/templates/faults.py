"""What is broken in a workbook that is built: names that nothing has, values that other programs would lose, and errors
that no input mends.
"""

from __future__ import annotations

import math
import re
from collections.abc import Container, Iterator, Mapping
from functools import lru_cache
from typing import Final

from openpyxl import Workbook
from openpyxl.formula.tokenizer import Token, Tokenizer
from openpyxl.worksheet.formula import ArrayFormula
from openpyxl.worksheet.worksheet import Worksheet

from stillbook.catalogue import formulas
from stillbook.formula import PREFIX
from stillbook.workbook.calculation.shapes import filled, shape
from stillbook.workbook.file.package import Package
from stillbook.workbook.job.estimate import Job
from stillbook.workbook.job.interface import Input
from stillbook.workbook.job.precedents import calls_of, words_of

_NO_NAME: Final = re.compile(r"\$?[A-Z]{1,3}(\$?\d+)?|\$?\d+|\d*\.?\d*(E\d*)?|TRUE|FALSE|#.*", re.IGNORECASE)
"""A piece of a reference that is an address, and a number, whose sign of a power parts it, a truth or an error."""

_ROW: Final = re.compile(r"(?<![\w.])(\$?[A-Z]{1,3}\$?)\d+(?![\w.(!])", re.ASCII)
"""The row in the address of a cell."""

_NEAR_LEAST: Final = 0.05
"""Where between its limits a number lies that is filled in: near the least, as in a small room."""
_SOME_DAY: Final = "2026-01-05"
_MOST_TOLD: Final = 20


class BrokenPage(Exception):
    """A workbook that may not be shipped; the message says which cell is broken, and why."""


def refuse_broken(workbook: Workbook, data: bytes, stays_blank: Mapping[str, str]) -> None:
    """See that every formula of a built workbook can give an answer.

    Args:
        workbook: The workbook.
        data: The same as a file.
        stays_blank: Inputs that are not filled in, by a part of their names, and the reason for each.

    Raises:
        BrokenPage: If a formula, a rule, a format or a name calls what does not exist, a formula is written so that
            other programs lose its value, or one is an error though every input is filled in.
    """
    found = [*unknown_names(workbook), *lost_values(workbook)] or [*errors_when_filled(Package(data), stays_blank)]
    if found:
        raise BrokenPage("\n".join(found[:_MOST_TOLD]))


def unknown_names(workbook: Workbook) -> Iterator[str]:
    """Each name or formula of ours that is called and does not exist, with where it is called."""
    for sheet in workbook.worksheets:
        known = {name.casefold() for name in (*workbook.defined_names, *sheet.defined_names)}
        for place, formula in _formulas(sheet):
            for name in _names(_ROW.sub(r"\g<1>1", formula)):
                if name.casefold() not in known:
                    yield f"{sheet.title}!{place}: there is no {name}, which {formula[:80]} calls"
    known = {name.casefold() for name in workbook.defined_names}
    for owner, entry in workbook.defined_names.items():
        for name in _names(f"={entry.attr_text}"):
            if name.casefold() not in known:
                yield f"the name {owner}: there is no {name}, to which it refers"


def lost_values(workbook: Workbook) -> Iterator[str]:
    """Each formula whose value a spreadsheet program without ours drops, or takes one cell of many for."""
    many = frozenset(name.casefold() for name, entry in workbook.defined_names.items() if ":" in entry.attr_text)
    for sheet in workbook.worksheets:
        for row in sheet.iter_rows():
            for cell in row:
                where = f"{sheet.title}!{cell.coordinate}"
                if isinstance(cell.value, ArrayFormula):
                    yield f"{where}: it is an array formula: give each cell its own, as nth does"
                elif cell.data_type == "f" and PREFIX in cell.value:
                    text, numbers = shape(cell.value)
                    for given in _intersected(text, many):
                        yield f"{where}: a formula of ours is given a sum or choice of the cells {filled(given, numbers)}: put it in cells of its own"


def errors_when_filled(package: Package, stays_blank: Mapping[str, str]) -> Iterator[str]:
    """Each cell that is an error of its own although every input is filled in, with the reason."""
    job = Job(package)
    held = {entry.offers: entry.value for entry in job.inputs.values() if entry.offers and entry.value}
    job.set({name: _sensible(entry, held) for name, entry in job.inputs.items() if entry.value in (None, "") and not any(part in name for part in stays_blank)})
    for error in job.calculate().errors:
        if not error.reason.startswith("comes from"):
            yield f"{error.sheet}!{error.cell}: {error.reason}"


def _sensible(entry: Input, held: Mapping[tuple[str, ...], object]) -> object:
    """A value that an input takes: of a list what another input has from it, of a number one near the least."""
    spec = entry.spec
    if spec.choices:
        return spec.choices[0]
    if entry.offers:
        return held.get(entry.offers, entry.offers[0])
    if spec.unit == "date":
        return _SOME_DAY
    if not spec.takes_number:
        return "x"
    least = max(0.0, spec.least or 0.0)
    number = least + _NEAR_LEAST * ((least + 1 if spec.most is None else spec.most) - least)
    return float(math.ceil(number)) if spec.whole else number


def _formulas(sheet: Worksheet) -> Iterator[tuple[str, str]]:
    """The formulas of a sheet with where they stand: of cells, of the rules for typing, and of formats."""
    for row in sheet.iter_rows():
        for cell in row:
            if cell.data_type == "f":
                yield cell.coordinate, str(cell.value.text if isinstance(cell.value, ArrayFormula) else cell.value)
    for rule in sheet.data_validations.dataValidation:
        for formula in (rule.formula1, rule.formula2):
            if formula:
                yield f"{rule.sqref} (rule)", f"={str(formula).removeprefix('=')}"
    for formats in sheet.conditional_formatting:
        for rule in formats.rules:
            for formula in rule.formula:
                yield f"{formats.sqref} (format)", f"={formula}"


@lru_cache(maxsize=4096)
def _names(formula: str) -> tuple[str, ...]:
    """The names that a formula calls, and our formulas that are none; asked once for the rows of a column."""
    pieces = (piece for word in words_of(formula) for piece in word.rpartition("!")[2].split(":"))
    ours = (call.upper() for call in calls_of(formula) if call.upper().startswith(PREFIX))
    return (*(piece for piece in pieces if not _NO_NAME.fullmatch(piece)), *(call for call in ours if call.removeprefix(PREFIX) not in formulas()))


@lru_cache(maxsize=4096)
def _intersected(formula: str, many: frozenset[str]) -> tuple[str, ...]:
    """The same cells of one formula, asked once for all those that differ in rows and numbers alone."""
    return tuple(_taken_one_of(formula, many))


def _taken_one_of(formula: str, many: Container[str]) -> Iterator[str]:
    """The several cells in an argument of ours that an ordinary formula takes one of: those in a sum or a choice.

    Args:
        formula: The formula.
        many: Names of several cells, folded.
    """
    tokens = [token for token in Tokenizer(formula).items if token.type != Token.WSPACE]
    inside: list[str] = []
    for place, token in enumerate(tokens):
        if token.subtype == Token.OPEN:
            inside.append(token.value.removesuffix("(").upper())
        elif token.subtype == Token.CLOSE:
            inside.pop()
        elif token.subtype == Token.RANGE and (":" in token.value or token.value.casefold() in many):
            before, after = tokens[place - 1], tokens[place + 1] if place + 1 < len(tokens) else token
            alone = Token.SEP in (before.type, after.type) or (before.subtype, after.subtype) == (Token.OPEN, Token.CLOSE)
            alone = alone and not {before.type, after.type} & {Token.OP_IN, Token.OP_PRE, Token.OP_POST}
            holder = inside[-1] if inside else ""
            ours = any(name.startswith(PREFIX) for name in inside)
            if ours and (not alone or holder in ("", "IF", "IFERROR")):
                yield token.value
