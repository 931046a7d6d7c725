"""Layers of the conversion as contractors read them: what comes off, and the new leaf on walls, ceiling and floor."""

from __future__ import annotations

from stillbook.quantities import AREA, LENGTH
from stillbook.templates.conversion.inputs import FRAMES
from stillbook.templates.conversion.surfaces import CEILING_OPENED, JOISTS, WALLS_OPENED
from stillbook.templates.page import Book
from stillbook.templates.parts.said import Said
from stillbook.templates.parts.scope_lists import leaf, thick


def layers(book: Book) -> list[Said]:
    """What comes off, what holds the new leaf, the leaf, and the deck."""
    area, small = book.unit(AREA), book.unit(LENGTH)
    walls = "lined_area-lined_ceiling_area"
    wool = 'IF(cavity_fill="filled",", "&wool_material,", no wool")'
    off = "&".join(
        f'IF({opened}>0,", {where} "&TEXT({opened},"#,##0")&" {area}","")' for where, opened in (("walls", WALLS_OPENED), ("ceiling", CEILING_OPENED))
    )
    return [
        Said(f"{WALLS_OPENED}+{CEILING_OPENED}>0", f'"Comes off: old boards"&{off}'),
        thick(book, '"Gap to the old wall: nothing may bridge it"', "frame_gap", f'AND({walls}>0,wall_fixing="{FRAMES}")'),
        thick(book, f'"New frame: studs "&stud_spacing&" {small} apart"&{wool}', "stud_depth", f'AND({walls}>0,wall_fixing="{FRAMES}")'),
        thick(book, f'"Walls on "&wall_fixing&{wool}', "clip_depth", f'AND({walls}>0,wall_fixing<>"{FRAMES}")'),
        thick(book, f'"New ceiling on joists"&{wool}', "ceiling_joist", JOISTS),
        thick(book, f'"New ceiling on "&ceiling_fixing&{wool}', "clip_depth", f'AND(lined_ceiling_area>0,ceiling_fixing<>"{FRAMES}")'),
        *leaf(book, "inner", "New leaf", (("walls", walls), ("ceiling", "lined_ceiling_area")), "lined_area>0"),
        *leaf(book, "deck", "New floor deck on its underlay", (("floor", "lined_floor_area"),), "lined_floor_area>0"),
        thick(book, '"Underlay of the deck, under load"', "underlay_depth", "AND(lined_floor_area>0,underlay_depth>0)"),
    ]
