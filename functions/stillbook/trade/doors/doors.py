"""Doors: what each must weigh to match its wall, what to add to a slab, what it leaks, and what it hangs on."""

from __future__ import annotations

import math
import re
from collections import defaultdict
from typing import Annotated, Final

import numpy as np

from stillbook.cells import Missing, OutOfRange
from stillbook.formula import formula
from stillbook.quantities import (
    ANGLE,
    AREA,
    COUNT,
    FORCE,
    LENGTH,
    MASS,
    ROOM_LENGTH,
    SHARE,
    SMALL_AREA,
    SURFACE_MASS,
    System,
)
from stillbook.readers import Choice, Few, Floats, Quantity, show
from stillbook.results import Number, SideBySide, UnderHeadings
from stillbook.trade.isolation.composites import sound_lock_loss
from stillbook.trade.isolation.leaks import door_loss
from stillbook.trade.isolation.ratings import stc_rating
from stillbook.trade.mass.build_ups import Layer, Leaf, LeafReader, SheetsReader, material_key, materials, sheets_of
from stillbook.trade.physics.constants import FOOT, INCH, POUND
from stillbook.trade.physics.sound import Spectrum

SEALED_SHARE: Final = 0.98
"""Share of a door's gap that good seals close: common practice, no source."""

DOOR_HEIGHT: Final = 80 * INCH
REVEAL_ABSORPTION: Final = 0.5
MOST_PAIR_GAIN: Final = 15.0
"""A usual door's height, the absorption of a lined reveal, and the most a pair gains over its better door [dB]."""

_SIZE: Final = Quantity(LENGTH, least=10 * INCH, most=20 * FOOT)
_MASS: Final = Quantity(MASS, above=0, most=5000)

DoorSize = Annotated[float, _SIZE]
DoorSizes = Annotated[Floats, _SIZE]
DoorMass = Annotated[float, _MASS]
DoorMasses = Annotated[Floats, _MASS]

STANDARD_GRAVITY: Final = 9.80665

SHEET_GROUPS: Final = ("Gypsum board", "Wood panel", "Limp sheet", "Lead", "Metal sheet")
"""Groups of the material table that a door is made heavier with."""

MOST_LAYERS: Final = 4
"""Layers of one sheet material that a door make-up offers; common practice, no source."""

LEAD_CAUTION: Final = "Lead: local rules, gloves, no sanding"

# Common practice, no source: the top hinge 7 in below the head and the bottom hinge 11 in above the floor, to the edges
# of 4-1/2 in hinges. The other usual setting, 5 in and 10 in, puts them farther apart and pulls less.
HINGE_SETTING: Final = (7 + 11 + 4.5) * INCH

# Common practice, no source: hinge makers advise heavier hinges above about 200 lb.
HINGE_MASS: Final = 200 * POUND

# Common practice, no source.
STANDING_ROOM: Final = 24 * INCH
FRAME_ROOM: Final = 4 * INCH
HARDWARE_ROOM: Final = 3 * INCH

# HUD Fair Housing Accessibility Guidelines, requirement 3: a 34 in leaf clears a nominal 32 in, which is the least that
# IBC and ADA allow; IBC: no wider than 48 in.
EGRESS_LEAF: Final = 34 * INCH
WIDEST_EGRESS_LEAF: Final = 48 * INCH


# --- what a door must weigh -------------------------------------------------------------------------------------------


