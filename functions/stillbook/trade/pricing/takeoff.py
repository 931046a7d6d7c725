"""Taking off: surfaces, whole sheets, screws, studs, packs and hours for a room in a room.

Whole pieces are rounded up, but a count that differs from a whole number only by the last digits of binary
arithmetic is that number: 1600 / 32 * 1.1 is 55 sheets, though a computer makes it 55.00000000000001.
"""

from __future__ import annotations

from typing import Annotated

import numpy as np

from stillbook.formula import formula
from stillbook.quantities import AREA, COUNT, HOURS, LENGTH, NUMBER, ROOM_LENGTH, SHARE
from stillbook.readers import Choice, Floats, Quantity
from stillbook.results import Number
from stillbook.trade.physics.constants import INCH

_ALIKE = 1e-9
"""Two counts or sizes that differ by no more than this share are the same."""

_CORNER_STUDS = 2
"""Extra studs at a corner or where two walls join: both textbooks that STUDS names."""

RoomLength = Annotated[Floats, Quantity(ROOM_LENGTH, above=0, most=300)]
SheetSide = Annotated[Floats, Quantity(ROOM_LENGTH, above=0, most=6)]
Layers = Annotated[Floats, Quantity(COUNT, least=0, most=50, whole=True)]
Waste = Annotated[Floats, Quantity(SHARE, least=0, below=1)]
Pieces = Annotated[Floats, Quantity(COUNT, least=0, most=10_000_000, whole=True)]


def whole_up(count: Floats) -> Floats:
    """Give the next whole number up; a count one part in 10⁹ over a whole number is that number.

    >>> float(whole_up(1600 / 32 * 1.1)), float(whole_up(10.45))
    (55.0, 11.0)
    """
    return np.ceil(np.multiply(count, 1 - _ALIKE))


def whole_down(count: Floats) -> Floats:
    """Give the next whole number down; a count one part in 10⁹ short of a whole number is that number.

    >>> float(whole_down(0.3 / 0.1)), float(whole_down(2.9))
    (3.0, 2.0)
    """
    return np.floor(np.multiply(count, 1 + _ALIKE))


@formula(
    "WALLAREA",
    family="Taking off and pricing",
    summary="Area of the four walls of a room, less its openings",
    example=("STILL_WALLAREA(6,4,7)", 140.0),
    source="common practice, no source",
    no_answer="the openings are larger than the walls: check the sizes",
)
def wall_area(
    length: RoomLength,
    width: RoomLength,
    height: RoomLength,
    openings: Annotated[Floats, Quantity(AREA, least=0, most=100_000)] = 0.0,
) -> Annotated[Floats, Number(AREA)]:
    """Give the area of the four walls of a rectangular room [m²].

    A = 2 (L + W) H - O, with length L, width W, height H and the openings O.

    Each leaf of a room in a room has its own length and width: take off each from the size of its own face.

    Args:
        length: Length of the room at the face taken off [m].
        width: Width of the room at that face [m].
        height: Height of that face [m].
        openings: Area of the doors, windows and air openings to leave out [m²].

    Returns:
        The area; NaN if the openings are larger than the walls.
    """
    area = 2 * (length + width) * height - openings
    return np.where(area >= -_ALIKE * np.asarray(openings), np.maximum(area, 0.0), np.nan)


@formula(
    "INSIDESIZE",
    family="Taking off and pricing",
    summary="Size left inside once the build-up on both sides is taken off",
    example=('STILL_INSIDESIZE(8,"9 in")', 6.5),
    source="common practice, no source",
    no_answer="the build-up takes the whole size: give a larger size or a thinner build-up",
)
def inside_size(
    outside: RoomLength,
    thickness: Annotated[Floats, Quantity(LENGTH, least=0, most=10)],
    other_thickness: Annotated[Floats, Quantity(LENGTH, least=0, most=10)] | None = None,
) -> Annotated[Floats, Number(ROOM_LENGTH)]:
    """Give the size left inside a given outside size [m]: a length, a width, or a height from floor to ceiling.

    inside = outside - t1 - t2, with the thickness t1 on one side and t2 on the other.

    Args:
        outside: Size from outside to outside [m].
        thickness: All that stands on one side: leaves, framing, cavities [m].
        other_thickness: The same on the other side; alike when left out [m].

    Returns:
        The inside size; NaN if nothing is left.
    """
    inside = outside - _both(thickness, other_thickness)
    return np.where(inside > _ALIKE * np.asarray(outside), inside, np.nan)


