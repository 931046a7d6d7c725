"""A small catalogue of our own, with one formula for each shape a host has to deal with."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Annotated, Any

from stillbook.cells import OutOfRange
from stillbook.formula import DECLARED, Formula, formula
from stillbook.quantities import LENGTH, LEVEL, ROOM_LENGTH
from stillbook.readers import Anything, Choice, Floats, Quantity, Text, Vector
from stillbook.results import Number, UnderHeadings, Words


def _declared(name: str, **options: Any) -> Callable[[Any], Formula]:
    """Declare a formula for a test without leaving it in the catalogue."""

    def keep(function: Any) -> Formula:
        settings: Any = {"family": "Ducts", "example": (f"STILL_{name}(1)", 1.0), "source": "invented"} | options
        formula(name, **settings)(function)
        return DECLARED.pop()

    return keep


@_declared("WIDER", summary="A width and what is added to it", no_answer="too wide: choose a smaller size")
def wider(
    width: Annotated[Floats, Quantity(LENGTH, above=0)],
    added: Annotated[Floats, Quantity(LENGTH, least=0)] = 0.0254,
    type: Annotated[str, Choice("once", "twice")] = "once",
) -> Annotated[Floats, Number(LENGTH)]:
    """Give a width with something added.

    Args:
        width: Width before [m].
        added: What is added [m].
        type: How often it is added.
    """
    return width + added * (2 if type == "twice" else 1)


@_declared("LOUDEST", summary="The loudest of several levels", vectorised=False)
def loudest(levels: Annotated[Any, Vector(Quantity(LEVEL))]) -> Annotated[float, Number(LEVEL)]:
    """Give the greatest level.

    Args:
        levels: Levels.
    """
    return float(max(levels))


@_declared("CORNERS", summary="Names and places of corners", family="Inside the room", vectorised=False)
def corners(
    length: Annotated[float, Quantity(ROOM_LENGTH, above=0)],
) -> Annotated[Any, UnderHeadings(("Corner", None), ("Place", ROOM_LENGTH))]:
    """Give the corners along a wall.

    Args:
        length: Length of the wall [m].
    """
    if length > 100:
        raise OutOfRange("the wall is too long: give at most 100 m")
    return [("near", 0.0), ("far", length)]


@_declared("TOLD", summary="What was given, as text", family="About the formulas", vectorised=False)
def told(name: Annotated[str, Text()], *arguments: Annotated[Any, Anything()]) -> Annotated[str, Words()]:
    """Give what was given.

    Args:
        name: A name.
        arguments: Anything.
    """
    return f"{name} {len(arguments)} {list(arguments)}"


CATALOGUE: Mapping[str, Formula] = {entry.name: entry for entry in (wider, loudest, corners, told)}
