"""What is typed and what a cell shows: numbers, quantities with units, and days."""

from __future__ import annotations

import datetime
import math
from functools import cache
from typing import Any, Final

from stillbook.quantities import (
    KINDS,
    TEMPERATURE_DIFFERENCE,
    Kind,
    QuantityError,
    System,
    convert,
    from_base,
    mass_of_load,
    read_text,
)

_DAY_ONE: Final = {False: datetime.date(1899, 12, 30), True: datetime.date(1904, 1, 1)}


def plain_number(text: str) -> str | float:
    """A number where the text is one, else the text."""
    try:
        number = float(text)
    except ValueError:
        return text
    return number if math.isfinite(number) and "_" not in text else text


def shown(value: Any) -> str:
    """A number without needless digits; anything else as text."""
    if isinstance(value, int | float) and not isinstance(value, bool):
        return f"{value:.12g}"
    return str(value)


def quantity(text: str, unit: str, *, is_difference: bool = False) -> float:
    """Text as a number in a unit: that of a kind of quantity, any other unit, or a word such as "people".

    >>> quantity("36 in", "ft"), quantity("5 people", "people")
    (3.0, 5.0)
    >>> quantity("10 °C", "°F"), quantity("10 °C", "°F", is_difference=True)
    (50.0, 18.0)

    Raises:
        QuantityError: If it is not understood, or is the wrong kind of quantity.
    """
    text = text.strip()
    known = _kind_of(unit, is_difference=is_difference)
    if known is not None:
        kind, system = known
        number = from_base(read_text(text, kind, system), kind, system)
    elif unit and not isinstance(plain_number(text), float) and is_unit(unit):
        number = convert(text, unit)
    else:
        bare = text[: -len(unit)] if unit and text.lower().endswith(unit.lower()) else text
        number = read_text(bare, KINDS["number"])
    return float(f"{number:.12g}")


def load_as_mass(text: str, unit: str) -> float | None:
    """A load given as a pressure, as the mass per area whose weight it is; None for text that is no pressure.

    >>> load_as_mass("4.8 kPa", "kg/m²"), load_as_mass("500 kg/m²", "kg/m²")
    (489.463782229, None)
    """
    mass = mass_of_load(text.strip(), unit)
    return None if mass is None else float(f"{mass:.12g}")


def day_number(day: datetime.date, *, starts_1904: bool = False) -> float:
    """A day as cells count it, from 1900 or from 1904.

    >>> day_number(datetime.date(2026, 3, 31))
    46112.0
    """
    if isinstance(day, datetime.datetime):
        day = day.date()
    return float((day - _DAY_ONE[starts_1904]).days)


@cache
def _kind_of(unit: str, *, is_difference: bool = False) -> tuple[Kind, System] | None:
    """The kind of quantity that a cell in this unit holds, and the workbook system whose unit it is."""
    if not unit:
        return None
    for kind in (TEMPERATURE_DIFFERENCE,) if is_difference else KINDS.values():
        if unit in (kind.us, kind.si):
            return kind, "US" if unit == kind.us else "SI"
    return None


@cache
def is_unit(unit: str) -> bool:
    """Whether quantities can be converted to this unit; else it is a word such as "people" or a currency."""
    try:
        convert(f"1 {unit}", unit)
    except QuantityError:
        return False
    return True
