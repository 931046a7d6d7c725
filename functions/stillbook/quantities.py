"""Units of the trade: one registry, the kinds of quantity a workbook holds, and text such as ``2'-6"``.

A *kind* is what a number stands for: a room length, a duct size, a mass per area. Each kind has a default unit
in the US and in the SI workbook system and a base unit in which trade functions compute. Bare numbers cost one
multiplication; text is parsed once and remembered.
"""

from __future__ import annotations

import math
import re
import unicodedata
from functools import cache, cached_property, lru_cache
from typing import Any, Final, Literal

from stillbook.units import NO_UNIT, Unit, registry
from stillbook.units import scale as scale_of
from stillbook.units import unit as unit_of

System = Literal["US", "SI"]
SYSTEMS: Final[tuple[System, ...]] = ("US", "SI")


class QuantityError(ValueError):
    """Text or a number that cannot be read as the kind of quantity asked for; the message says what to write."""


class Kind:
    """What a number stands for, with its unit in each workbook system and the unit trade functions compute in.

    Args:
        name: Plain words, used in messages: "mass per area".
        us: Default unit of a bare number in a US workbook, as it is shown; empty for a plain number.
        si: The same for an SI workbook.
        base: Unit of the values that trade functions take and give.
        difference: True for a temperature difference, where ``10 °F`` means an interval.
        listed: False for a kind made for one conversion, which no message should name.
        largest: The largest magnitude, in the base unit, that an answer of this kind can have in the trade.
        smallest: The smallest, in the base unit, that an input of this kind can be where it must be more than nothing:
            less is a slip, and the logarithm of a ratio with it a level that no sound has.
    """

    def __init__(
        self,
        name: str,
        us: str,
        si: str,
        base: str,
        *,
        difference: bool = False,
        listed: bool = True,
        largest: float = math.inf,
        smallest: float = 0.0,
    ) -> None:
        self.name = name
        self.us = us
        self.si = si
        self.base = base
        self.difference = difference
        self.largest = largest
        self.smallest = smallest
        if listed:
            KINDS[name] = self

    def __repr__(self) -> str:
        return f"Kind({self.name!r}, us={self.us!r}, si={self.si!r})"

    @property
    def a_name(self) -> str:
        """The name with its article."""
        return f"{'an' if self.name[0] in 'aeiou' else 'a'} {self.name}"

    def unit(self, system: System) -> str:
        """The unit of a bare number in this workbook system."""
        return self.us if system == "US" else self.si

    @cached_property
    def scales(self) -> dict[System, tuple[float, float]]:
        """Factor and offset from each system's default unit to the base unit."""
        return {"US": _scale(self.us, self), "SI": _scale(self.si, self)}

    @cached_property
    def dimensions(self) -> str:
        """What its units measure, in base dimensions; empty for a plain number."""
        return _parse_unit(self.base, self).dimensions if self.base else ""

    @cached_property
    def write_like(self) -> str:
        """The units to suggest in a message."""
        return self.us if self.us == self.si else f"{self.us} or {self.si}"


KINDS: Final[dict[str, Kind]] = {}


