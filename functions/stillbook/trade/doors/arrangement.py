"""A pair of doors or a single heavy one: what the room takes, and what each keeps out."""

from __future__ import annotations

from typing import Annotated, Final

import numpy as np

from stillbook.formula import formula
from stillbook.quantities import LENGTH, ROOM_LENGTH, SHARE, SURFACE_MASS, System
from stillbook.readers import Few, Quantity, show
from stillbook.results import SideBySide
from stillbook.trade.doors.limits import DoorSize
from stillbook.trade.isolation.composites import sound_lock_loss
from stillbook.trade.isolation.leaks import door_loss
from stillbook.trade.isolation.ratings import stc_rating
from stillbook.trade.mass.leaves import Layer, Leaf
from stillbook.trade.physics.constants import INCH
from stillbook.trade.physics.sound import Spectrum

SEALED_SHARE: Final = 0.98
"""Share of a door's gap that good seals close: common practice, no source."""

SLAB: Final = "Solid-core door slab 1-3/4 in"
SLAB_THICKNESS: Final = 1.75 * INCH
DOOR_HEIGHT: Final = 80 * INCH
REVEAL_ABSORPTION: Final = 0.5
MOST_PAIR_GAIN: Final = 15.0
"""A usual door's height, the absorption of a lined reveal, and the most a pair gains over its better door [dB]."""


INWARD_CAUTION: Final = "a person lying behind an inward door blocks rescue: let it come off from outside"

# Common practice, no source.
STANDING_ROOM: Final = 24 * INCH
FRAME_ROOM: Final = 4 * INCH
HARDWARE_ROOM: Final = 3 * INCH

# HUD Fair Housing Accessibility Guidelines, requirement 3: a 34 in leaf clears a nominal 32 in, which is the least that
# IBC and ADA allow; IBC: no wider than 48 in.
EGRESS_LEAF: Final = 34 * INCH
WIDEST_EGRESS_LEAF: Final = 48 * INCH


@formula(
    "DOORARRANGEMENT",
    family="Doors",
    summary="Whether a room takes a pair of doors or a single heavy one, and beside it why",
    example=(
        "STILL_DOORARRANGEMENT(6,4,34,5)",
        (
            "pair",
            "the inner door swings into the room and leaves 38 in to stand clear; the cavity holds the handles; "
            "a person lying behind an inward door blocks rescue: let it come off from outside",
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

    A person who lies behind a door that opens inward blocks rescue: hinge it so that it comes off or swings outward
    from outside, or take the single door. Which it must be is for the local code.

    A way out has its own rules: at least 32 in (813 mm) clear with the door open 90 degrees and a leaf of at most 48 in
    (1219 mm) are usual in the United States, and which way it may swing is for the local code.

    A pair where max(L, W) ≥ d + 24 in, min(L, W) ≥ d + 4 in and the cavity is 3 in or more; L and W are the sides of
    the room, d the width of the door.

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
        f"the cavity holds the handles; {INWARD_CAUTION}"
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

    Door leaves are taken as slabs of 1-3/4 in (44 mm) of their mass, 80 in (2032 mm) high, with the usual gap. Between
    a pair the reveal is lined, with an absorption coefficient of 0.5; a pair gains no more than 15 dB over the better
    of its doors. Predictions as those of STILL_DOORTL and STILL_SOUNDLOCKTL, with their uncertainty.

    Args:
        side_masses: Mass per area of one side of the wall, or of both [kg/m²].
        width: Width of the door [m].
        cavity: Depth between the two sides [m].
        share_sealed: Share of the gap that seals close.
    """
    first, second = side_masses[0], side_masses[-1]

    def loss(surface_mass: float) -> Spectrum:
        leaf = Leaf((Layer(SLAB, surface_mass, SLAB_THICKNESS),))
        return door_loss(leaf, width, DOOR_HEIGHT, share_sealed=share_sealed)

    one, other = loss(first), loss(second)
    lined = 2 * (width + DOOR_HEIGHT) * cavity * REVEAL_ABSORPTION
    apart = sound_lock_loss(one, other, width * DOOR_HEIGHT, lined)
    pair = np.minimum(apart, np.maximum(one, other) + MOST_PAIR_GAIN)
    return stc_rating(pair), stc_rating(loss(first + second))