@formula(
    "DOORTARGETMASS",
    family="Doors",
    summary="What a door must weigh to match the wall it stands in: each door of a pair, or one door alone",
    example=('STILL_DOORTARGETMASS(4.4,36,80,"pair")', 88.0),
    source="Mass per area of the wall side times door area; common practice, no source",
    vectorised=False,
)
def door_target_mass(
    side_masses: Annotated[tuple[float, ...], Few(Quantity(SURFACE_MASS, above=0, most=3000), 2)],
    width: DoorSize,
    height: DoorSize,
    arrangement: Annotated[str, Choice("pair", "single")] = "pair",
    margin: Annotated[float, Quantity(SHARE, least=0, most=1)] = 0.0,
) -> Annotated[tuple[float, ...], SideBySide(("Door", MASS), ("Door on the second side", MASS))]:
    """Give the least mass of a door that is no lighter than its wall [kg].

    A pair: each door matches its own side of the wall, so one number, or two alike, give one mass, and two unlike give
    two side by side. A single door carries the sum of both sides.

    In a schedule of several doors each row is a door. One column of side masses is one number a door; two columns are
    its two sides. A row or column of just two side masses, beside single sizes, is the two sides of one wall. Each row
    of the answer holds what that row alone would give; where others have two, the second cell of one stays empty.

    A heavy door needs hinges, a frame, a structure and a crew to suit; where it is a way out, its opening force and
    clear width are for the local code.

    Args:
        side_masses: Mass per area of one side of the wall, or a range of two where the sides differ [kg/m²].
        width: Width of the door [m].
        height: Height of the door [m].
        arrangement: A pair of doors, one in each side of the wall, or a single door for both.
        margin: Share added to the mass, such as 10%.
    """
    first, second = side_masses if len(side_masses) > 1 else side_masses * 2
    area_and_margin = width * height * (1 + margin)
    if arrangement == "single":
        return ((first + second) * area_and_margin,)
    if math.isclose(first, second, rel_tol=1e-9):
        return (first * area_and_margin,)
    return first * area_and_margin, second * area_and_margin


@formula(
    "DOORMASS",
    family="Doors",
    summary="Mass of a door: its slab and what is added over its whole face",
    example=('STILL_DOORMASS(60,"Lead sheet 1/32 in",36,80)', 96.87151421528541),
    source="Slab mass plus mass per area of the add-on times door area",
)
def door_mass(
    slab_mass: DoorMasses,
    add_on_leaf: Annotated[Leaf, LeafReader(optional=True)] | None,
    width: DoorSizes,
    height: DoorSizes,
) -> Annotated[Floats, Number(MASS)]:
    """Give the mass of a door with its add-on layers [kg].

    Weigh the slab or ask its maker: a solid-core slab of 36 × 80 in weighs from 60 lb to 100 lb or more.

    Args:
        slab_mass: Mass of the bare slab [kg].
        add_on_leaf: Build-up added over the whole face; nothing is added where it is blank.
        width: Width of the door [m].
        height: Height of the door [m].

    Raises:
        FormulaError: If the build-up cannot be read, see STILL_SURFACEMASS.
    """
    return slab_mass + (add_on_leaf.surface_mass if add_on_leaf else 0.0) * width * height


@formula(
    "ADDEDMASS",
    family="Doors",
    summary="What to add to a door slab to reach its target, and over its size what that is per area",
    example=("STILL_ADDEDMASS(88,60)", 28.0),
    source="Target less slab mass",
    vectorised=False,
)
def added_mass(
    target: DoorMass,
    slab_mass: DoorMass,
    width: DoorSize | None = None,
    height: DoorSize | None = None,
) -> Annotated[tuple[float, ...], SideBySide(("Mass to add", MASS), ("Mass per area to add", SURFACE_MASS))]:
    """Give the mass a slab falls short of its target [kg], never less than 0.

    With a width and a height a second cell beside it gives the same as mass per area of the door [kg/m²], to set
    against sheet materials; the first stays a mass.

    Args:
        target: What the door must weigh [kg].
        slab_mass: Mass of the bare slab [kg].
        width: Width of the door, for the mass per area [m].
        height: Height of the door, for the mass per area [m].

    Raises:
        Missing: If only one of width and height is given.
    """
    shortfall = max(0.0, target - slab_mass)
    sizes = [size for size in (width, height) if size is not None and not math.isnan(size)]
    if len(sizes) == 1:
        raise Missing("width and height go together: give both for the mass per area, or neither")
    return (shortfall, shortfall / math.prod(sizes)) if sizes else (shortfall,)