NUMBER = Kind("number", "", "", "", largest=1_000_000_000_000, smallest=1e-9)
COUNT = Kind("count", "", "", "", largest=1_000_000_000, smallest=0.001)
SHARE = Kind("share", "", "", "", largest=1_000_000, smallest=1e-6)
MONEY = Kind("money", "", "", "", largest=10_000_000_000_000, smallest=0.001)
ROOM_LENGTH = Kind("room length", "ft", "m", "m", largest=1_000_000, smallest=0.001)
LENGTH = Kind("length", "in", "mm", "m", largest=1_000, smallest=1e-6)
AREA = Kind("area", "ft²", "m²", "m²", largest=1_000_000, smallest=1e-6)
SMALL_AREA = Kind("opening area", "in²", "mm²", "m²", largest=10_000, smallest=1e-10)
VOLUME = Kind("volume", "ft³", "m³", "m³", largest=1_000_000, smallest=1e-6)
BOX_VOLUME = Kind("box volume", "in³", "cm³", "m³", largest=1, smallest=1e-9)
CONTAINER = Kind("container size", "fl oz", "mL", "m³", largest=1, smallest=1e-6)
MASS = Kind("mass", "lb", "kg", "kg", largest=10_000_000, smallest=0.001)
SURFACE_MASS = Kind("mass per area", "lb/ft²", "kg/m²", "kg/m²", largest=100_000, smallest=0.001)
DENSITY = Kind("density", "lb/ft³", "kg/m³", "kg/m³", largest=25_000, smallest=0.1)
STIFFNESS_PER_AREA = Kind("stiffness per area", "lbf/in³", "MN/m³", "N/m³", largest=1e13, smallest=1)
FORCE = Kind("force", "lbf", "N", "N", largest=1_000_000, smallest=0.001)
AIRFLOW = Kind("airflow", "cfm", "L/s", "m³/s", largest=200, smallest=1e-6)
AIR_SPEED = Kind("air velocity", "fpm", "m/s", "m/s", largest=50, smallest=0.0001)
AREA_AIRFLOW = Kind("airflow per area", "cfm/ft²", "L/s/m²", "m/s", largest=50, smallest=1e-6)
PRESSURE = Kind("pressure", "in.wg", "Pa", "Pa", largest=10_000, smallest=0.001)
FRICTION_RATE = Kind("pressure per length", "in.wg/ft", "Pa/m", "Pa/m", largest=10_000, smallest=1e-6)
HEAT = Kind("heat", "Btu/h", "W", "W", largest=20_000_000, smallest=0.001)
ELECTRIC_POWER = Kind("electric power", "W", "W", "W", largest=20_000_000, smallest=0.001)
VOLTAGE = Kind("voltage", "V", "V", "V", largest=10_000, smallest=0.001)
CURRENT = Kind("current", "A", "A", "A", largest=100_000, smallest=0.001)
TEMPERATURE = Kind("temperature", "°F", "°C", "°C", largest=200, smallest=0.001)
THERMAL_RESISTANCE = Kind(
    "thermal resistance", "ft²·°F·h/Btu", "m²·K/W", "m²·K/W", difference=True, largest=100, smallest=0.0001
)
CONDUCTIVITY = Kind(
    "thermal conductivity", "Btu·in/h/ft²/°F", "W/m/K", "W/m/K", difference=True, largest=1000, smallest=0.0001
)
TEMPERATURE_DIFFERENCE = Kind("temperature difference", "°F", "K", "K", difference=True, largest=100, smallest=0.001)
FREQUENCY = Kind("frequency", "Hz", "Hz", "Hz", largest=100_000, smallest=1)
LEVEL = Kind("level", "dB", "dB", "dB", largest=200, smallest=0.01)
"""Sound whose pressure swings by all of the air's has 194 dB: no level lies above, and no loss takes more off one."""

ABSORPTION_AREA = Kind("absorption area", "ft²", "m²", "m²", largest=1_000_000, smallest=0.0001)
ALTITUDE = Kind("altitude", "ft", "m", "m", largest=10_000, smallest=0.001)
MINUTES = Kind("time", "min", "min", "min", largest=1_000_000, smallest=0.001)
HOURS = Kind("working time", "h", "h", "h", largest=1_000_000, smallest=0.001)
REVERBERATION_TIME = Kind("reverberation time", "s", "s", "s", largest=100, smallest=0.001)
PARTS_PER_MILLION = Kind("concentration", "ppm", "ppm", "ppm", largest=1_000_000, smallest=0.001)
ANGLE = Kind("angle", "deg", "deg", "deg", largest=360, smallest=0.001)


# --- reading text -----------------------------------------------------------------------------------------------------

_GRAVITY: Final = 9.80665
"""Standard gravity [m/s²], by definition of the 3rd General Conference on Weights and Measures (1901)."""

_NUMBER = r"\d+(?:\.\d*)?(?:[eE][+-]?\d{1,2})?|\.\d+(?:[eE][+-]?\d{1,2})?"
_MIXED = rf"(?:(?:\d+(?:\s+|\s*-\s*))?\d+\s*/\s*\d+|{_NUMBER})"
_PLAIN = re.compile(rf"(?P<sign>[+-]?)\s*(?P<number>{_MIXED})\s*(?P<unit>[^\d\s/].*)?", re.DOTALL)
_FEET_AND_INCHES = re.compile(
    rf"(?P<sign>[+-]?)\s*(?P<feet>{_NUMBER})\s*(?:'|ft\.?|feet|foot)\s*-?\s*(?P<inches>{_MIXED})\s*(?:\"|in\.?|inch|inches)",
    re.IGNORECASE,
)
_UNIT_TEXT = re.compile(r"[^\W\d_]([\w ./*^·%\"°-]|²|³)*|[°%'\"]\w*")

