"""Layers of the booth, from outside in, as contractors read them."""

from __future__ import annotations

from stillbook.quantities import LENGTH
from stillbook.templates.page import Book
from stillbook.templates.parts.quiet_room.scope_lists import leaf, thick
from stillbook.templates.parts.said import Said


def layers(book: Book) -> list[Said]:
    """Both leaves with what stands between them, and the deck."""
    unit = book.unit(LENGTH)
    frame = f'"{{0}} frame: studs "&stud_spacing&" {unit} apart"&IF(cavity_fill="filled",", "&wool_material,", no wool")'
    return [
        *leaf(book, "outer", "Outer leaf", (("walls", "outer_wall_area"), ("ceiling", "footprint"))),
        thick(book, frame.format("Outer"), "stud_depth"),
        thick(book, '"Gap between the frames: nothing may bridge it"', "frame_gap"),
        thick(book, frame.format("Inner"), "stud_depth"),
        *leaf(book, "inner", "Inner leaf", (("walls", "inner_wall_area"), ("ceiling", "floor_area"))),
        *leaf(book, "deck", "Floor deck on its underlay", (("under both leaves", "footprint"),)),
    ]