@formula(
    "OUTSIDESIZE",
    family="Taking off and pricing",
    summary="Size taken up outside by an inside size and the build-up on both sides",
    example=('STILL_OUTSIDESIZE(6.5,"9 in")', 8.0),
    source="common practice, no source",
)
def outside_size(
    inside: RoomLength,
    thickness: Annotated[Floats, Quantity(LENGTH, least=0, most=10)],
    other_thickness: Annotated[Floats, Quantity(LENGTH, least=0, most=10)] | None = None,
) -> Annotated[Floats, Number(ROOM_LENGTH)]:
    """Give the outside size of a given inside size [m]: a length, a width, or a height from floor to ceiling.

    outside = inside + t1 + t2, with the thickness t1 on one side and t2 on the other.

    Args:
        inside: Size from inside face to inside face [m].
        thickness: All that stands on one side: leaves, framing, cavities [m].
        other_thickness: The same on the other side; alike when left out [m].
    """
    return inside + _both(thickness, other_thickness)


def _both(thickness: Floats, other: Floats | None) -> Floats:
    """What both sides take together; a side left out is like the first."""
    if other is None:
        return 2 * thickness
    return thickness + np.where(np.isnan(other), thickness, other)


@formula(
    "SHEETS",
    family="Taking off and pricing",
    summary="Whole sheets for an area, with layers and waste",
    example=('STILL_SHEETS(1600,4,8,1,"10%")', 55.0),
    source="common practice, no source",
)
def sheets(
    area: Annotated[Floats, Quantity(AREA, above=0, most=1_000_000)],
    sheet_width: SheetSide,
    sheet_height: SheetSide,
    layers: Layers = 1.0,
    waste: Waste = 0.0,
) -> Annotated[Floats, Number(COUNT)]:
    """Give the number of whole sheets by area: area, times layers, plus waste, over the area of a sheet, rounded up.

    N = ⌈S n (1 + w) / (b h)⌉, with the area S, the layers n, the waste w, and the width b and length h of a sheet.

    Good for large surfaces. A small booth cuts most of its sheets, and its waste can be far over the usual 10 to 15
    percent: count such walls with STILL_SHEETLAYOUT. Openings smaller than a sheet are best not left out.

    Args:
        area: Area to cover, one layer of it [m²].
        sheet_width: Width of a sheet [m].
        sheet_height: Length of a sheet [m].
        layers: Layers of this sheet.
        waste: Share added for cutting, as 0.1 or 10%.
    """
    return whole_up(area * layers * (1 + waste) / (sheet_width * sheet_height))


@formula(
    "SHEETLAYOUT",
    family="Taking off and pricing",
    summary="Whole sheets for one wall or ceiling laid out in upright strips",
    example=("STILL_SHEETLAYOUT(6,7,4,8,2)", 4.0),
    source="common practice, no source",
)
def sheet_layout(
    length: RoomLength,
    height: RoomLength,
    sheet_width: SheetSide,
    sheet_height: SheetSide,
    layers: Layers = 1.0,
) -> Annotated[Floats, Number(COUNT)]:
    """Give the number of whole sheets that one surface takes when each strip of it is one sheet wide.

    N = n (k ⌊H / h⌋ + ⌈k / ⌊h / r⌋⌉) with k = ⌈L / b⌉ strips and the rest r = H - ⌊H / h⌋ h, the last term 0 without a
    rest, where n are the layers, L and H the wall's length and height, b and h a sheet's width and length.

    The last strip of a wall takes its full share though it is cut narrower. A wall higher than a sheet is made up with
    pieces cut from further sheets, as many from each as its length gives. For a ceiling, try both ways round.

    Args:
        length: Length of the wall, across the sheets [m].
        height: Height of the wall, along the sheets [m].
        sheet_width: Width of a sheet [m].
        sheet_height: Length of a sheet [m].
        layers: Layers of this sheet.
    """
    strips = whole_up(length / sheet_width)
    whole = whole_down(height / sheet_height)
    rest = height - whole * sheet_height
    # A rest of zero, give or take rounding, needs no pieces; the stand-in keeps the division finite.
    closed = rest <= _ALIKE * height
    pieces_each = whole_down(sheet_height / np.where(closed, sheet_height, rest))
    made_up = np.where(closed, 0.0, whole_up(strips / pieces_each))
    return (strips * whole + made_up) * layers