# Spellings the trade uses for a unit, where the registry has another or reads the letters as something else.
_SPELLINGS: Final[dict[str, str]] = {
    spelling: unit
    for unit, spellings in {
        "ft": ("'", "ft.", "feet"),
        "in": ('"', "in.", "inches"),
        "ft**2": ("sq ft", "sq. ft", "sq. ft.", "sqft", "sf"),
        "in**2": ("sq in", "sq. in", "sq. in."),
        "m**2": ("sq m", "sqm"),
        "ft**3": ("cu ft", "cuft", "cf"),
        "m**3": ("cu m",),
        "in**3": ("cu in", "cu. in", "cu. in."),
        "fluid_ounce": ("fl oz", "fl. oz", "fl. oz."),
        "lb": ("lbs", "lbs.", "lb.", "pounds"),
        "kg": ("kgs",),
        "in_wg": ("in.wg", "in wg", "in. wg", "in w.g.", "in. w.g.", "inwc", "in wc", "in. wc", '"wg', '"wc'),
        "in_wg/ft": ("in.wg/ft", "in wg/ft"),
        "Pa": ("pa",),
        "Pa/m": ("pa/m",),
        "cfm/ft**2": ("cfm/ft²", "cfm/sf"),
        "liter/s": ("l/s", "lps"),
        "liter/s/m**2": ("l/s/m²", "l/s/m2"),
        "Btu_it/h": ("btuh", "btu/h", "btu/hr"),
        "W": ("w",),
        "kW": ("kw",),
        "V": ("v",),
        "A": ("a",),
        "Hz": ("hz",),
        "kHz": ("khz",),
        "dB": ("db",),
        "min": ("mins", "minutes"),
        "h": ("hr", "hrs", "hours"),
        "sabin": ("sabins",),
        "degF": ("°f", "f", "deg f", "degf"),
        "degC": ("°c", "c", "deg c", "degc"),
        "K": ("k",),
        "m**2*K/W": ("m²·k/w", "m²k/w", "m2k/w"),
        "ft**2*delta_degF*h/Btu_it": ("ft²·°f·h/btu", "ft2·°f·h/btu", "ft2 f h/btu"),
        "Btu_it*in/h/ft**2/delta_degF": ("btu·in/h/ft²/°f", "btu in/h/ft²/°f", "btu·in/(h·ft²·°f)"),
        "W/m/K": ("w/m/k", "w/mk", "w/(m·k)"),
        "lbf/in**3": ("pci",),
        "degree": ("°", "deg"),
        "N": ("n",),
        "percent": ("%",),
    }.items()
    for spelling in spellings
}


@lru_cache(maxsize=8192)
def read_text(text: str, kind: Kind, system: System = "US") -> float:
    """Read text such as ``36 in``, ``2'-6"``, ``5/8"``, ``2.2 lb/ft2`` or ``30 cfm`` in the kind's base unit.

    Text without a unit is taken in the system's default unit. Fractions and feet with inches are understood.

    Raises:
        QuantityError: If the text is not a number with a unit, or its unit measures another kind of quantity; the
            message names both kinds.

    >>> read_text('2\\'-6"', LENGTH)
    0.762
    >>> round(read_text("2.2 psf", SURFACE_MASS), 4)
    10.7413
    >>> read_text("88 lb", SURFACE_MASS)
    Traceback (most recent call last):
    ...
    stillbook.quantities.QuantityError: "88 lb" is a mass where a mass per area is needed (lb/ft² or kg/m²)
    """
    clean = _clean(text)
    if re.search(r"\d,\d", clean):
        raise QuantityError(f'"{_short(text)}" has a comma inside the number: write a point for decimals, as in 1.5 m')
    if match := _FEET_AND_INCHES.fullmatch(clean):
        value = _sign(match) * (_number(match["feet"]) * 12.0 + _number(match["inches"]))
        return _convert(value, "in", kind, text)
    match = _PLAIN.fullmatch(clean)
    if match is None:
        raise QuantityError(f'"{_short(text)}" is not understood as {kind.a_name}{_suggestion(kind)}')
    value = _sign(match) * _number(match["number"])
    unit = (match["unit"] or "").strip()
    if not unit:
        factor, offset = kind.scales[system]
        return value * factor + offset
    return _convert(value, unit, kind, text)


def convert(text: str, unit: str) -> float:
    """The value of a quantity given as text, in any other unit of the same dimensions.

    >>> round(convert("30 cfm", "L/s"), 4)
    14.1584

    Raises:
        QuantityError: If either is not understood, or they measure different kinds of quantity.
    """
    return read_text(text, _in(unit))


