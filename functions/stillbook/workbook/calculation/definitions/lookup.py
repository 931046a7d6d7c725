"""Looking up (OpenFormula INDEX, MATCH, VLOOKUP, HLOOKUP, LOOKUP; Microsoft XLOOKUP, XMATCH).

A search for the nearest goes through a list by halves, and finds the same in every program only where all that is not
above what is sought stands before all that is: in any other list it is refused.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any, Final

from stillbook.workbook.calculation.answers import kind_of, rows
from stillbook.workbook.calculation.definitions.cell_values import (
    Refused,
    Wrong,
    each,
    flat,
    folded,
    guarded,
    number,
    pass_errors,
    truth,
    whole,
)
from stillbook.workbook.calculation.definitions.comparing import check_order, order
from stillbook.workbook.calculation.definitions.criteria import has_wildcards, wildcards

_NUMBERS: Final = (float, int)
_UNSORTED: Final = "it looks for the nearest in a list that is not sorted: sort the list, or look for the exact value"


def _alike(value: Any, sought: Any) -> bool:
    """Whether both are numbers, both texts or both truth values."""
    if value is None or kind_of(value):
        return False
    if isinstance(sought, bool) or isinstance(value, bool):
        return isinstance(sought, bool) and isinstance(value, bool)
    return isinstance(value, str) == isinstance(sought, str)


def exact(sought: Any, values: Sequence[Any], *, wild: bool = True) -> int:
    """The place of the first value that equals what is sought.

    Raises:
        Wrong: If there is none.
        Refused: If it is a number that differs from what is sought in its last digit.
    """
    found: Iterator[int]
    if isinstance(sought, str):
        if wild and has_wildcards(sought):
            pattern = wildcards(sought)
            found = (at for at, value in enumerate(values) if isinstance(value, str) and pattern.fullmatch(value))
        else:
            wanted = folded(sought)
            found = (at for at, value in enumerate(values) if isinstance(value, str) and folded(value) == wanted)
    elif isinstance(sought, bool):
        found = (at for at, value in enumerate(values) if value is sought)
    else:
        near = abs(sought) * 1e-13
        found = (
            at
            for at, value in enumerate(values)
            if type(value) in _NUMBERS and abs(value - sought) <= near and order(value, sought) == 0
        )
    place = next(found, None)
    if place is None:
        raise Wrong("Na")
    _refuse_almost(sought, values[place])
    return place


def _refuse_almost(sought: Any, value: Any) -> None:
    """Refuse a number that is the same in fifteen digits and yet another: some programs find it, and some do not."""
    if isinstance(sought, _NUMBERS) and isinstance(value, _NUMBERS) and value != sought:
        raise Refused(
            f"it looks for {sought!r} among numbers such as {value!r}, which some programs take for the same and some "
            "do not: ROUND both"
        )


def nearest(sought: Any, values: Sequence[Any], *, rising: bool = True, skips_errors: bool = False) -> int:
    """The place of the last value that is not above what is sought or, of a falling list, not below.

    Raises:
        Wrong: If there is none.
        Refused: If the list is not sorted so that there is one answer.
    """
    others = (value for value in values if value is not None and not _alike(value, sought))
    if any(not (skips_errors and kind_of(value)) for value in others):
        raise Refused(
            "it looks for the nearest in a list that holds numbers, texts or errors together: keep them apart"
        )
    if isinstance(sought, str):
        for value in values:
            check_order(value, sought)
    sign = 1 if rising else -1
    places = [at for at, value in enumerate(values) if _alike(value, sought)]
    before = [order(values[at], sought) * sign <= 0 for at in places]
    count = sum(before)
    same = [order(values[at], sought) == 0 for at in places[:count]]
    for at, is_same in zip(places, same, strict=False):
        if is_same:
            _refuse_almost(sought, values[at])
    if not all(before[:count]) or same != sorted(same):
        raise Refused(_UNSORTED)
    if not count:
        raise Wrong("Na")
    found = places[count - 1]
    if not rising and count > 1 and order(values[places[count - 2]], values[found]) == 0:
        raise Refused("it looks for the nearest in a falling list with equal values: look for the exact value")
    return found


def _line(area: Any) -> list[Any]:
    block = rows(area)
    if len(block) > 1 and len(block[0]) > 1:
        raise Wrong("Na")
    return flat(block)


def match(sought: Any, area: Any, kind: Any = 1.0) -> float:
    """MATCH."""
    pass_errors(area)
    sought, way, values = _sought(sought), number(kind), _line(area)
    return 1.0 + (exact(sought, values) if way == 0 else nearest(sought, values, rising=way > 0))


def _sought(value: Any) -> Any:
    """What is sought.

    Raises:
        Refused: If it is blank, which programs take for 0 or for nothing.
    """
    if value is None:
        raise Refused(
            "it looks for a blank cell, which programs take for 0 or for nothing: fill it in, or test it first"
        )
    return value


def _in_table(sought: Any, lines: list[list[Any]], number_of: Any, is_sorted: Any) -> Any:
    line = whole(number_of)
    if line < 1:
        raise Wrong("Value")
    if line > len(lines):
        raise Wrong("Ref")
    sought = _sought(sought)
    at = nearest(sought, lines[0]) if truth(is_sorted) else exact(sought, lines[0])
    return lines[line - 1][at]


def _columns(area: Any) -> list[list[Any]]:
    pass_errors(area)
    return [list(column) for column in zip(*rows(area), strict=True)]


def vlookup(sought: Any, area: Any, column: Any, is_sorted: Any = True) -> Any:
    """VLOOKUP."""
    return _in_table(sought, _columns(area), column, is_sorted)


def hlookup(sought: Any, area: Any, row: Any, is_sorted: Any = True) -> Any:
    """HLOOKUP."""
    pass_errors(area)
    return _in_table(sought, rows(area), row, is_sorted)


def lookup(sought: Any, area: Any, results: Any = None) -> Any:
    """LOOKUP, which passes over errors in the list."""
    pass_errors(area, results)
    block = rows(area)
    sought = _sought(sought)
    if results is None:
        lines = block if len(block[0]) > len(block) else _columns(block)
        return lines[-1][nearest(sought, lines[0], skips_errors=True)]
    values, given = _line(block), _line(results)
    at = nearest(sought, values, skips_errors=True)
    if len(given) != len(values):
        raise Refused("its two ranges differ in size: give them the same size")
    return given[at]


def _place(sought: Any, values: list[Any], way: int, search: int) -> int:
    """The place of what is sought as XLOOKUP and XMATCH look for it."""
    if search not in (1, -1) or way not in (0, -1, 1, 2):
        raise Refused("it searches by halves: leave its search mode out")
    ordered = list(range(len(values)))[::search]
    if way in (0, 2):
        return ordered[exact(sought, [values[at] for at in ordered], wild=way == 2)]
    best: int | None = None
    for at in ordered:
        if not _alike(values[at], sought):
            continue
        found = order(values[at], sought)
        if found == 0:
            _refuse_almost(sought, values[at])
            return at
        if found == way and (best is None or order(values[at], values[best]) == -way):
            best = at
    if best is None:
        raise Wrong("Na")
    return best


def xmatch(sought: Any, area: Any, way: Any = 0.0, search: Any = 1.0) -> float:
    """XMATCH."""
    pass_errors(area)
    return 1.0 + _place(_sought(sought), _line(area), whole(way), whole(search))


def xlookup(sought: Any, area: Any, results: Any, otherwise: Any = None, way: Any = 0.0, search: Any = 1.0) -> Any:
    """XLOOKUP, of one value or of the row or column beside it."""
    pass_errors(area, results)
    values, block = _line(area), rows(results)
    is_column = len(rows(area)) > 1 or (len(values) == 1 and len(block) == 1)
    if len(values) != (len(block) if is_column else len(block[0])):
        raise Wrong("Value")
    try:
        at = _place(_sought(sought), values, whole(way), whole(search))
    except Wrong as wrong:
        if wrong.kind == "Na" and otherwise not in (None, 0.0):
            return otherwise
        raise
    line = [block[at]] if is_column else [[row[at]] for row in block]
    return line[0][0] if len(line) == len(line[0]) == 1 else line


PICK: Final = "STILLPICK"
"""A function of the engine's alone: INDEX into what a formula gives, whose errors it passes on as they are."""


def pick(block: Any, row: Any = None, column: Any = None) -> Any:
    """INDEX into values: one of them, or a whole row or column where its number is 0 or left out.

    A row or a column takes one number alone.
    """
    pass_errors(block, row, column)
    lines = rows(block)
    across, down = len(lines[0]), len(lines)
    if column is None and down == 1:
        row, column = 1.0, row
    at, along = whole(row), whole(column)
    if at < 0 or along < 0:
        raise Wrong("Value")
    if at > down or along > across:
        raise Wrong("Ref")
    found = [line[along - 1 : along] if along else line for line in (lines[at - 1 : at] if at else lines)]
    return found[0][0] if len(found) == len(found[0]) == 1 else found


FUNCTIONS: Final = {
    PICK: guarded(pick),
    "MATCH": each(match, whole=(1,)),
    "VLOOKUP": each(vlookup, whole=(1,)),
    "HLOOKUP": each(hlookup, whole=(1,)),
    "LOOKUP": each(lookup, whole=(1, 2)),
    "XMATCH": each(xmatch, whole=(1,)),
    "XLOOKUP": each(xlookup, whole=(1, 2, 3)),
}