@formula(
    "SCREWS",
    family="Taking off and pricing",
    summary="Screws for an area of sheets, by the lines of framing behind each sheet",
    example=('STILL_SCREWS(32,1,16,"16 in",4,8)', 28.0),
    source="Gypsum Association GA-216, Application and Finishing of Gypsum Panel Products (largest spacings); "
    "the count is geometry",
)
def screws(
    area: Annotated[Floats, Quantity(AREA, above=0, most=1_000_000)],
    layers: Layers,
    spacing: Annotated[Floats, Quantity(LENGTH, least=INCH, most=48 * INCH)],
    framing_spacing: Annotated[Floats, Quantity(LENGTH, least=4 * INCH, most=48 * INCH)],
    sheet_width: SheetSide,
    sheet_height: SheetSide,
    hung: Annotated[str, Choice("vertical", "horizontal")] = "vertical",
    waste: Waste = 0.0,
    height: RoomLength | None = None,
) -> Annotated[Floats, Number(COUNT)]:
    """Give the number of screws, rounded up: of one surface piece by piece, or of an area by its full sheets.

    With the height of the surface, the pieces are those of STILL_SHEETLAYOUT: N = ⌈Σa (⌈a / f⌉ + 1) Σl (⌈l / s⌉ + 1)
    n (1 + w)⌉, where a are the widths of the pieces across the framing and l their lengths along it, f the framing's
    spacing, s the screws' spacing, n the layers and w the waste. A cut piece has a line at its edge like a whole one.
    Without the height, N = ⌈(⌈a / f⌉ + 1) (⌈l / s⌉ + 1) S n (1 + w) / (a l)⌉ for the area S and full sheets: good for
    large surfaces, and up to a fifth short for the walls of a small room.

    A sheet has a line of screws on each framing member it crosses or ends on, and each line one screw more than its
    spaces. Largest spacings for one layer on wood framing: 12 in on ceilings, 16 in on walls with framing at 16 in.
    A rated assembly follows its tested system instead. A second layer needs longer screws: take each layer off by
    itself where the screws differ.

    Args:
        area: Area of the sheets, one layer of it [m²].
        layers: Layers fixed with this screw.
        spacing: Spacing of the screws along a framing member [m].
        framing_spacing: Spacing of the framing members, centre to centre [m].
        sheet_width: Width of a sheet [m].
        sheet_height: Length of a sheet [m].
        hung: How the sheet's length lies: vertical, along the studs, or horizontal, across them.
        waste: Share added for losses, as 0.05 or 5%.
        height: Height of the one wall, or width of the one ceiling, whose area this is, along upright sheets [m].
    """
    along, across = (sheet_height, sheet_width) if hung == "vertical" else (sheet_width, sheet_height)
    lines = whole_up(across / framing_spacing) + 1
    on_each_line = whole_up(along / spacing) + 1
    by_area = lines * on_each_line * area / (sheet_width * sheet_height)
    if height is None:
        return whole_up(by_area * layers * (1 + waste))
    by_piece = _marks(area / height, across, framing_spacing) * _marks(height, along, spacing)
    count = np.where(np.isnan(height), by_area, by_piece)
    return whole_up(count * layers * (1 + waste))


def _marks(size: Floats, piece: Floats, spacing: Floats) -> Floats:
    """Marks at a spacing along pieces laid end to end over a size, with one at each end of every piece."""
    whole = whole_down(size / piece)
    rest = size - whole * piece
    of_rest = np.where(rest > _ALIKE * np.asarray(size), whole_up(rest / spacing) + 1, 0.0)
    return whole * (whole_up(piece / spacing) + 1) + of_rest


@formula(
    "SHEETPIECES",
    family="Taking off and pricing",
    summary="Whole sheets for pieces of one size cut from them, such as the faces of doors",
    example=('STILL_SHEETPIECES(6,"36 in","80 in",4,8)', 6.0),
    source="common practice, no source",
    no_answer="a piece is larger than a sheet either way round: give a larger sheet, or make it up of several",
)
def sheet_pieces(
    pieces: Annotated[Floats, Quantity(COUNT, least=0, most=100_000, whole=True)],
    piece_width: Annotated[Floats, Quantity(LENGTH, above=0, most=6)],
    piece_height: Annotated[Floats, Quantity(LENGTH, above=0, most=6)],
    sheet_width: SheetSide,
    sheet_height: SheetSide,
) -> Annotated[Floats, Number(COUNT)]:
    """Give the number of whole sheets that a number of pieces of one size take.

    N = ⌈p / max(⌊b / w⌋ ⌊h / l⌋, ⌊b / l⌋ ⌊h / w⌋)⌉, with p pieces of w by l, and the sheet's width b and length h: all
    pieces of a sheet lie one way round, whichever gives more of them. By area the sheets come out short: six door
    faces of 3 by 6 ft 8 in make 3.75 sheets of 4 by 8 ft, and take six.

    Args:
        pieces: Pieces to be cut.
        piece_width: Width of a piece [m].
        piece_height: Length of a piece [m].
        sheet_width: Width of a sheet [m].
        sheet_height: Length of a sheet [m].

    Returns:
        The sheets; NaN where no piece fits on a sheet.
    """
    upright = whole_down(sheet_width / piece_width) * whole_down(sheet_height / piece_height)
    turned = whole_down(sheet_width / piece_height) * whole_down(sheet_height / piece_width)
    each = np.maximum(upright, turned)
    return np.where(each > 0, whole_up(pieces / np.maximum(each, 1.0)), np.nan)