def mass_of_load(text: str, unit: str) -> float | None:
    """The mass per area, in a unit, whose weight under standard gravity is a load given as a pressure with its unit.

    None for text that is no pressure.

    >>> round(mass_of_load("5 kN/m²", "kg/m²"), 2), mass_of_load("500 kg/m²", "kg/m²")
    (509.86, None)
    """
    try:
        pascals = read_text(text, PRESSURE)
    except QuantityError:
        return None
    return pascals / _GRAVITY / _scale(unit, SURFACE_MASS)[0]


@lru_cache(maxsize=256)
def _in(unit: str) -> Kind:
    """Whatever is measured in a unit."""
    return Kind(f"quantity in {unit}", unit, unit, unit, listed=False)


def to_base(value: float, kind: Kind, system: System) -> float:
    """A bare number in the system's default unit, in the kind's base unit."""
    factor, offset = kind.scales[system]
    return value * factor + offset


def from_base(value: float, kind: Kind, system: System) -> float:
    """A value in the kind's base unit, in the system's default unit."""
    factor, offset = kind.scales[system]
    return (value - offset) / factor


# --- quantities that carry their unit, as Python programs hold them ---------------------------------------------------


def is_measured(value: object) -> bool:
    """Whether a value carries its unit with it, as a quantity of pint does, from this registry or another."""
    return hasattr(value, "magnitude") and hasattr(value, "dimensionality")


def measured(magnitude: Any, kind: Kind, system: System) -> Any:
    """A number, or an array, in the unit of a bare number, as a quantity of pint from the one registry.

    >>> print(measured(88.0, MASS, "US").to("kg").round(2))
    39.92 kilogram
    """
    return registry().Quantity(magnitude, _named(kind.unit(system), kind))


@cache
def _named(unit: str, kind: Kind) -> Any:
    """A unit as the trade writes it, in the registry of programs."""
    return registry().parse_units(_parse_unit(unit, kind).text)


def bare(quantity: Any, kind: Kind, system: System) -> Any:
    """The number in a quantity of pint as a bare number of this kind, or the numbers in an array as lists of them.

    None where it measures another kind, or lies masked. A number that is converted has fifteen digits, so that 6.096 m
    is 240 in as if it were typed.
    """
    found = _to_bare(str(quantity.units), kind, system)
    if found is None:
        return None
    magnitude = quantity.magnitude
    held = magnitude.tolist() if hasattr(magnitude, "tolist") else float(magnitude)
    return held if found == (1.0, 0.0) else _converted(held, *found)


def _converted(held: Any, factor: float, offset: float) -> Any:
    if isinstance(held, list):
        return [_converted(each, factor, offset) for each in held]
    return None if held is None else float(f"{held * factor + offset:.15g}")


def spoken(quantity: Any) -> str:
    """A quantity of pint of one value as text, such as ``2.5 lb/ft²``."""
    # A number without a unit stays one: alone it would be read in the default unit.
    return f"{float(quantity.magnitude):.15g} {f'{quantity.units:~P}' or 'dimensionless'}"


@lru_cache(maxsize=1024)
def _to_bare(unit: str, kind: Kind, system: System) -> tuple[float, float] | None:
    """Factor and offset from a unit as pint writes it to that of a bare number; None where it is of another kind."""
    spelled = f"delta_{unit}" if kind.difference and unit in ("degree_Fahrenheit", "degree_Celsius") else unit
    source = unit_of(spelled)
    if source is None or not _measures(source, kind):
        return None
    return scale_of(source, _parse_unit(kind.unit(system), kind) if kind.unit(system) else NO_UNIT)


# --- the pieces of reading text ---------------------------------------------------------------------------------------


def _clean(text: str) -> str:
    """One spelling for primes, dashes, spaces, vulgar fractions and digit grouping."""
    text = text.strip()
    text = text.translate(str.maketrans("′’‘″”“–−\u00a0\u2009\u202f⁄", "'''\"\"\"--   /"))
    text = re.sub(
        r"(\d?)([¼½¾⅐-⅞])", lambda m: f"{m[1]}{' ' if m[1] else ''}{unicodedata.normalize('NFKC', m[2])}", text
    ).replace("\u2044", "/")
    text = text.replace("''", '"')
    return re.sub(r"(?<=\d),(?=\d{3}(\D|$))", "", text)


def _sign(match: re.Match[str]) -> float:
    return -1.0 if match["sign"] == "-" else 1.0


