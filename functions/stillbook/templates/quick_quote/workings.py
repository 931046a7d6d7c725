"""Workings: from what was typed to sizes, masses, doors, isolation and air, a result a row."""

from __future__ import annotations

from typing import Final

from stillbook.quantities import AIRFLOW, AREA, LENGTH, ROOM_LENGTH, SURFACE_MASS
from stillbook.templates import look
from stillbook.templates.page import FIRST, Book, Page, ResultRow
from stillbook.templates.parts import bands
from stillbook.templates.parts.bands import small_areas
from stillbook.templates.parts.inputs import OUTDOORS
from stillbook.trade.doors.arrangement import SLAB

_WALL_LOSS: Final = 'STILL_WALLTL(inner_layers,outer_layers,cavity,cavity_fill,"separate frames","","STC",outer_wall_area,units)'


def write(book: Book) -> Page:
    """Write the sheet."""
    page = book.page("Workings", "How the figures of the Quote sheet come about. There is nothing to type here.", (36, 24, 10, 14, 40))
    _build_ups(book, page)
    _sizes(book, page)
    _doors(book, page)
    _isolation(book, page)
    _air(book, page)
    printed = page.at - 2
    page.heading("Doors", "loss by third octave, dB")
    row = bands.band_row(page, bands.THIRDS, "Loss", f"={bands.door_loss(book, 'seal_share')}", ())
    page.name("doors_loss", row, FIRST + 1, last_column=FIRST + len(bands.THIRDS))
    page.finish(printed)
    return page


def _build_ups(book: Book, page: Page) -> None:
    """The leaves as rows of material, thickness and count, and of the doors with the mass of the slab."""
    page.heading("Build-ups", "material, thickness where it is not the usual, sheets, mass")
    chosen = "MATCH(wall,wall_names,0)"
    for leaf, title in (("inner", "Inner leaf"), ("outer", "Outer leaf")):
        values = (f"=INDEX(wall_{leaf},{chosen})", None, f"=INDEX(wall_{leaf}_counts,{chosen})", None)
        _layers(page, f"{leaf}_layers", title, (values,))
    _layers(page, "deck_layers", "Floor deck", (("=deck_material_1", None, "=deck_count_1", None),))
    for kind, title in (("pair", "Door of a pair"), ("single", "One heavy door")):
        slab = (SLAB, book.pick(1.75, 45), 1, "=slab_mass/door_area")
        _layers(page, f"{kind}_door_layers", title, (slab, (f"={kind}_makeup_material", None, f"={kind}_makeup_count", None)))
    page.skip()


def _layers(page: Page, name: str, title: str, rows: tuple[tuple[str | float | None, ...], ...]) -> None:
    first = page.at
    for values in rows:
        page.row((title, *values), ("text", "text", look.TWO, look.WHOLE, look.TWO))
        title = ""
    page.name(name, first, FIRST + 1, page.at - 1, FIRST + 4)


def _sizes(book: Book, page: Page) -> None:
    large, small, area = book.unit(ROOM_LENGTH), book.unit(LENGTH), book.unit(AREA)
    each = book.units_in(LENGTH, ROOM_LENGTH)
    shell, deck = f"shell_thickness/{each}", f"deck_thickness/{each}"
    page.part(
        "Sizes",
        ResultRow("Inner leaf, mass", "=STILL_SURFACEMASS(inner_layers,units)", book.unit(SURFACE_MASS), "inner_mass", look.TWO),
        ResultRow("Outer leaf, mass", "=STILL_SURFACEMASS(outer_layers,units)", book.unit(SURFACE_MASS), "outer_mass", look.TWO),
        ResultRow("Inner leaf, thickness", "=STILL_BUILDUPTHICKNESS(inner_layers,units)", small, "inner_thickness", look.TWO),
        ResultRow("Outer leaf, thickness", "=STILL_BUILDUPTHICKNESS(outer_layers,units)", small, "outer_thickness", look.TWO),
        ResultRow("Floor deck, thickness", "=STILL_BUILDUPTHICKNESS(deck_layers,units)", small, "deck_thickness", look.TWO),
        ResultRow("Cavity", "=2*stud_depth+frame_gap", small, "cavity", look.TWO),
        ResultRow("Shell, thickness", "=inner_thickness+cavity+outer_thickness", small, "shell_thickness", look.TWO),
        ResultRow("Outside length", f"=room_length+2*{shell}", large, "outside_length", look.TWO),
        ResultRow("Outside width", f"=room_width+2*{shell}", large, "outside_width", look.TWO),
        ResultRow("Outside height", f"=room_height+{shell}+{deck}", large, "outside_height", look.TWO),
        ResultRow("Floor inside", "=room_length*room_width", area, "floor_area", look.ONE),
        ResultRow("Walls, outside, without the door", "=2*(outside_length+outside_width)*outside_height-door_area", area, "outer_wall_area", look.ONE),
        ResultRow("Walls and ceiling, outside", "=outer_wall_area+outside_length*outside_width", area, "shell_area", look.ONE),
    )
    first = next(row for row in range(page.at, 0, -1) if page.sheet.cell(row, FIRST).value == "Inner leaf, mass")
    page.name("side_masses", first, FIRST + 1, first + 1)


