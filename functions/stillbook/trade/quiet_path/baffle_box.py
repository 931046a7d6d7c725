"""The choice of a baffle box: those that keep the velocity, reach the loss and fit the space, and their shell."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, Final

import numpy as np

from stillbook.cells import OutOfRange
from stillbook.formula import formula
from stillbook.quantities import AIR_SPEED, AREA, COUNT, LENGTH, LEVEL, MASS, PRESSURE, ROOM_LENGTH, System
from stillbook.readers import Quantity, Vector
from stillbook.results import UnderHeadings
from stillbook.trade.ducts.sizes import OneAirflow
from stillbook.trade.isolation.single_leaf import panel_loss
from stillbook.trade.isolation.solids import panel_of
from stillbook.trade.mass.build_ups import buildup_thickness
from stillbook.trade.mass.leaves import Layer, Leaf, LeafReader
from stillbook.trade.mass.materials import material_key, materials
from stillbook.trade.physics.octave_rows import ANY_LEVEL
from stillbook.trade.physics.sound import BAND_VALUE, OCTAVE_BANDS, OCTAVES, Spectrum
from stillbook.trade.quiet_path.box_shapes import (
    Boards,
    Boxes,
    Space,
    open_boxes,
    passages_for,
    size_limit,
    turned_boxes,
)
from stillbook.trade.quiet_path.duct_sound import FREQUENCIES
from stillbook.trade.quiet_path.labyrinth import Array

MOST_ROWS: Final = 12

_JUDGED: Final = slice(1, 7)
"""The octaves from 125 to 4000 Hz, in which a shell is held beside the wall."""

_SHELL: Final[dict[System, str]] = {"US": "MDF 3/4 in", "SI": "MDF 18 mm"}
_BAFFLE: Final[dict[System, str]] = {"US": "MDF 1/2 in", "SI": "MDF 12 mm"}
_LINING_MATERIAL: Final = "Glass fibre 3 pcf"


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
    airflow: OneAirflow,
    most_velocity: Annotated[float, Quantity(AIR_SPEED, above=0, most=20)],
    insertion_loss: Annotated[Spectrum, Vector(ANY_LEVEL, lengths=(1, len(OCTAVES)))],
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

    Listed are boxes with Q / (w h) no more than the velocity, each octave no less than the loss, and outside sizes no
    more than the space; Q is the airflow, w and h the passage.

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
    passages = passages_for(airflow, most_velocity, units)
    if not passages:
        raise OutOfRange("no standard passage is large enough: divide the airflow, or allow a higher velocity")
    most = most_length, most_width, most_height
    groups = [*open_boxes(airflow, passages, boards, most, units), *turned_boxes(airflow, passages, boards, units)]
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


def _boards(leaf: Leaf, units: System) -> Boards:
    baffle = _sheet(_BAFFLE[units])
    assert baffle.thickness is not None
    return Boards(
        buildup_thickness(leaf),
        leaf.surface_mass,
        baffle.thickness,
        baffle.surface_mass,
        materials()[material_key(_LINING_MATERIAL)].density,
    )


def _that_fit(groups: Sequence[Boxes], boards: Boards, most: Space) -> Boxes:
    """The boxes within the space."""
    if not groups:
        raise OutOfRange("no box of standard lengths can hold this passage: divide the airflow or allow more velocity")
    boxes = Boxes.together(groups)
    fits = np.ones(len(boxes.passes), dtype=bool)
    for size, limit in zip(boxes.outside(boards), most, strict=True):
        fits &= size <= size_limit(limit)
    if not fits.any():
        raise OutOfRange(
            "no box with this passage fits the space: allow more space or more velocity, or divide the air"
        )
    return boxes.kept(fits)


def _that_suffice(boxes: Boxes, wanted: Spectrum) -> Boxes:
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
    boxes: Boxes, boards: Boards, airflow: float, beside: tuple[float | None, str]
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