@formula(
    "DOORMAKEUP",
    family="Doors",
    summary="Sheet materials that make up a door's shortfall, thinnest first: layers, added thickness and mass",
    example=(
        "STILL_DOORMAKEUP(28,36,80,0.1)",
        (
            "Sheet",
            "Layers",
            "Added thickness (in)",
            "Added mass (lb)",
            "Above the shortfall (lb)",
            "Caution",
        ),
    ),
    source="Whole layers over the door face; masses from the source beside each material in STILL_MATERIALS",
    vectorised=False,
)
def door_makeup(
    shortfall: Annotated[float, Quantity(MASS, least=0, most=5000)],
    width: DoorSize,
    height: DoorSize,
    most_thickness: Annotated[float | None, Quantity(LENGTH, above=0, most=1)] = None,
    materials: Annotated[tuple[Layer, ...] | None, SheetsReader()] = None,
    *,
    units: System = "US",
) -> Annotated[
    list[tuple[str, int, float, float, float, str]],
    UnderHeadings(
        ("Sheet", None),
        ("Layers", COUNT),
        ("Added thickness", LENGTH),
        ("Added mass", MASS),
        ("Above the shortfall", MASS),
        ("Caution", None),
    ),
]:
    """List the sheets that make up a shortfall in whole layers over the whole door face, thinnest first.

    The layers may lie on one face or be shared between both. Of one product in several thicknesses only those are
    listed that no other beats in both thickness and number of layers; sheets asked for, by name or group, are all
    listed. No more than four layers are offered.

    Args:
        shortfall: What the door must gain [kg].
        width: Width of the door [m].
        height: Height of the door [m].
        most_thickness: The most thickness that may be added; any when left out [m].
        materials: Rows of sheet material and, where it is not the usual one, thickness; or names of groups. Gypsum
            board, wood panel, limp sheet, lead and metal sheet when left out.

    Raises:
        OutOfRange: If no sheet makes up the shortfall within the thickness and four layers.
    """
    if shortfall == 0:
        return [("No sheet needed", 0, 0.0, 0.0, 0.0, "")]
    candidates = materials or tuple(sheet for group in SHEET_GROUPS for sheet in sheets_of(group))
    area = width * height
    options = [(sheet, math.ceil(round(shortfall / (sheet.surface_mass * area), 9))) for sheet in candidates]
    options = [(sheet, layers) for sheet, layers in options if layers <= MOST_LAYERS]
    thinnest = min((_added(option) for option in options), default=math.inf)
    if most_thickness is not None:
        options = [option for option in options if _added(option) <= most_thickness * (1 + 1e-9)]
    if not options:
        raise OutOfRange(
            f"no sheet adds {show(shortfall, MASS, units)} in {MOST_LAYERS} layers: name heavier sheets, or start "
            "from a heavier slab"
            if math.isinf(thinnest)
            else f"the thinnest make-up of {show(shortfall, MASS, units)} adds {show(thinnest, LENGTH, units)}: "
            "allow that thickness, name denser sheets, or start from a heavier slab"
        )
    if materials is None:
        options = _unbeaten(options)
    rows = [
        (
            _sheet_name(sheet, units),
            layers,
            _added((sheet, layers)),
            sheet.surface_mass * area * layers,
            max(0.0, sheet.surface_mass * area * layers - shortfall),
            LEAD_CAUTION if _is_lead(sheet) else "",
        )
        for sheet, layers in options
    ]
    return sorted(rows, key=lambda row: (round(row[2], 9), row[1], row[3]))


def _added(option: tuple[Layer, int]) -> float:
    """Thickness of a sheet in so many layers [m]."""
    sheet, layers = option
    return (sheet.thickness or 0.0) * layers


def _unbeaten(options: list[tuple[Layer, int]]) -> list[tuple[Layer, int]]:
    """Of each product, the thicknesses that no other of its thicknesses beats in layers, thickness and mass."""
    products: dict[str, list[tuple[Layer, int]]] = defaultdict(list)
    for option in options:
        products[re.split(r"\s*\d", option[0].name)[0]].append(option)
    kept = []
    for same in products.values():
        best: list[tuple[Layer, int]] = []
        for option in sorted(same, key=lambda option: (_added(option), option[1], option[0].surface_mass)):
            if not best or option[1] < best[-1][1]:
                best.append(option)
        kept += best
    return kept