def _doors(book: Book, page: Page) -> None:
    target = "STILL_DOORTARGETMASS({0},door_width,door_height,{1},door_margin,units)"
    sheets = 'ROUNDUP(ROUND(STILL_ADDEDMASS({0},slab_mass,"","",units)/STILL_TOTALMASS({1}_makeup_material,door_area,units),6),0)'
    each = sheets.format(target.format("MAX(inner_mass,outer_mass)", '"pair"'), "pair")
    one = sheets.format(target.format("side_masses", '"single"'), "single")
    page.part(
        "Doors",
        ResultRow("Door", f"=door_width*door_height/{small_areas(book)}", book.unit(AREA), "door_area", look.TWO),
        ResultRow(
            "The space suggests", '=INDEX(STILL_DOORARRANGEMENT(room_length,room_width,door_width,cavity,"",seal_share,units),1,1)', "", "door_suggestion"
        ),
        ResultRow("Arrangement", '=IF(door_choice="suggested",door_suggestion,door_choice)', "", "door_arrangement"),
        ResultRow("Sheets on each door of a pair", "=" + each, "sheets", "pair_makeup_count", look.WHOLE),
        ResultRow("Sheets on one door", "=" + one, "sheets", "single_makeup_count", look.WHOLE),
    )


def walls(book: Book) -> str:
    """The loss of walls and ceiling with what flanks them, as a call that gives a row."""
    return f"STILL_LEAKEDTL({_WALL_LOSS},outer_wall_area,outer_wall_area*{small_areas(book)}*10^(-flanking_limit/10),0,units)"


def _isolation(book: Book, page: Page) -> None:
    room = f"STILL_LEAKEDTL({walls(book)},outer_wall_area+door_area,door_area*{small_areas(book)},doors_loss,units)"
    weak = 'IF(door_stc<wall_stc-6,IF(door_arrangement="pair",STILL_RATINGUNCERTAINTY("pair of doors"),STILL_RATINGUNCERTAINTY("door")),' + (
        'STILL_RATINGUNCERTAINTY("separate frames"))'
    )
    page.part(
        "Isolation",
        ResultRow("Room", f"=STILL_STCRATING({room})", "STC", "room_stc", look.WHOLE, key=True, best="most"),
        ResultRow("How far it may be out", f"={weak}", "", "stc_range", look.ONE),
    )


def _air(book: Book, page: Page) -> None:
    flow, small = book.unit(AIRFLOW), book.unit(LENGTH)
    size = "INDEX(STILL_DUCTSIZES(airflow,quiet_speed,duct_most_height,units),2,{0})"
    page.part(
        "Air",
        ResultRow("By the outdoor air table", "=STILL_OUTDOORAIRFLOW(space_type,people,floor_area,air_effectiveness,units)", flow, "airflow_code"),
        ResultRow("Outdoor air in it", f'=IF(air_source="{OUTDOORS}",airflow,IF(ISNUMBER(fresh_share),airflow*fresh_share,""))', flow, "outdoor_airflow"),
        ResultRow("Duct, width", f"={size.format(1)}", small, "duct_width", look.WHOLE),
        ResultRow("Duct, height", f"={size.format(2)}", small, "duct_height", look.WHOLE),
    )
