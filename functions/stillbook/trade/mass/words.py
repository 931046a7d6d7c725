"""What people call a material, and which row of the material table they mean by it."""

from __future__ import annotations

import difflib
import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Final

from stillbook.tables import table
from stillbook.trade.mass.materials import Material, material_key, materials

MOST_NAMED: Final = 6
"""Names in one question; the table has up to two dozen of one kind."""

_NOT_BUILT_WITH: Final = "Code dead load"

_INCH: Final = 0.0254
_POUND_PER_SQUARE_FOOT: Final = 0.45359237 / 0.3048**2
_POUND_PER_CUBIC_FOOT: Final = 0.45359237 / 0.3048**3

_UNITS: Final[Mapping[str, tuple[str, float]]] = {
    **dict.fromkeys(("in", "inch", "inches"), ("thickness", _INCH)),
    "mm": ("thickness", 0.001),
    "cm": ("thickness", 0.01),
    **dict.fromkeys(("lb/ft2", "lb/sf", "psf", "lb"), ("mass", _POUND_PER_SQUARE_FOOT)),
    "kg/m2": ("mass", 1.0),
    **dict.fromkeys(("lb/ft3", "pcf"), ("density", _POUND_PER_CUBIC_FOOT)),
    "kg/m3": ("density", 1.0),
    **dict.fromkeys(("gauge", "ga"), ("gauge", 1.0)),
}
"""What the units in names measure, and their sizes. A sheet sold by the pound is so for each square foot."""

_LONGEST: Final = 100
"""Characters of a text that may be a name; none in the table has more than 60."""

_FRACTION: Final = r"(?:\d{1,3}[ -])?\d{1,3}/\d{1,3}"
_UNIT: Final = "|".join(sorted(map(re.escape, _UNITS), key=len, reverse=True))
_MEASURE: Final = re.compile(
    rf"(?<![\w./-])(?:(?P<number>{_FRACTION}|\d{{1,4}}(?:\.\d{{1,4}})?|\.\d{{1,4}})[ -]?(?P<unit>{_UNIT})(?![\w/])"
    rf"|(?P<inches>{_FRACTION})(?![\w./]))"
)
"""A number with its unit; a fraction alone is of an inch."""


@dataclass(frozen=True, slots=True)
class _Said:
    """A name taken apart: its words in order, and what it measures, in base units."""

    words: tuple[str, ...]
    measures: tuple[tuple[str, float], ...]

    def tells(self, measure: tuple[str, float]) -> bool:
        """Whether it holds that very measure, up to the rounding of its unit."""
        return any(kind == measure[0] and math.isclose(size, measure[1], rel_tol=1e-6) for kind, size in self.measures)


def named(text: str, thickness: float | None = None) -> Material | None:
    """The one material that a text names: as the table does, or in another word of the trade with its measure.

    A word is one of ``data/material_words.csv``, or what stands before the measures in a name. It needs a thickness,
    mass, density or gauge beside it, and everything said must stand in the name of one material alone. A thickness in
    a cell beside a mere word may also be of a substance, where no sheet has it.

    Args:
        text: What was written, such as ``5/8 drywall``.
        thickness: The thickness that stands in a cell beside it [m].

    Returns:
        The material; None where the text names none, or more than one.

    >>> named("5/8 drywall").name, named("15 mm plasterboard").name, named("1/2 drywall"), named("ply")
    ('Gypsum board 5/8 in type X', 'Gypsum board 15 mm', None, None)
    """
    known = materials().get(material_key(text))
    if known is not None:
        return known
    found = _called(text)
    if found is None:
        return None
    said, kinds = found
    asked = said if thickness is None else _Said(said.words, (*said.measures, ("thickness", thickness)))
    meant = [material for material in kinds if _holds(material, asked)] if asked.measures else []
    if not meant and said == _Said((), ()):
        # No sheet of the table is as thick: the word stands for the substance, as the table's own name does.
        meant = [material for material in kinds if thickness is not None and material.thickness is None]
    return meant[0] if len(meant) == 1 else None


def kind_of(text: str) -> str:
    """What the names begin with that a text is another word for; the text itself where it is none, or for several.

    >>> kind_of("drywall"), kind_of("stone wool"), kind_of("concrete block")
    ('Gypsum board', 'Mineral wool', 'concrete block')
    """
    first, *others = _by_words().get(_words(text[:_LONGEST]), (text,))
    return first if all(other.startswith(f"{first} ") for other in others) else text


@cache
def other_words() -> Mapping[str, tuple[str, ...]]:
    """The words of the trade, each with what stands before the measures in the names that it means."""
    found: dict[str, tuple[str, ...]] = {}
    for row in table("material_words"):
        found[row["word"]] = (*found.get(row["word"], ()), row["name"])
    return found