def _sheet_name(sheet: Layer, units: System) -> str:
    """What to call a sheet: its name, with the thickness where the name is of a plain substance or a bare mass."""
    known = materials().get(material_key(sheet.name))
    if known is not None and known.thickness is not None:
        return sheet.name
    name = sheet.name or f"Sheet of {show(sheet.surface_mass, SURFACE_MASS, units)}"
    return f"{name}, {show(sheet.thickness or 0.0, LENGTH, units)}"


def _is_lead(sheet: Layer) -> bool:
    known = materials().get(material_key(sheet.name))
    return known is not None and known.group == "Lead"


# --- what a door leaks, hangs on and sweeps ---------------------------------------------------------------------------


@formula(
    "DOORLEAK",
    family="Doors",
    summary="Open area of the gap around a door, less the share that seals close",
    example=("STILL_DOORLEAK(36,80,0.125,90%)", 2.9),
    source="Perimeter times gap",
)
def door_leak(
    width: DoorSizes,
    height: DoorSizes,
    gap: Annotated[Floats, Quantity(LENGTH, above=0, most=3 * INCH)],
    share_sealed: Annotated[Floats, Quantity(SHARE, least=0, most=1)] = 0.0,
) -> Annotated[Floats, Number(SMALL_AREA)]:
    """Give the open area of the gap along head, jambs and threshold [m²].

    Args:
        width: Width of the door [m].
        height: Height of the door [m].
        gap: Width of the gap, the same all round [m].
        share_sealed: Share of the gap that seals close: 0 without seals, 1 where they close it all.
    """
    return 2 * (width + height) * gap * (1 - share_sealed)


@formula(
    "HINGES",
    family="Doors",
    summary="Number of hinges for a door by its height and mass",
    example=("STILL_HINGES(88,80)", 3.0),
    source="NFPA 80, 6.4, by height; one more for each 200 lb or part above 200 lb is common practice, no source",
)
def hinges(mass: DoorMasses, height: DoorSizes) -> Annotated[Floats, Number(COUNT)]:
    """Give the number of hinges: two up to 60 in of height and one more for each 30 in or part above that.

    A door heavier than 200 lb (91 kg) takes one more than its height asks for, and another for each further 200 lb or
    part. No standard sets a number by mass: choose hinges whose maker rates them for the mass and width of the door,
    heavy bearing hinges above about 200 lb, and a frame and wall that carry them.

    Args:
        mass: Mass of the finished door [kg].
        height: Height of the door [m].
    """
    by_height = 2 + np.maximum(0, _steps(height - 60 * INCH, 30 * INCH))
    number: Floats = by_height + np.maximum(0, _steps(mass - HINGE_MASS, HINGE_MASS))
    return number


def _steps(excess: Floats, step: float) -> Floats:
    """Whole steps that cover an excess; rounded first, so that 90 in is not one step more than it is on paper."""
    steps: Floats = np.ceil(np.round(excess / step, 9))
    return steps