@formula(
    "STUDS",
    family="Taking off and pricing",
    summary="Studs for a length of wall, with those added at corners and openings",
    example=('STILL_STUDS(148,"16 in",4)', 120.0),
    source="Peterson and Dagostino, Estimating in Building Construction, sections 13-4 and 16-2; Modern Carpentry "
    "(Goodheart-Willcox, 2022), section 11.15.1",
)
def studs(
    length: RoomLength,
    spacing: Annotated[Floats, Quantity(LENGTH, least=4 * INCH, most=48 * INCH)],
    corners: Pieces = 0.0,
    openings: Pieces = 0.0,
    studs_each_opening: Pieces = 3.0,
    waste: Waste = 0.0,
) -> Annotated[Floats, Number(COUNT)]:
    """Give the number of studs: one a space and one to close the last, two more a corner, and those at openings.

    N = ⌈(⌈L / s⌉ + 1 + 2 c + e o) (1 + w)⌉, with the length L, the spacing s, c corners, o openings of e studs each,
    and the waste w.

    Walls that stand apart close their last space each: take them off one at a time. No stud is left out for an
    opening; those cut there make the short pieces above it. Plates, headers and the framing a heavy door needs are
    taken off by themselves, and what carries load is an engineer's matter.

    Args:
        length: Length of the wall [m].
        spacing: Spacing of the studs, centre to centre [m].
        corners: Corners and places where another wall joins; each adds two studs.
        openings: Doors and windows.
        studs_each_opening: Studs added at each opening; the textbooks give 2 and 3.
        waste: Share added for bowed and split pieces, as 0.05 or 5%.
    """
    count = whole_up(length / spacing) + 1 + _CORNER_STUDS * corners + studs_each_opening * openings
    return whole_up(count * (1 + waste))


@formula(
    "PACKS",
    family="Taking off and pricing",
    summary="Whole packs, rolls or lengths for a quantity",
    example=("STILL_PACKS(880,500)", 2.0),
    source="common practice, no source",
)
def packs(
    quantity: Annotated[Floats, Quantity(NUMBER, least=0, most=1e9)],
    pack_size: Annotated[Floats, Quantity(NUMBER, above=0, most=1e9)],
    waste: Waste = 0.0,
) -> Annotated[Floats, Number(COUNT)]:
    """Give the number of whole packs, rolls, bags or stock lengths that hold a quantity.

    N = ⌈Q (1 + w) / p⌉, with the quantity Q, the waste w and the pack's size p.

    Args:
        quantity: Quantity needed, in any unit.
        pack_size: Quantity in one pack, in the same unit.
        waste: Share added to the quantity for losses, as 0.1 or 10%.
    """
    return whole_up(quantity * (1 + waste) / pack_size)


@formula(
    "CREWHOURS",
    family="Taking off and pricing",
    summary="Hours a crew needs for a quantity of work",
    example=("STILL_CREWHOURS(240,30)", 8.0),
    source="common practice, no source",
)
def crew_hours(
    quantity: Annotated[Floats, Quantity(NUMBER, least=0, most=1e9)],
    rate: Annotated[Floats, Quantity(NUMBER, above=0, most=1e9)],
) -> Annotated[Floats, Number(HOURS)]:
    """Give the hours for a quantity at a rate of work.

    t = Q / r, with the quantity Q and the rate r.

    A rate for the whole crew gives crew hours, to be priced at the crew's cost an hour; a rate for one person gives
    person-hours. Keep the rates of your own finished jobs: small rooms with many corners go slower than open walls.

    Args:
        quantity: Quantity of work, in any unit.
        rate: Quantity done in one hour, in the same unit.
    """
    return quantity / rate
