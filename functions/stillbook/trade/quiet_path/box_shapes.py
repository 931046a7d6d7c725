"""The baffle boxes that a shop can make: standard passages, stocked linings, lengths that leave little of a sheet."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields
from typing import Any, Final

import numpy as np
import numpy.typing as npt

from stillbook.quantities import System
from stillbook.tables import table
from stillbook.trade.ducts.sizes import standard_sizes
from stillbook.trade.physics.constants import INCH
from stillbook.trade.physics.sound import Spectrum
from stillbook.trade.quiet_path.duct_sound import elbow_loss, lined_loss_of_a_foot
from stillbook.trade.quiet_path.labyrinth import Array, pressure_parts, turned_loss
from stillbook.trade.quiet_path.plenum import lining_absorption, safer_loss

Space = tuple[float | None, float | None, float | None]
"""Greatest outside length, width and height [m]."""

_MOST_PASSES: Final = 5
_MOST_SPARE_AREA: Final = 1.6
"""How much more passage than the air needs is still worth listing."""

_MOST_SIDES: Final = 4.0
"""Greatest ratio of the sides of a passage."""

_LEAST_LENGTH: Final = 3.0
"""Least clear length of a box with turns, in widths of its passage."""

_LEAST_OPENNESS: Final = 4.0
"""Least cross-section of an open box, in areas of its opening."""

_UNIT: Final[dict[System, float]] = {"US": INCH, "SI": 0.001}
_LININGS: Final[dict[System, tuple[float, ...]]] = {"US": (1.0, 2.0), "SI": (25.0, 50.0)}


@dataclass(frozen=True, slots=True)
class Boards:
    """Shell, baffles and lining: thickness [m] and mass per area [kg/m²] or density [kg/m³]."""

    shell: float
    shell_mass: float
    baffle: float
    baffle_mass: float
    wool_density: float


@dataclass(frozen=True, slots=True)
class Boxes:
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

    def kept(self, keep: npt.NDArray[Any]) -> Boxes:
        """The boxes at these places."""
        return Boxes(*(getattr(self, field.name)[keep] for field in fields(self)))

    @staticmethod
    def together(groups: Sequence[Boxes]) -> Boxes:
        """The boxes of all groups."""
        return Boxes(*(np.concatenate([getattr(group, field.name) for group in groups]) for field in fields(Boxes)))

    def outside(self, boards: Boards) -> tuple[Array, Array, Array]:
        """Length, width and height over the shell [m]."""
        skin = 2 * (self.lining + boards.shell)
        length, width, height = self.inside
        return length + skin, width + skin, height + skin

    def areas(self, boards: Boards) -> tuple[Array, Array, Array]:
        """Area of the shell over its outside, of the baffles, and of the lining [m²]."""
        length, width, height = self.outside(boards)
        shell = 2 * (length * width + length * height + width * height)
        inner, across, tall = self.inside
        baffles = np.maximum(self.passes - 1, 0) * (inner - self.width) * tall
        lining = 2 * (inner * across + inner * tall + across * tall) + 2 * baffles
        return shell, baffles, lining


def passages_for(airflow: float, most_velocity: float, units: System) -> list[tuple[float, float]]:
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


def turned_boxes(airflow: float, passages: list[tuple[float, float]], boards: Boards, units: System) -> Iterator[Boxes]:
    """Boxes with one turn or more."""
    outside, counts = (grid.ravel() for grid in np.meshgrid(_lengths(units), np.arange(2.0, _MOST_PASSES + 1)))
    for width, height in passages:
        parts = pressure_parts(airflow, width, height)
        for lining in (thickness * _UNIT[units] for thickness in _LININGS[units]):
            length = outside - 2 * (lining + boards.shell)
            roomy = length >= _LEAST_LENGTH * width
            if not roomy.any():
                continue
            length, passes = length[roomy], counts[roomy]
            same = np.ones_like(length)
            wall = boards.baffle + 2 * lining
            foot, turn = lined_loss_of_a_foot(width, height, lining), elbow_loss(width, lining)
            yield Boxes(
                passes,
                width * same,
                height * same,
                lining * same,
                passes * length + (passes - 1) * wall,
                parts.collars + passes * length * parts.metre + (passes - 1) * parts.turn,
                turned_loss(foot, turn, length, width * same, passes),
                length,
                passes * width + (passes - 1) * wall,
                height * same,
            )


def open_boxes(
    airflow: float, passages: list[tuple[float, float]], boards: Boards, most: Space, units: System
) -> Iterator[Boxes]:
    """Boxes without baffles within the space, their openings at opposite corners."""
    sides = standard_sizes("rectangular", units)
    for opening_width, opening_height in passages:
        collars = pressure_parts(airflow, opening_width, opening_height).collars
        for lining in (thickness * _UNIT[units] for thickness in _LININGS[units]):
            lengths = _lengths(units) - 2 * (lining + boards.shell)
            wide, tall = sides[sides >= opening_width * (1 - 1e-9)], sides[sides >= opening_height * (1 - 1e-9)]
            length, width, height = (grid.ravel() for grid in np.meshgrid(lengths[lengths > 0], wide, tall))
            roomy = width * height >= _LEAST_OPENNESS * opening_width * opening_height
            roomy &= np.maximum(width, height) <= length
            if not roomy.any():
                continue
            for size, limit in zip((length, width, height), most, strict=True):
                roomy &= size + 2 * (lining + boards.shell) <= size_limit(limit)
            length, width, height = length[roomy], width[roomy], height[roomy]
            same = np.ones_like(length)
            area = opening_width * opening_height * same
            offset = np.hypot(width - opening_width, height - opening_height)
            sizes = (length, width, height)
            yield Boxes(
                0 * same,
                opening_width * same,
                opening_height * same,
                lining * same,
                np.hypot(length, offset),
                collars * same,
                safer_loss(sizes, area, area, offset, lining_absorption(lining)),
                *sizes,
            )


def size_limit(most: float | None) -> float:
    """Greatest size allowed [m], rounding apart."""
    return math.inf if most is None or math.isnan(most) else most * (1 + 1e-9)
