"""Layers of the conversion as contractors read them: what is there, what comes off, and the new leaf on walls, ceiling and floor."""

from __future__ import annotations

from stillbook.quantities import AREA, LENGTH
from stillbook.templates.conversion import found
from stillbook.templates.conversion.inputs import FRAMES
from stillbook.templates.conversion.surfaces import CEILING_OPENED, WALLS_OPENED
from stillbook.templates.page import Book
from stillbook.templates.parts.check_sheet import denies
from stillbook.templates.parts.quiet_room.scope_lists import leaf, thick
from stillbook.templates.parts.said import Said


def layers(book: Book) -> list[Said]:
    """What is there, what comes off, what holds the new leaf, the leaf, and the deck."""
    area, small = book.unit(AREA), book.unit(LENGTH)
    walls = "lined_area-lined_ceiling_area"
    wool = 'IF(cavity_fill="filled",", "&wool_material,", no wool")'
    off = "&".join(
        f'IF({opened}>0,", {where} "&TEXT({opened},"#,##0")&" {area}","")' for where, opened in (("walls", WALLS_OPENED), ("ceiling", CEILING_OPENED))
    )

    def deep(frame: str, place: str) -> str:
        return f'TEXT(IF({place}_fixing="{FRAMES}",{frame},clip_depth),"{book.pick("0.00", "0")}")&" {small}"'

    return [
        *found.layers(book, "wall", "wall_new_area>0"),
        *found.layers(book, "ceiling", "lined_ceiling_area>0"),
        Said(
            f"{WALLS_OPENED}+{CEILING_OPENED}>0",
            f'"Comes off: old boards"&{off}&IF({denies("check_comes_off")},": heavier than a board, ask an engineer first","")',
        ),
        thick(book, '"Gap to the old wall: nothing may bridge it"', "frame_gap", f'AND({walls}>0,wall_fixing="{FRAMES}")'),
        Said(
            f"{walls}>0",
            f'IF(wall_fixing="{FRAMES}","New frame: studs "&stud_spacing&" {small} apart","Walls on "&wall_fixing)&{wool}&": "&{deep("stud_depth", "wall")}',
        ),
        Said("lined_ceiling_area>0", f'"New ceiling on "&IF(ceiling_fixing="{FRAMES}","joists",ceiling_fixing)&{wool}&": "&{deep("ceiling_joist", "ceiling")}'),
        *leaf(book, "inner", "New leaf", (("walls", walls), ("ceiling", "lined_ceiling_area")), "lined_area>0"),
        *leaf(book, "deck", "New floor deck on its underlay", (("floor", "lined_floor_area"),), "lined_floor_area>0"),
        thick(book, '"Underlay of the deck, under load"', "underlay_depth", "AND(lined_floor_area>0,underlay_depth>0)"),
    ]