@formula(
    "HINGELOAD",
    family="Doors",
    summary="Horizontal pull of a door on its top hinge, and beside it the vertical share of each hinge",
    example=("STILL_HINGELOAD(88,36,80,3)", (27.547826086956523, 29.333333333333332)),
    source="Statics of a uniform plate on two hinges; hinge positions are common practice, no source",
    vectorised=False,
)
def hinge_load(
    mass: DoorMass,
    width: DoorSize,
    height: DoorSize,
    hinges: Annotated[float, Quantity(COUNT, least=2, most=12, whole=True)],
    *,
    units: System = "US",
) -> Annotated[
    tuple[float, ...], SideBySide(("Pull on the top hinge", FORCE), ("Vertical share of each hinge", FORCE))
]:
    """Give the horizontal pull on the top hinge and the vertical share of each hinge [N].

    The door is a uniform plate that hangs at rest. Its weight half a width from the pins is held by a couple: the top
    hinge is pulled from the frame and the bottom hinge pushed into it, equally. Hinges between them are taken to hold
    none of it. They are taken to be set 7 in (178 mm) below the head and 11 in (279 mm) above the floor, 4-1/2 in
    (114 mm) high. The weight is shared equally, which holds only if all hinges are shimmed alike: size each for more.

    Slamming, a closer and a child on the handle add to both. The frame, its anchors and the wall behind them take the
    same forces: ask a structural engineer where in doubt.

    Args:
        mass: Mass of the finished door [kg].
        width: Width of the door [m].
        height: Height of the door [m].
        hinges: Number of hinges.

    Raises:
        OutOfRange: If the door is too low for hinges in these positions.
    """
    apart = height - HINGE_SETTING
    if apart < 4.5 * INCH:
        raise OutOfRange(
            f"height is {show(height, LENGTH, units)}: hinges 7 in below the head and 11 in above the floor need "
            f"at least {show(HINGE_SETTING + 4.5 * INCH, LENGTH, units)}"
        )
    weight = mass * STANDARD_GRAVITY
    return top_hinge_pull(weight, width, apart), weight / hinges


def top_hinge_pull(weight: float, width: float, apart: float) -> float:
    """Horizontal force [N] at the top hinge of a uniform door of this weight [N], hinges so far apart [m].

    Halliday, Resnick and Walker, Fundamentals of Physics, ch. 12, a door of 27 kg and 0.91 m on hinges 1.5 m apart:

    >>> round(top_hinge_pull(27 * 9.8, 0.91, 1.5))
    80
    """
    return weight * width / 2 / apart


@formula(
    "SWINGAREA",
    family="Doors",
    summary="Floor that a door sweeps as it opens",
    example=("STILL_SWINGAREA(36)", 7.0685834705770345),
    source="Area of a circle's sector",
)
def swing_area(
    width: DoorSizes, angle: Annotated[Floats, Quantity(ANGLE, above=0, most=180)] = 90.0
) -> Annotated[Floats, Number(AREA)]:
    """Give the floor area a door sweeps [m²], a sector with the door's width as radius.

    Args:
        width: Width of the door [m].
        angle: How far it opens.
    """
    return np.pi * width**2 * angle / 360


