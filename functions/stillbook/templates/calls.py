"""Calls in a template's formulas: ``units`` is written last, and put where the formula takes it."""

from __future__ import annotations

from functools import lru_cache

from openpyxl.formula.tokenizer import Token, Tokenizer

from stillbook.catalogue import find
from stillbook.formula import PREFIX
from stillbook.workbook.calculation import shapes


def out_of_range(cell: str) -> str:
    """Whether a cell's formula refused its answer as out of range, with #NUM!; a missing input or program is not that.

    >>> out_of_range("co2_session")
    'IFERROR(ERROR.TYPE(co2_session)=6,FALSE)'
    """
    return f"IFERROR(ERROR.TYPE({cell})=6,FALSE)"


def answered(call: str, otherwise: str, given: str, count: int) -> str:
    """A call's answer, ``otherwise`` where it has none to so many numbers; an error among what it is given stays one.

    >>> answered("STILL_NCRATING(B2:I2)", "70", "B2:I2", 8)
    'IF(COUNT(B2:I2)=8,IFERROR(STILL_NCRATING(B2:I2),70),SUM(B2:I2))'
    """
    return f"IF(COUNT({given})={count},IFERROR({call},{otherwise}),SUM({given}))"


def filled(formula: str, *cells: str) -> str:
    """A formula of a schedule's row that waits for cells of it: arithmetic takes a blank for nothing.

    >>> filled("{lengths}*{widths}", "lengths", "widths")
    'IF(OR({lengths}="",{widths}=""),NA(),{lengths}*{widths})'
    """
    blanks = ",".join(f'{{{cell}}}=""' for cell in cells)
    return f"IF(OR({blanks}),NA(),{formula})"


def nth(call: str) -> str:
    """One cell of the row that a call of ours gives, ``{n}`` being its number from the left.

    A row is written so cell by cell, and not as one array formula: of an array some spreadsheet programs drop the values
    kept in the file. A program with our formulas works the row out once and takes its cells from that answer. What such
    a call is given is a single value, cells, a name, or another call of ours: of an expression over cells an ordinary
    formula takes one value alone.

    >>> nth("STILL_NCCURVE(nc_target)")
    'INDEX(STILL_NCCURVE(nc_target),1,{n})'
    """
    return f"INDEX({call},1,{{n}})"


def with_units_in_place(formula: str) -> str:
    """A formula with blanks for the optional arguments that a call leaves out before a last argument ``units``.

    A formula may thus gain an optional argument without an edit in any template.

    >>> with_units_in_place("=1+STILL_CO2LEVEL(people,airflow,room_volume,units)").count('""') >= 3
    True
    >>> with_units_in_place("=STILL_DUCTAREA(airflow,quiet_speed,units)")
    '=STILL_DUCTAREA(airflow,quiet_speed,units)'
    """
    if PREFIX not in formula or "units" not in formula:
        return formula
    text, numbers = shapes.shape(formula)
    return shapes.filled(_with_blanks(text), numbers)


@lru_cache(maxsize=1024)
def _with_blanks(formula: str) -> str:
    """The same of one formula, asked once for all those that differ in rows and numbers alone."""
    tokens = Tokenizer(formula).items
    written: list[str] = []
    calls: list[tuple[str, int]] = []
    for place, token in enumerate(tokens):
        if token.type == Token.FUNC and token.subtype == Token.OPEN:
            calls.append((token.value[:-1], 1))
        elif token.type == Token.SEP and token.subtype == Token.ARG and calls:
            name, count = calls[-1]
            calls[-1] = (name, count + 1)
        elif token.type == Token.FUNC and token.subtype == Token.CLOSE:
            calls.pop()
        elif token.value == "units" and calls and calls[-1][0].startswith(PREFIX):
            name, count = calls[-1]
            if tokens[place + 1].subtype == Token.CLOSE:
                written.extend(['"",'] * (len(find(name).arguments) - count))
        written.append(token.value)
    return "=" + "".join(written)