def _number(text: str) -> float:
    """A decimal, a fraction or a mixed number: ``6``, ``1/2``, ``6 1/2``, ``6-1/2``."""
    if "/" not in text:
        return float(text)
    whole, fraction = re.fullmatch(r"(?:(\d+)(?:\s+|\s*-\s*))?(\d+\s*/\s*\d+)", text.strip()).groups()  # type: ignore[union-attr]
    top, bottom = (float(part) for part in fraction.split("/"))
    if bottom == 0:
        raise QuantityError(f'"{text}" divides by zero')
    return float(whole or 0) + top / bottom


def _convert(value: float, unit: str, kind: Kind, text: str) -> float:
    """A value in a unit given as text, in the kind's base unit."""
    parsed = _parse_unit(unit, kind)
    if not _measures(parsed, kind):
        if unit == "k":
            raise QuantityError(f'"{_short(text)}" is not understood: write thousands out, as in {value * 1000:.12g}')
        raise QuantityError(
            f'"{_short(text)}" is {_kind_of(parsed)} where {kind.a_name} is needed{_suggestion(kind, brackets=True)}'
            + (_as_mass(value, parsed) if kind is SURFACE_MASS and _measures(parsed, PRESSURE) else "")
        )
    factor, offset = _scale(unit, kind)
    return value * factor + offset


def _as_mass(value: float, source: Unit) -> str:
    """What to write for a load on a floor that is given as a pressure: a wall's mass is none, so it is not taken."""
    pascals = value * scale_of(source, _parse_unit(PRESSURE.base, PRESSURE))[0]
    weighs = {SURFACE_MASS.unit(each): from_base(pascals / _GRAVITY, SURFACE_MASS, each) for each in SYSTEMS}
    return f": a load of it is the weight of {' or '.join(f'{mass:.5g} {unit}' for unit, mass in weighs.items())}"


def _measures(unit: Unit, kind: Kind) -> bool:
    """Whether a unit measures this kind. Kinds without dimensions differ by their unit alone: dB is not ppm."""
    if unit.dimensions != kind.dimensions:
        return False
    if kind.dimensions:
        return True
    names = {"": ("percent",), "dB": ("decibel",), "ppm": ("ppm",), "deg": ("degree", "radian")}
    return unit.name in (names.get(kind.base) or (_parse_unit(kind.base, kind).name,))


@lru_cache(maxsize=1024)
def _scale(unit: str, kind: Kind) -> tuple[float, float]:
    """Factor and offset from a unit to the kind's base unit."""
    if unit == kind.base:
        return 1.0, 0.0
    source = _parse_unit(unit, kind)
    base = _parse_unit(kind.base, kind) if kind.base else NO_UNIT
    return (1.0, 0.0) if source.name and source.name == base.name else scale_of(source, base)


@lru_cache(maxsize=1024)
def _parse_unit(unit: str, kind: Kind) -> Unit:
    """A unit as the trade writes it; letter case is forgiven where it leaves the kind right."""
    spelled = " ".join(unit.split())
    if not _UNIT_TEXT.fullmatch(spelled) or len(spelled) > 40:
        raise QuantityError(f'the unit "{_short(unit)}" is not understood{_suggestion(kind)}')
    spelled = _SPELLINGS.get(spelled.lower(), spelled)
    spelled = re.sub(r"(?<=[A-Za-z])\^?([234])\b", r"**\1", spelled.replace("·", "*"))
    spelled = spelled.replace("²", "**2").replace("³", "**3")
    if kind.difference and spelled in ("degF", "degC"):
        spelled = f"delta_{spelled}"
    expected = _parse_unit(kind.base, kind).dimensions if kind.base and unit != kind.base else None
    first = None
    for candidate in dict.fromkeys((spelled, spelled.lower())):
        found = unit_of(candidate)
        if found is not None and expected in (None, found.dimensions):
            return found
        first = first or found
    if first is None:
        raise QuantityError(f'the unit "{_short(unit)}" is not known{_suggestion(kind)}')
    return first


def _kind_of(unit: Unit) -> str:
    """The name, with its article, of the first kind with a unit's dimensions."""
    if not unit.dimensions:
        bare = {"decibel": "a level", "ppm": "a concentration", "degree": "an angle", "radian": "an angle"}
        return bare.get(unit.name, "a share")
    for kind in KINDS.values():
        if kind.base and kind.dimensions == unit.dimensions:
            return "a length" if kind is ROOM_LENGTH else kind.a_name
    return "another quantity"


def _suggestion(kind: Kind, *, brackets: bool = False) -> str:
    if not kind.us:
        return "" if brackets else ": write a plain number"
    return f" ({kind.write_like})" if brackets else f": write a number, or one with a unit such as {kind.write_like}"


def _short(text: str) -> str:
    return text if len(text) <= 40 else text[:37] + "..."
