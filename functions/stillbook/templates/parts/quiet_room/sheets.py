"""How many sheets, screws and packs a quiet room takes: formulas on its sizes, surface by surface."""

from __future__ import annotations

from typing import Final

from stillbook.quantities import LENGTH, ROOM_LENGTH
from stillbook.templates.page import Book
from stillbook.templates.parts.walls import counts

WOOL_PACK: Final = ("48", "4.5")
"""Area of a pack of cavity wool in a US and in an SI workbook; common practice, no source."""

PLATE_STOCK: Final = ("8", "2.4")
"""Length of a plate as it is sold."""

PLATE: Final = ("1.5", "38")
"""What each plate of a frame takes of its height: a nominal 2 in."""

SCREWS_APART: Final = "12 in"
"""Spacing of the screws along a stud or joist: the largest for ceilings that the source of STILL_SCREWS gives."""


def cut(book: Book, pieces: str, width: str, height: str) -> str:
    """Whole sheets for pieces of one size; a piece larger than a sheet is made up of equal parts."""
    each = book.units_in(LENGTH, ROOM_LENGTH)
    across, along = (f"ROUNDUP(ROUND({size}/({side}*{each}),6),0)" for size, side in ((width, "sheet_width"), (height, "sheet_height")))
    return f"STILL_SHEETPIECES({pieces}*{across}*{along},{width}/{across},{height}/{along},sheet_width,sheet_height,units)"


def laid(across: str, along: str, layers: str) -> str:
    """Whole sheets of one wall or ceiling, in strips along ``along``."""
    return f"STILL_SHEETLAYOUT({across},{along},sheet_width,sheet_height,{layers},units)"


def on_walls(size: str, layers: str) -> str:
    """Whole sheets of the four walls of a room."""
    return "+".join(f"2*{laid(f'{size}_{side}', f'{size}_height', layers)}" for side in ("length", "width"))


def on_ceiling(size: str, layers: str) -> str:
    """Whole sheets of its ceiling, which run along the joists, from long wall to long wall."""
    sides = f"{size}_length,{size}_width"
    return laid(f"MAX({sides})", f"MIN({sides})", layers)


def on_room(size: str, layers: str) -> str:
    """Whole sheets of four walls and a ceiling."""
    return f"{on_walls(size, layers)}+{on_ceiling(size, layers)}"


def on_floor(size: str, layers: str) -> str:
    """Whole sheets of its deck, whichever way takes fewer."""
    length, width = f"{size}_length", f"{size}_width"
    return f"MIN({laid(length, width, layers)},{laid(width, length, layers)})"


def surface_screws(leaf: str, across: str, height: str) -> str:
    """The screws of all layers of a leaf on one wall or ceiling, by the pieces its sheets are cut into."""
    return _screws(counts(leaf), across, height, "stud_spacing")


def room_screws(leaf: str, size: str) -> str:
    """The screws of a leaf on four walls and a ceiling, whose sheets run along the joists."""
    length, width, height = (f"{size}_{side}" for side in ("length", "width", "height"))
    walls = "+".join(f"2*{surface_screws(leaf, side, height)}" for side in (length, width))
    return f"{walls}+{ceiling_screws(leaf, size)}"


def ceiling_screws(leaf: str, size: str) -> str:
    """The screws of a leaf on a ceiling: its sheets run along the joists, from long wall to long wall."""
    sides = f"{size}_length,{size}_width"
    return surface_screws(leaf, f"MAX({sides})", f"MIN({sides})")


def deck_screws(size: str) -> str:
    """The screws of a floor deck: each layer to the one below it, none into the floor that it floats on."""
    layers = f"MAX(0,{counts('deck')}-1)"
    return _screws(layers, f"{size}_length", f"{size}_width", f'"{SCREWS_APART}"')


def _screws(layers: str, across: str, height: str, framing: str) -> str:
    return f'STILL_SCREWS({across}*{height},{layers},"{SCREWS_APART}",{framing},sheet_width,sheet_height,"vertical",0.05,{height},units)'
