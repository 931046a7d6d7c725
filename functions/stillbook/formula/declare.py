"""The ``@formula`` decorator: annotations and docstring of a trade function become a formula."""

from __future__ import annotations

import inspect
import re
import types
import typing
from collections.abc import Callable
from typing import Any, Final, TypeVar

from stillbook.formula.call import Formula
from stillbook.formula.describe import Example, Family, Parameter
from stillbook.readers import Reader
from stillbook.results import ResultForm

DECLARED: Final[list[Formula]] = []
"""Every formula, in the order in which its module was imported."""

Function = TypeVar("Function", bound=Callable[..., Any])
Note = TypeVar("Note")


def formula(
    name: str,
    *,
    family: Family,
    summary: str,
    example: tuple[str, Any],
    source: str,
    no_answer: str = "these inputs have no answer",
    vectorised: bool = True,
) -> Callable[[Function], Function]:
    """Declare a trade function as the workbook formula ``STILL_<name>``; the function itself stays as it was.

    An argument without a default whose annotation allows None may be left blank in the middle of a call. A function
    whose answer depends on the workbook's unit system, as standard sizes do, takes it as a keyword-only ``units``.

    Args:
        name: The workbook name without its prefix: capitals only.
        family: The family it is listed under.
        summary: One line that says what it gives.
        example: A call as typed in a cell without its ``=``, and the value it shows; for rows of cells, the first row.
        source: The publication it follows, or "common practice, no source".
        no_answer: The reason told where the function gives NaN.
        vectorised: False where the function takes single numbers only; ranges are then taken cell by cell.

    Raises:
        TypeError: If an annotation does not say how a cell is read or how the result is written.
    """

    def declare(function: Function) -> Function:
        written = inspect.signature(function, eval_str=True)
        signature = written.parameters
        takes_units = "units" in signature and signature["units"].kind is inspect.Parameter.KEYWORD_ONLY
        helps = argument_helps(inspect.getdoc(function) or "")
        parameters = tuple(
            Parameter(
                parameter.name,
                _noted(parameter.annotation, Reader, f"{name}.{parameter.name} has no annotation that reads a cell"),
                helps.get(parameter.name, ""),
                required=parameter.default is parameter.empty
                and parameter.kind is not parameter.VAR_POSITIONAL
                and type(None) not in typing.get_args(parameter.annotation),
                default=None if parameter.default is parameter.empty else parameter.default,
                variadic=parameter.kind is parameter.VAR_POSITIONAL,
            )
            for parameter in signature.values()
            if parameter.kind is not parameter.KEYWORD_ONLY
        )
        result = _noted(written.return_annotation, ResultForm, f"{name} has no annotation that writes what it gives")
        dimensional = takes_units or result.dimensional or any(each.reader.dimensional for each in parameters)
        DECLARED.append(
            Formula(
                name=name,
                family=family,
                summary=summary,
                parameters=parameters,
                result=result,
                example=Example(*example),
                source=source,
                no_answer=no_answer,
                dimensional=dimensional,
                function=function,
                vectorised=vectorised,
                takes_units=takes_units,
            )
        )
        return function

    return declare


def _noted(hint: Any, wanted: type[Note], fault: str) -> Note:
    """The note of a type in an annotation, also where None is allowed beside it."""
    if typing.get_origin(hint) in (typing.Union, types.UnionType):
        for option in typing.get_args(hint):
            if typing.get_origin(option) is typing.Annotated:
                return _noted(option, wanted, fault)
    if typing.get_origin(hint) is typing.Annotated:
        for note in hint.__metadata__:
            if isinstance(note, wanted):
                return note
    raise TypeError(fault)


def argument_helps(doc: str) -> dict[str, str]:
    """The description of each argument in a docstring's ``Args`` section, without the unit in brackets."""
    section = re.search(r"^Args:\n((?:[ \t]+.*\n?|\n)+)", doc, re.MULTILINE)
    if not section:
        return {}
    helps = re.findall(r"^    \*?(\w+): ((?:.|\n(?=        ))+)", section[1], re.MULTILINE)
    return {name: re.sub(r"\s*\[[^\]]*\]", "", " ".join(text.split())) for name, text in helps}
