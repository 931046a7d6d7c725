"""What varies in an exploration: choices, each with its options, and each option a value for one input or several."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from stillbook.cells import Cell
from stillbook.workbook.job.inputs import InputError
from stillbook.workbook.job.interface import Input
from stillbook.workbook.job.values import plain_number, shown

Point = tuple[int, ...]
"""A variant as the number of the option taken of each choice."""

_SPAN: Final = re.compile(r"\s*([-+]?\d*\.?\d+)\s*\.\.\s*([-+]?\d*\.?\d+)(?:\s*\.\.\s*(\d*\.?\d+))?\s*([^.\d].*)?")
_MOST_OPTIONS: Final = 1000


@dataclass(frozen=True, slots=True)
class Option:
    """One option of a choice.

    Args:
        label: What it is called.
        values: What the cells of inputs hold with it, by the name of the input.
    """

    label: str
    values: Mapping[str, Cell]


@dataclass(frozen=True, slots=True)
class Choice:
    """Something that varies.

    Args:
        name: The input, or what an office calls several that go together.
        options: What it may be, numbers in their order.
        ordered: Whether options that stand side by side are near each other.
    """

    name: str
    options: tuple[Option, ...]
    ordered: bool


@dataclass(frozen=True, slots=True)
class Space:
    """All that varies, each choice crossed with all others.

    Args:
        choices: The choices.
    """

    choices: tuple[Choice, ...]

    @property
    def size(self) -> int:
        """How many variants there are."""
        return math.prod(len(choice.options) for choice in self.choices)

    @property
    def inputs(self) -> tuple[str, ...]:
        """The inputs that vary."""
        return tuple(
            dict.fromkeys(name for choice in self.choices for option in choice.options for name in option.values)
        )

    def place_of(self, values: Mapping[str, Cell]) -> tuple[int | None, ...]:
        """The option of each choice that the inputs hold; None where it is none of them."""
        return tuple(
            next(
                (
                    place
                    for place, option in enumerate(choice.options)
                    if all(values.get(name) == value for name, value in option.values.items())
                ),
                None,
            )
            for choice in self.choices
        )

    def values(self, point: Point) -> dict[str, Cell]:
        """What the inputs that vary hold in a variant."""
        found: dict[str, Cell] = {}
        for choice, place in zip(self.choices, point, strict=True):
            found.update(choice.options[place].values)
        return found


def marked(inputs: Mapping[str, Input], starts_1904: bool = False) -> tuple[Choice, ...]:
    """The inputs that the workbook marks, each with the values that it tries, and with what it holds now."""
    return tuple(
        _choice(entry, [*entry.spec.tries, *([] if entry.value is None else [entry.value])], starts_1904=starts_1904)
        for entry in inputs.values()
        if entry.spec.tries
    )


def from_text(inputs: Mapping[str, Input], name: str, text: str, starts_1904: bool = False) -> Choice:
    """The options of one input, as a person writes them.

    Args:
        inputs: The inputs of the job by name.
        name: The input.
        text: ``1..3``, with a step ``1..4..0.5``, values between commas, or between semicolons where a value holds a
            comma; empty for the values that the workbook marks, or all of a drop-down. A unit may follow each.
        starts_1904: Whether the workbook counts its days from 1904.

    Raises:
        InputError: If there is no such input, or it does not take one of the values.
    """
    entry = _entry(inputs, name)
    if not text.strip():
        listed: Sequence[Any] = entry.spec.tries or entry.spec.choices or entry.offers
        if not listed:
            raise InputError(f"{name} has no values of its own to try: write them, such as {name}=1,2,4 or {name}=1..4")
        return _choice(entry, listed, starts_1904=starts_1904)
    if (span := _SPAN.fullmatch(text)) is not None:
        return _choice(entry, _numbers(name, text, *span.groups()), starts_1904=starts_1904)
    parts = [part.strip() for part in text.split(";" if ";" in text else ",")]
    return _choice(entry, parts, starts_1904=starts_1904)


def from_sets(inputs: Mapping[str, Input], given: Mapping[str, Any], starts_1904: bool = False) -> tuple[Choice, ...]:
    """Choices as a file gives them: a list of values for an input, or a table of named sets of values for several.

    Args:
        inputs: The inputs of the job by name.
        given: By the name of an input a list; by any other name a table, in it by the name of an option a table of
            values by input.
        starts_1904: Whether the workbook counts its days from 1904.

    Raises:
        InputError: If an input does not exist or does not take a value, or the file has another form.
    """
    found = []
    for name, options in given.items():
        if isinstance(options, list):
            found.append(_choice(_entry(inputs, name), options, starts_1904=starts_1904))
        elif isinstance(options, dict) and options and all(isinstance(values, dict) for values in options.values()):
            made = [
                Option(label, {key: _read(_entry(inputs, key), value, starts_1904) for key, value in values.items()})
                for label, values in options.items()
            ]
            named = {frozenset(option.values) for option in made}
            if len(named) > 1:
                raise InputError(f"{name}: let each of its options give the same inputs")
            found.append(Choice(name, tuple(made), ordered=False))
        else:
            raise InputError(
                f"{name}: write a list of values for an input, or for several inputs a section of lines such as "
                '"two boards" = { inner_count_1 = 2, outer_count_1 = 2 }'
            )
    return tuple(found)


def space(choices: Iterable[Choice]) -> Space:
    """All choices together.

    Raises:
        InputError: If there is none, or an input stands in two of them.
    """
    made = Space(tuple(choices))
    if not made.choices:
        raise InputError("nothing varies: name inputs and their values, such as frame_gap=1,2,4")
    owners: dict[str, str] = {}
    for choice in made.choices:
        for name in choice.options[0].values:
            if name in owners:
                raise InputError(f"{name} varies twice, in {owners[name]} and in {choice.name}: leave one out")
            owners[name] = choice.name
    return made


def _choice(entry: Input, values: Iterable[Any], *, starts_1904: bool) -> Choice:
    read = list(dict.fromkeys(_read(entry, value, starts_1904) for value in values))
    ordered = all(isinstance(value, int | float) for value in read)
    if ordered:
        read.sort(key=lambda value: float(value) if isinstance(value, int | float) else 0.0)
    return Choice(entry.name, tuple(Option(_label(value), {entry.name: value}) for value in read), ordered)


def _label(value: Cell) -> str:
    return "blank" if value is None else shown(value)


def _read(entry: Input, value: Any, starts_1904: bool) -> Cell:
    return entry.spec.read(plain_number(value) if isinstance(value, str) else value, starts_1904=starts_1904)


def _entry(inputs: Mapping[str, Input], name: str) -> Input:
    found = next((entry for key, entry in inputs.items() if key.casefold() == name.strip().casefold()), None)
    if found is None:
        raise InputError(
            f"there is no input {name[:60]}: those that are marked to be varied are {_marked_names(inputs)}"
        )
    return found


def _marked_names(inputs: Mapping[str, Input]) -> str:
    return ", ".join(name for name, entry in inputs.items() if entry.spec.tries) or "none in this workbook"


def _numbers(name: str, text: str, first: str, last: str, step: str | None, unit: str | None) -> list[Any]:
    try:
        low, high, by = float(first), float(last), float(step or 1)
    except ValueError:
        raise InputError(f'{name}: "{text[:40]}" is no span: write it as 1..4, or 1..4..0.5 with a step') from None
    if not (by > 0 and low <= high) or (high - low) / by > _MOST_OPTIONS:
        raise InputError(f'{name}: "{text[:40]}" goes from less to more in at most {_MOST_OPTIONS} steps')
    numbers = [float(f"{low + by * place:.12g}") for place in range(int((high - low) / by + 1e-9) + 1)]
    return [f"{shown(number)} {unit.strip()}" for number in numbers] if unit else list(numbers)