def did_you_mean(text: str) -> str:
    """The names in the table that a text may mean or that come nearest, as a question; empty if none does."""
    found = _called(text)
    if found is not None:
        return _question(_likely(*found))
    key = material_key(text)
    words = {word for word in key.split() if len(word) > 1}
    near = {
        name: len(words & set(name.split())) + difflib.SequenceMatcher(None, key, name).ratio()
        for name, material in materials().items()
        if material.group != _NOT_BUILT_WITH
    }
    best = [name for name in sorted(near, key=lambda name: -near[name])[:2] if near[name] > 0.6]
    if not best or not any(len(word) > 3 and word.isalpha() for word in words):
        return ""
    return _question([materials()[name] for name in best])


def beginning(name: str) -> str:
    """What stands before the measures in the name of a material.

    >>> beginning("Gypsum board 5/8 in type X"), beginning("MDF")
    ('Gypsum board', 'MDF')
    """
    return re.split(r" \d", name)[0]


def may_mean(text: str) -> bool:
    """Whether a text holds a word for a material, so that it is no mere quantity.

    >>> may_mean("5/8 drywall"), may_mean("2.5 lb/ft²")
    (True, False)
    """
    return _called(text) is not None


# --- pieces -----------------------------------------------------------------------------------------------------------


def _called(text: str) -> tuple[_Said, tuple[Material, ...]] | None:
    """What a text says beside the longest word for a material in it, with the materials of that; None without one."""
    if len(text) > _LONGEST:
        return None
    said = _taken_apart(text)
    for length in range(len(said.words), 0, -1):
        for start in range(len(said.words) - length + 1):
            kinds = _kinds().get(said.words[start : start + length])
            if kinds:
                rest = said.words[:start] + said.words[start + length :]
                return _Said(rest, said.measures), kinds
    return None


@cache
def _by_words() -> Mapping[tuple[str, ...], tuple[str, ...]]:
    """The words of the trade in one spelling."""
    return {_words(word): names for word, names in other_words().items()}


@cache
def _kinds() -> Mapping[tuple[str, ...], tuple[Material, ...]]:
    """The materials that each word may mean, in the order of the table."""
    own = {material: _words(beginning(material.name)) for material in _built_with()}
    meant = {word: {word} for word in own.values()}
    for word, names in _by_words().items():
        meant.setdefault(word, set()).update(map(_words, names))
    return {word: tuple(each for each in own if own[each] in begun) for word, begun in meant.items()}


@cache
def _built_with() -> tuple[Material, ...]:
    return tuple(material for material in materials().values() if material.group != _NOT_BUILT_WITH)


@lru_cache(maxsize=2048)
def _taken_apart(text: str) -> _Said:
    key = material_key(text)
    measures = tuple(_measure(match) for match in _MEASURE.finditer(key))
    return _Said(_words(_MEASURE.sub(" ", key)), measures)


def _words(text: str) -> tuple[str, ...]:
    """The words of a text in one spelling: hyphens part them, and one thing is as good as many."""
    words = material_key(text).replace("-", " ").split()
    return tuple(re.sub(r"(?<=[^s]{3})s$", "", word) for word in words)


def _measure(match: re.Match[str]) -> tuple[str, float]:
    kind, size = _UNITS[match["unit"] or "in"]
    whole, _, fraction = (match["number"] or match["inches"]).replace("-", " ").rpartition(" ")
    top, _, bottom = fraction.partition("/")
    below = float(bottom or 1)
    return kind, (float(whole or 0) + (float(top) / below if below else math.inf)) * size


def _holds(material: Material, said: _Said) -> bool:
    """Whether everything that was said stands in a material's name."""
    name = _taken_apart(material.name)
    return set(said.words) <= set(name.words) and all(map(name.tells, said.measures))


def _likely(said: _Said, kinds: tuple[Material, ...]) -> list[Material]:
    """The materials of a word that may be meant: those that hold all that was said, or part of it, or the nearest."""
    for asked in (said, _Said((), said.measures), _Said(said.words, ())):
        meant = [material for material in kinds if _holds(material, asked)] if asked != _Said((), ()) else []
        if meant:
            return meant
    sizes = [size for kind, size in said.measures if kind == "thickness"]
    if not sizes:
        return list(kinds)
    return sorted(kinds, key=lambda each: math.inf if each.thickness is None else abs(each.thickness - sizes[0]))


def _question(meant: list[Material]) -> str:
    names = [f'"{material.name}"' for material in meant[:MOST_NAMED]]
    more = len(meant) - len(names)
    *others, last = [*names, f"one of {more} more in STILL_MATERIALS"] if more else names
    return f": did you mean {', '.join(others)}{' or ' if others else ''}{last}?"