@formula(
    "DOORARRANGEMENT",
    family="Doors",
    summary="Whether a room takes a pair of doors or a single heavy one, and beside it why",
    example=(
        "STILL_DOORARRANGEMENT(6,4,34,5)",
        (
            "pair",
            "the inner door swings into the room and leaves 38 in to stand clear; the cavity holds the handles",
        ),
    ),
    source="Common practice, no source; clear width from IBC 1010.1.1 and ADA 404.2.3",
    vectorised=False,
)
def door_arrangement(
    room_length: Annotated[float, Quantity(ROOM_LENGTH, above=0, most=300)],
    room_width: Annotated[float, Quantity(ROOM_LENGTH, above=0, most=300)],
    door_width: DoorSize,
    cavity: Annotated[float, Quantity(LENGTH, above=0, most=3)],
    side_masses: Annotated[tuple[float, ...], Few(Quantity(SURFACE_MASS, above=0, most=3000), 2)] | None = None,
    share_sealed: Annotated[float, Quantity(SHARE, least=0, most=1)] = SEALED_SHARE,
    *,
    units: System = "US",
) -> Annotated[tuple[str, str], SideBySide(("Arrangement", None), ("Why", None))]:
    """Give "pair" or "single", and beside it why: the space decides, and the isolation of both is told.

    A pair is one door in each side of the wall: the outer opens outward, the inner into the room. It needs a room as
    deep as the door is wide plus 24 in (610 mm) to stand clear of the swing, a wall as long as the door plus 4 in
    (102 mm) of frame, the door standing in whichever wall suits, and 3 in (76 mm) between the doors for handles and
    stops. Where one is lacking, a single door that weighs as much as both opens outward. These are common practice:
    check against the furniture and the actual handles.

    A way out has its own rules: at least 32 in (813 mm) clear with the door open 90 degrees and a leaf of at most 48 in
    (1219 mm) are usual in the United States, and which way it may swing is for the local code.

    Args:
        room_length: Inside length of the room [m].
        room_width: Inside width of the room [m].
        door_width: Width of the door [m].
        cavity: Clear depth between the two sides of the wall [m].
        side_masses: Mass per area of one side of the wall, or of both where they differ, to tell the predicted STC of
            a pair and of a single door that match them; not told when left out [kg/m²].
        share_sealed: Share of the gap around a door that seals close, such as 98%.
    """
    deep, across = max(room_length, room_width), min(room_length, room_width)
    lacking = []
    if deep < door_width + STANDING_ROOM - 1e-9 or across < door_width + FRAME_ROOM - 1e-9:
        lacking.append(
            f"a door of {show(door_width, LENGTH, units)} that opens inward needs a room of "
            f"{show(door_width + STANDING_ROOM, LENGTH, units)} by {show(door_width + FRAME_ROOM, LENGTH, units)}, "
            f"this one is {show(deep, LENGTH, units)} by {show(across, LENGTH, units)}"
        )
    if cavity < HARDWARE_ROOM - 1e-9:
        lacking.append(
            f"handles and stops need {show(HARDWARE_ROOM, LENGTH, units)} between two doors, "
            f"the cavity is {show(cavity, LENGTH, units)}"
        )
    why = (
        "; ".join(lacking)
        if lacking
        else f"the inner door swings into the room and leaves {show(deep - door_width, LENGTH, units)} to stand clear; "
        "the cavity holds the handles"
    )
    if door_width < EGRESS_LEAF - 1e-9:
        why += f"; a leaf under {show(EGRESS_LEAF, LENGTH, units)} is narrow for a way out: check the local code"
    elif door_width > WIDEST_EGRESS_LEAF + 1e-9:
        why += f"; a leaf over {show(WIDEST_EGRESS_LEAF, LENGTH, units)} is wide for a way out: check the local code"
    if side_masses is not None:
        pair, single = door_ratings(side_masses, door_width, cavity, share_sealed)
        why += f"; predicted for the doors, a pair STC {pair:.0f}, a single one STC {single:.0f}"
        if lacking and pair > single:
            why += ": seal the single door well, it is the weak point"
    return ("single" if lacking else "pair"), why


def door_ratings(
    side_masses: tuple[float, ...], width: float, cavity: float, share_sealed: float
) -> tuple[float, float]:
    """Give the predicted STC of a pair of doors and of one heavy door that match the sides of a wall.

    Door leaves are taken as limp, 80 in (2032 mm) high, with the usual gap. Between a pair the reveal is lined, with an
    absorption coefficient of 0.5; a pair gains no more than 15 dB over the better of its doors. Predictions as those of
    STILL_DOORTL and STILL_SOUNDLOCKTL, with their uncertainty.

    Args:
        side_masses: Mass per area of one side of the wall, or of both [kg/m²].
        width: Width of the door [m].
        cavity: Depth between the two sides [m].
        share_sealed: Share of the gap that seals close.
    """
    first, second = side_masses[0], side_masses[-1]

    def loss(surface_mass: float) -> Spectrum:
        leaf = Leaf((Layer("", surface_mass, None),))
        return door_loss(leaf, width, DOOR_HEIGHT, share_sealed=share_sealed)

    one, other = loss(first), loss(second)
    lined = 2 * (width + DOOR_HEIGHT) * cavity * REVEAL_ABSORPTION
    apart = sound_lock_loss(one, other, width * DOOR_HEIGHT, lined)
    pair = np.minimum(apart, np.maximum(one, other) + MOST_PAIR_GAIN)
    return stc_rating(pair), stc_rating(loss(first + second))
