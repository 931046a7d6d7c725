"""The baffle box: a lined, heavy box that the air passes in one or more turns, and the boxes a shop can make."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields
from functools import lru_cache
from typing import Annotated, Any, Final

import numpy as np
import numpy.typing as npt

from stillbook.cells import OutOfRange
from stillbook.formula import formula
from stillbook.quantities import AIR_SPEED, AIRFLOW, AREA, COUNT, LENGTH, LEVEL, MASS, PRESSURE, ROOM_LENGTH, System
from stillbook.readers import Quantity, Vector
from stillbook.results import Number, UnderHeadings
from stillbook.tables import table
from stillbook.trade.ducts.pressure import duct_loss, fitting_loss
from stillbook.trade.ducts.sizes import standard_sizes
from stillbook.trade.isolation.single_leaf import panel_loss
from stillbook.trade.isolation.solids import panel_of
from stillbook.trade.mass.build_ups import Layer, Leaf, LeafReader, buildup_thickness, material_key, materials
from stillbook.trade.physics.constants import FOOT, INCH
from stillbook.trade.physics.sound import BAND_VALUE, OCTAVE_BANDS, OCTAVES, Spectrum, SpectrumResult
from stillbook.trade.quiet_path.duct_sound import (
    FREQUENCIES,
    MOST_LOSS,
    LiningThickness,
    Side,
    elbow_loss,
    lined_loss_of_a_foot,
)
from stillbook.trade.quiet_path.plenum import BoxSize, lining_absorption, safer_loss

Array = npt.NDArray[np.float64]
Passes = Annotated[float, Quantity(COUNT, least=1, most=8, whole=True)]
_Space = tuple[float | None, float | None, float | None]
"""Greatest outside length, width and height [m]."""

MOST_ROWS: Final = 12
_MOST_PASSES: Final = 5
_MOST_SPARE_AREA: Final = 1.6
"""How much more passage than the air needs is still worth listing."""

_MOST_SIDES: Final = 4.0
"""Greatest ratio of the sides of a passage."""

_LEAST_LENGTH: Final = 3.0
"""Least clear length of a box with turns, in widths of its passage."""

_LEAST_OPENNESS: Final = 4.0
"""Least cross-section of an open box, in areas of its opening."""

_TESTED_LENGTH: Final = 10 * FOOT
_JUDGED: Final = slice(1, 7)
"""The octaves from 125 to 4000 Hz, in which a shell is held beside the wall."""

_UNIT: Final[dict[System, float]] = {"US": INCH, "SI": 0.001}
_LININGS: Final[dict[System, tuple[float, ...]]] = {"US": (1.0, 2.0), "SI": (25.0, 50.0)}
_SHELL: Final[dict[System, str]] = {"US": "MDF 3/4 in", "SI": "MDF 18 mm"}
_BAFFLE: Final[dict[System, str]] = {"US": "MDF 1/2 in", "SI": "MDF 12 mm"}
_LINING_MATERIAL: Final = "Glass fibre 3 pcf"


# --- one box with turns -----------------------------------------------------------------------------------------------


def _straight(length: Array, width: Array, passes: Array) -> Array:
    """Straight length of each pass without the turns at its ends [m]."""
    return np.asarray((passes * length - 2 * (passes - 1) * width) / passes)


def _turned_loss(foot: Spectrum, turn: Spectrum, length: Array, width: Array, passes: Array) -> Spectrum:
    """Loss of boxes with turns [dB]: of the lining in the straight parts, and of one elbow for each turn."""
    straight = np.minimum(_straight(length, width, passes), _TESTED_LENGTH)[..., None] / FOOT
    count = passes[..., None]
    return np.minimum(count * np.minimum(foot * straight, MOST_LOSS) + (count - 1) * turn, MOST_LOSS)


@formula(
    "LABYRINTHLOSS",
    family="Quiet air path",
    summary="Sound lost in a lined box that the air passes to and fro, by octave, 63 to 8000 Hz",
    example=(
        "STILL_LABYRINTHLOSS(6,10,42,3,2)",
        (2.55, 5.1, 15.9756109459484, 35.6599200396683, 40.0, 40.0, 40.0, 34.9220050583118),
    ),
    source="Straight parts as STILL_LINEDDUCTLOSS, turns as STILL_ELBOWLOSS",
    no_answer="the box is too short for its turns: give a length of more than two widths of the passage",
    vectorised=False,
)
def labyrinth_loss(
    width: Side, height: Side, length: BoxSize, passes: Passes, lining: LiningThickness
) -> SpectrumResult:
    """Give what a box with baffles keeps back [dB], at most 40 dB.

    The passes lie side by side and the air turns back at the end of each but the last. Counted are the lining of the
    straight part of each pass on the safer basis, and for each turn, though it bends twice, one lined square elbow.
    Sound that runs through the boards from end to end sets the limit of 40 dB: more needs a second box, apart.

    Args:
        width: Clear width of the passage, in the plane of the turns [m].
        height: Clear height of the passage [m].
        length: Clear length inside the box [m].
        passes: How often the air runs the length of the box; one is a straight lined duct.
        lining: Thickness of the lining on all faces, baffles too [m].
    """
    if passes > 1 and length <= 2 * width:
        return np.full(len(OCTAVES), np.nan)
    sizes = (np.array(length), np.array(width), np.array(passes))
    return _turned_loss(lined_loss_of_a_foot(width, height, lining), elbow_loss(width, lining), *sizes)


@formula(
    "LABYRINTHPRESSURE",
    family="Quiet air path",
    summary="Pressure that a lined box with turns takes",
    example=("STILL_LABYRINTHPRESSURE(60,6,10,42,3)", 0.0133464572375618),
    source="As STILL_DUCTLOSS and STILL_FITTINGLOSS: friction, turns around a baffle, a box",
    vectorised=False,
)
def labyrinth_pressure(
    airflow: Annotated[float, Quantity(AIRFLOW, above=0)], width: Side, height: Side, length: BoxSize, passes: Passes
) -> Annotated[float, Number(PRESSURE)]:
    """Give the loss of the box from collar to collar [Pa].

    Friction along lined passes, for each turn back a turn around a baffle, and for the collars a full exit and entrance
    at the velocity in the passage. A collar narrower than the passage takes more: give STILL_TRANSITIONLOSS its size.

    Args:
        airflow: Air through the box [m³/s].
        width: Clear width of the passage, in the plane of the turns [m].
        height: Clear height of the passage [m].
        length: Clear length inside the box [m].
        passes: How often the air runs the length of the box.
    """
    parts = _pressure_parts(airflow, width, height)
    return parts.collars + passes * length * parts.metre + (passes - 1) * parts.turn


@dataclass(frozen=True, slots=True)
class _PressureParts:
    """Losses of a passage [Pa]: of a metre, of one turn back, of both collars."""

    metre: float
    turn: float
    collars: float


@lru_cache(maxsize=1024)
def _pressure_parts(airflow: float, width: float, height: float) -> _PressureParts:
    return _PressureParts(
        float(duct_loss(airflow, width, height, 1.0, "lined")),
        fitting_loss(airflow, width, height, "turn around a baffle", 1.0, "lined"),
        fitting_loss(airflow, width, height, "box"),
    )


# --- the boxes that can be made ---------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Boards:
    """Shell, baffles and lining: thickness [m] and mass per area [kg/m²] or density [kg/m³]."""

    shell: float
    shell_mass: float
    baffle: float
    baffle_mass: float
    wool_density: float


@dataclass(frozen=True, slots=True)
class _Boxes:
    """Boxes of one kind: each field has a value, or a row of eight losses, for each box; SI throughout."""

    passes: Array
    width: Array
    height: Array
    lining: Array
    path: Array
    pressure: Array
    losses: Spectrum
    inside_length: Array
    inside_width: Array
    inside_height: Array

    @property
    def inside(self) -> tuple[Array, Array, Array]:
        """Length, width and height inside the lining [m]."""
        return self.inside_length, self.inside_width, self.inside_height

    def kept(self, keep: npt.NDArray[Any]) -> _Boxes:
        """The boxes at these places."""
        return _Boxes(*(getattr(self, field.name)[keep] for field in fields(self)))

    @staticmethod
    def together(groups: Sequence[_Boxes]) -> _Boxes:
        """The boxes of all groups."""
        return _Boxes(*(np.concatenate([getattr(group, field.name) for group in groups]) for field in fields(_Boxes)))

    def outside(self, boards: _Boards) -> tuple[Array, Array, Array]:
        """Length, width and height over the shell [m]."""
        skin = 2 * (self.lining + boards.shell)
        length, width, height = self.inside
        return length + skin, width + skin, height + skin

    def areas(self, boards: _Boards) -> tuple[Array, Array, Array]:
        """Area of the shell over its outside, of the baffles, and of the lining [m²]."""
        length, width, height = self.outside(boards)
        shell = 2 * (length * width + length * height + width * height)
        inner, across, tall = self.inside
        baffles = np.maximum(self.passes - 1, 0) * (inner - self.width) * tall
        lining = 2 * (inner * across + inner * tall + across * tall) + 2 * baffles
        return shell, baffles, lining


def _passages(airflow: float, most_velocity: float, units: System) -> list[tuple[float, float]]:
    """Clear passages of standard sides that the air needs and that are not far too large [m]."""
    least = airflow / most_velocity * (1 - 1e-9)
    sides = standard_sizes("rectangular", units).tolist()
    fitting = [
        (w, h) for w in sides for h in sides if w * h >= least and max(w, h) <= _MOST_SIDES * min(w, h) * (1 + 1e-9)
    ]
    smallest = min((w * h for w, h in fitting), default=0.0)
    return [(w, h) for w, h in fitting if w * h <= smallest * _MOST_SPARE_AREA]


def _lengths(units: System) -> Array:
    """Outside lengths that leave little waste of a sheet [m]."""
    return np.array([float(row["length"]) for row in table("box_lengths") if row["system"] == units]) * _UNIT[units]


def _turned(airflow: float, passages: list[tuple[float, float]], boards: _Boards, units: System) -> Iterator[_Boxes]:
    """Boxes with one turn or more."""
    outside, counts = (grid.ravel() for grid in np.meshgrid(_lengths(units), np.arange(2.0, _MOST_PASSES + 1)))
    for width, height in passages:
        parts = _pressure_parts(airflow, width, height)
        for lining in (thickness * _UNIT[units] for thickness in _LININGS[units]):
            length = outside - 2 * (lining + boards.shell)
            roomy = length >= _LEAST_LENGTH * width
            if not roomy.any():
                continue
            length, passes = length[roomy], counts[roomy]
            same = np.ones_like(length)
            wall = boards.baffle + 2 * lining
            foot, turn = lined_loss_of_a_foot(width, height, lining), elbow_loss(width, lining)
            yield _Boxes(
                passes,
                width * same,
                height * same,
                lining * same,
                passes * length + (passes - 1) * wall,
                parts.collars + passes * length * parts.metre + (passes - 1) * parts.turn,
                _turned_loss(foot, turn, length, width * same, passes),
                length,
                passes * width + (passes - 1) * wall,
                height * same,
            )


def _open(
    airflow: float, passages: list[tuple[float, float]], boards: _Boards, most: _Space, units: System
) -> Iterator[_Boxes]:
    """Boxes without baffles within the space, their openings at opposite corners."""
    sides = standard_sizes("rectangular", units)
    for opening_width, opening_height in passages:
        collars = _pressure_parts(airflow, opening_width, opening_height).collars
        for lining in (thickness * _UNIT[units] for thickness in _LININGS[units]):
            lengths = _lengths(units) - 2 * (lining + boards.shell)
            wide, tall = sides[sides >= opening_width * (1 - 1e-9)], sides[sides >= opening_height * (1 - 1e-9)]
            length, width, height = (grid.ravel() for grid in np.meshgrid(lengths[lengths > 0], wide, tall))
            roomy = width * height >= _LEAST_OPENNESS * opening_width * opening_height
            roomy &= np.maximum(width, height) <= length
            if not roomy.any():
                continue
            for size, limit in zip((length, width, height), most, strict=True):
                roomy &= size + 2 * (lining + boards.shell) <= _limit(limit)
            length, width, height = length[roomy], width[roomy], height[roomy]
            same = np.ones_like(length)
            area = opening_width * opening_height * same
            offset = np.hypot(width - opening_width, height - opening_height)
            sizes = (length, width, height)
            yield _Boxes(
                0 * same,
                opening_width * same,
                opening_height * same,
                lining * same,
                np.hypot(length, offset),
                collars * same,
                safer_loss(sizes, area, area, offset, lining_absorption(lining)),
                *sizes,
            )


def _best(values: Array, most: int) -> list[int]:
    """Rows that no other is as good as in every column and better in one, less being better; by the first column."""
    rounded = np.round(values, 9)
    kept: list[int] = []
    for place in np.lexsort(rounded.T[::-1]).tolist():
        if not (rounded[kept] <= rounded[place]).all(axis=1).any():
            kept.append(place)
            if len(kept) == most:
                break
    return kept


@formula(
    "BAFFLEBOX",
    family="Quiet air path",
    summary="Baffle boxes that a shop can make for an airflow, a velocity and a loss of sound, the smallest first",
    example=(
        "STILL_BAFFLEBOX(60,150,15)",
        (
            "Passes",
            "Passage width (in)",
            "Passage height (in)",
            "Lining (in)",
            "Velocity (fpm)",
            "Free path (ft)",
            "Pressure (in.wg)",
            "63 Hz (dB)",
            "125 Hz (dB)",
            "250 Hz (dB)",
            "500 Hz (dB)",
            "1000 Hz (dB)",
            "2000 Hz (dB)",
            "4000 Hz (dB)",
            "8000 Hz (dB)",
            "Outside length (in)",
            "Outside width (in)",
            "Outside height (in)",
            "Mass (lb)",
            "Shell area (ft²)",
            "Baffle area (ft²)",
            "Lining area (ft²)",
            "Shell less wall (dB)",
            "Shell",
        ),
    ),
    source="As STILL_LABYRINTHLOSS, STILL_BAFFLEBOXLOSS, STILL_LABYRINTHPRESSURE, STILL_LEAFTL; sizes: common practice",
    vectorised=False,
)
def baffle_box(
    airflow: Annotated[float, Quantity(AIRFLOW, above=0)],
    most_velocity: Annotated[float, Quantity(AIR_SPEED, above=0, most=20)],
    insertion_loss: Annotated[Spectrum, Vector(Quantity(LEVEL, least=-300, most=200), lengths=(1, len(OCTAVES)))],
    most_length: Annotated[float, Quantity(LENGTH, above=0, most=20)] | None = None,
    most_width: Annotated[float, Quantity(LENGTH, above=0, most=20)] | None = None,
    most_height: Annotated[float, Quantity(LENGTH, above=0, most=20)] | None = None,
    shell: Annotated[Leaf | None, LeafReader(optional=True)] = None,
    wall_loss: Annotated[Spectrum, Vector(BAND_VALUE, lengths=(len(OCTAVES),))] | None = None,
    *,
    units: System = "US",
) -> Annotated[
    list[tuple[float | str | None, ...]],
    UnderHeadings(
        ("Passes", COUNT),
        ("Passage width", LENGTH),
        ("Passage height", LENGTH),
        ("Lining", LENGTH),
        ("Velocity", AIR_SPEED),
        ("Free path", ROOM_LENGTH),
        ("Pressure", PRESSURE),
        *((f"{band:.0f} Hz", LEVEL) for band in OCTAVES),
        ("Outside length", LENGTH),
        ("Outside width", LENGTH),
        ("Outside height", LENGTH),
        ("Mass", MASS),
        ("Shell area", AREA),
        ("Baffle area", AREA),
        ("Lining area", AREA),
        ("Shell less wall", LEVEL),
        ("Shell", None),
    ),
]:
    """Give boxes that keep the velocity and reach the loss in the space there is, twelve at most, the smallest first.

    Only boxes that none other beats in volume, pressure and height at once are listed. Passages have standard sides,
    linings are 1 or 2 in (25 or 50 mm), outside lengths are parts of a sheet. 0 passes is an open box with its openings
    at opposite corners, as in STILL_BAFFLEBOXLOSS; two or more passes turn back each time, as in STILL_LABYRINTHLOSS.
    The losses are the safer ones and stop at 40 dB: where more is wanted, put a second box in the path.

    The shell must not be weaker than the wall it stands before or goes through: its transmission loss less the wall's,
    at its worst from 125 to 4000 Hz, stands in a column, and the last one says so. Give the wall's loss from
    STILL_LEAFTL or STILL_WALLTL in octaves; what gets in through the shell is STILL_BREAKINPOWER of its outside sizes.

    Cautions. The mass leaves out collars, sealant and hangers; a box of two boards weighs 200 lb (90 kg) and more: it
    needs supports that a structural engineer has checked, and a lift or a crew. The lining faces the air that people
    breathe: it needs a facing that holds fibres, a fire rating by the local code, and a lid through which it can be
    cleaned.

    Args:
        airflow: Air through the box [m³/s].
        most_velocity: Greatest velocity in the passage, 250 fpm (1.3 m/s) or less for quiet rooms [m/s].
        insertion_loss: Loss wanted in eight octaves, 63 to 8000 Hz; one number is wanted from 250 to 4000 Hz [dB].
        most_length: Greatest outside length there is room for [m].
        most_width: Greatest outside width [m].
        most_height: Greatest outside height [m].
        shell: Build-up of the shell; two boards of MDF, 3/4 in or 18 mm each, when left out.
        wall_loss: Transmission loss of the wall in eight octaves; not judged when left out [dB].
        units: System of the standard sizes.

    Raises:
        OutOfRange: If no such box fits, saying what is lacking.
    """
    leaf = shell if shell is not None else Leaf((_sheet(_SHELL[units], 2),))
    boards = _boards(leaf, units)
    passages = _passages(airflow, most_velocity, units)
    if not passages:
        raise OutOfRange("no standard passage is large enough: divide the airflow, or allow a higher velocity")
    most = most_length, most_width, most_height
    groups = [*_open(airflow, passages, boards, most, units), *_turned(airflow, passages, boards, units)]
    fitting = _that_fit(groups, boards, most)
    good = _that_suffice(fitting, insertion_loss)
    volume = np.prod(good.outside(boards), axis=0)
    best = _best(np.column_stack([volume, good.pressure, good.outside(boards)[2]]), MOST_ROWS)
    return _rows(good.kept(np.array(best)), boards, airflow, _shell_beside(leaf, wall_loss))


def _sheet(name: str, count: int = 1) -> Layer:
    """A sheet from the material table."""
    material = materials()[material_key(name)]
    assert material.surface_mass is not None
    return Layer(material.name, material.surface_mass, material.thickness, count)


def _boards(leaf: Leaf, units: System) -> _Boards:
    baffle = _sheet(_BAFFLE[units])
    assert baffle.thickness is not None
    return _Boards(
        buildup_thickness(leaf),
        leaf.surface_mass,
        baffle.thickness,
        baffle.surface_mass,
        materials()[material_key(_LINING_MATERIAL)].density,
    )


def _limit(most: float | None) -> float:
    """Greatest size allowed [m], rounding apart."""
    return math.inf if most is None or math.isnan(most) else most * (1 + 1e-9)


def _that_fit(groups: Sequence[_Boxes], boards: _Boards, most: _Space) -> _Boxes:
    """The boxes within the space."""
    if not groups:
        raise OutOfRange("no box of standard lengths can hold this passage: divide the airflow or allow more velocity")
    boxes = _Boxes.together(groups)
    fits = np.ones(len(boxes.passes), dtype=bool)
    for size, limit in zip(boxes.outside(boards), most, strict=True):
        fits &= size <= _limit(limit)
    if not fits.any():
        raise OutOfRange(
            "no box with this passage fits the space: allow more space or more velocity, or divide the air"
        )
    return boxes.kept(fits)


def _that_suffice(boxes: _Boxes, wanted: Spectrum) -> _Boxes:
    """The boxes that reach the loss in every octave."""
    if len(wanted) == 1:
        wanted = np.array([wanted[0] if 250 <= band <= 4000 else -np.inf for band in OCTAVES])
    short = wanted - boxes.losses
    good = np.all(short <= 1e-9, axis=1)
    if not good.any():
        nearest = short[np.argmin(short.max(axis=1))]
        band = int(np.argmax(nearest))
        raise OutOfRange(
            f"the best box that fits lacks {nearest[band]:.1f} dB at {OCTAVES[band]:.0f} Hz: allow more space, put two "
            "boxes in the path, or quieten the source"
        )
    return boxes.kept(good)


def _shell_beside(leaf: Leaf, wall_loss: Spectrum | None) -> tuple[float | None, str]:
    """How far the shell lies above the wall at its worst [dB], and that in words."""
    if wall_loss is None:
        return None, "not judged: give the loss of the wall"
    own = OCTAVE_BANDS.loss(lambda thirds: np.maximum(panel_loss(panel_of(leaf), thirds), 0.0))
    less = np.round(own - wall_loss, 9)[_JUDGED]
    worst = int(np.argmin(less))
    band = FREQUENCIES[_JUDGED][worst]
    if less[worst] >= 0:
        return float(less[worst]), "not weaker than the wall"
    return float(less[worst]), f"weaker than the wall by {-less[worst]:.0f} dB at {band:.0f} Hz: make it heavier"


def _rows(
    boxes: _Boxes, boards: _Boards, airflow: float, beside: tuple[float | None, str]
) -> list[tuple[float | str | None, ...]]:
    shell, baffles, lining = boxes.areas(boards)
    mass = shell * boards.shell_mass + baffles * boards.baffle_mass + lining * boxes.lining * boards.wool_density
    columns = (
        boxes.passes,
        boxes.width,
        boxes.height,
        boxes.lining,
        airflow / (boxes.width * boxes.height),
        boxes.path,
        boxes.pressure,
        *boxes.losses.T,
        *boxes.outside(boards),
        mass,
        shell,
        baffles,
        lining,
    )
    return [(*row, *beside) for row in np.column_stack(columns).tolist()]
