"""Adding, counting and comparing what meets criteria (OpenFormula 4.11.8; Microsoft, SUMIFS and COUNTIF)."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from functools import lru_cache
from typing import Any, Final

from stillbook.cells import Code, fifteen
from stillbook.workbook.calculation.answers import is_number, kind_of, rows
from stillbook.workbook.calculation.definitions.cell_values import (
    Refused,
    Wrong,
    each,
    flat,
    number_in,
    pass_errors,
    text,
)
from stillbook.workbook.calculation.definitions.comparing import compare

_CRITERION: Final = re.compile(r"(<>|<=|>=|[<>=])?(.*)", re.DOTALL)
_MONTH: Final = r"(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*"
_DATE_OR_MONEY: Final = re.compile(
    rf"[-+($€£]*\d[\d.,/:\- ]*([ap]m?)?[)€£$]?|\d+[- /.]{_MONTH}([- /.]\d+)?|{_MONTH}[- /.,]+\d[\d, ]*", re.IGNORECASE
)

Test = Callable[[Any], bool]


def criterion(given: Any) -> Test:
    """The test that a criterion is: a value to equal, or a text with an operator before it.

    Raises:
        Refused: If spreadsheet programs understand it each in its own way.
    """
    if kind_of(given):
        raise Refused("its criterion is an error: put the cell that holds it right")
    if given is None:
        return _equals(0.0)
    return _written(given) if isinstance(given, str) else _equals(given)


def _equals(wanted: Any) -> Test:
    if isinstance(wanted, bool):
        return lambda value: value is wanted
    limit = fifteen(wanted)
    return lambda value: is_number(value) and fifteen(value) == limit


@lru_cache(maxsize=2048)
def _written(given: str) -> Test:
    found = _CRITERION.fullmatch(given)
    assert found is not None
    operator, wanted = found[1] or "=", found[2]
    if wanted == "":
        if operator in ("=", "<>"):
            return _blank(operator, is_bare=not found[1])
        raise Refused("its criterion compares with nothing: write what to compare with after the sign")
    if (limit := number_in(wanted)) is not None:
        return _than(operator, limit)
    if _DATE_OR_MONEY.fullmatch(wanted) or wanted.upper() in ("TRUE", "FALSE", *Code):
        raise Refused(
            f'its criterion "{given[:40]}" may be read as a date, an amount, a truth value or an error: give the value '
            "itself, or the text in another way"
        )
    if operator in ("=", "<>"):
        pattern = wildcards(wanted)
        negated = operator == "<>"
        return lambda value: (isinstance(value, str) and pattern.fullmatch(value) is not None) is not negated
    return lambda value: isinstance(value, str) and value != "" and compare(operator, value, wanted)


def _blank(operator: str, *, is_bare: bool) -> Test:
    if is_bare:
        return lambda value: value is None or value == ""
    return (lambda value: value is None) if operator == "=" else (lambda value: value is not None)


def _than(operator: str, limit: float) -> Test:
    if operator == "<>":
        equals = _equals(limit)
        return lambda value: not equals(value)
    return lambda value: is_number(value) and compare(operator, value, limit)


@lru_cache(maxsize=2048)
def wildcards(wanted: str) -> re.Pattern[str]:
    """A pattern for a text in which ``*`` stands for any signs and ``?`` for one; ``~`` before them takes that away."""
    parts = re.findall(r"~[*?~]|.", wanted, re.DOTALL)
    signs = {"*": ".*", "?": "."}
    return re.compile(
        "".join(signs.get(part) or re.escape(part[-1] if len(part) > 1 else part) for part in parts),
        re.IGNORECASE | re.DOTALL,
    )


def has_wildcards(wanted: str) -> bool:
    """Whether a text holds a sign that stands for others."""
    return any(sign in wanted for sign in "*?~")


def _chosen(pairs: Sequence[Any], size: tuple[int, int] | None) -> list[bool]:
    """Which cells meet all criteria."""
    if not pairs or len(pairs) % 2:
        raise Wrong("Value")
    met: list[bool] = []
    for area, given in zip(pairs[::2], pairs[1::2], strict=True):
        pass_errors(area)
        block = rows(area)
        if size is not None and (len(block), len(block[0])) != size:
            raise Wrong("Value")
        size = (len(block), len(block[0]))
        test, values = criterion(given), flat(area)
        if _looks_at_numbers(given) and any(
            isinstance(value, str) and number_in(value) is not None for value in values
        ):
            raise Refused("its range holds digits as text, which may count as numbers: turn them into numbers")
        if _meets_numbers(given, values):
            raise Refused("its criterion holds * or ? and its range numbers, which programs treat each in its own way")
        passed = [test(value) for value in values]
        met = passed if not met else [both and one for both, one in zip(met, passed, strict=True)]
    return met


def _meets_numbers(given: Any, values: Sequence[Any]) -> bool:
    """Whether signs that stand for others would meet a number, were it text."""
    found = _CRITERION.fullmatch(given) if isinstance(given, str) else None
    if found is None or not has_wildcards(found[2]):
        return False
    pattern = wildcards(found[2])
    return any(is_number(value) and pattern.fullmatch(text(value)) for value in values)


def _looks_at_numbers(given: Any) -> bool:
    found = _CRITERION.fullmatch(given) if isinstance(given, str) else None
    return not isinstance(given, bool) if found is None else number_in(found[2]) is not None


def _numbers(area: Any, pairs: Sequence[Any]) -> list[float]:
    """The numbers of an area in the places that meet all criteria.

    Raises:
        Wrong: If the ranges differ in size, or a chosen cell holds an error.
    """
    pass_errors(area)
    block = rows(area)
    met = _chosen(pairs, (len(block), len(block[0])))
    chosen = [value for value, is_met in zip(flat(area), met, strict=True) if is_met]
    pass_errors(*chosen)
    return [float(value) for value in chosen if is_number(value)]


def _sum(found: list[float]) -> float:
    return sum(found)


def _mean(found: list[float]) -> float:
    if not found:
        raise Wrong("Div")
    return sum(found) / len(found)


def _of_one(take: Callable[[list[float]], float]) -> Callable[..., Any]:
    def of(area: Any, given: Any, other: Any = None) -> float:
        return take(_numbers(area if other is None else other, (area, given)))

    return each(of, whole=(0, 2), passes_errors=False)


def _of_all(take: Callable[[list[float]], float]) -> Callable[..., Any]:
    def of(area: Any, *pairs: Any) -> float:
        return take(_numbers(area, pairs))

    return each(of, whole=(0, *range(1, 256, 2)), passes_errors=False)


def _count(*pairs: Any) -> float:
    return float(sum(_chosen(pairs, None)))


FUNCTIONS: Final = {
    "SUMIF": _of_one(_sum),
    "AVERAGEIF": _of_one(_mean),
    "SUMIFS": _of_all(_sum),
    "AVERAGEIFS": _of_all(_mean),
    "MAXIFS": _of_all(lambda found: max(found, default=0.0)),
    "MINIFS": _of_all(lambda found: min(found, default=0.0)),
    "COUNTIF": each(_count, whole=(0,), passes_errors=False),
    "COUNTIFS": each(_count, whole=range(0, 256, 2), passes_errors=False),
}
