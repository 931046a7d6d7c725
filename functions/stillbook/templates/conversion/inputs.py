"""Inputs of the conversion: the room as found, its old and new leaves, its window and its door."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Final

from openpyxl.workbook.defined_name import DefinedName

from stillbook.catalogue import formulas
from stillbook.templates import look
from stillbook.templates.booth import alternates
from stillbook.templates.booth import inputs as booth
from stillbook.templates.page import Book, Input, Page

WALLS: Final = ("A", "B", "C", "D")
"""The walls: A and C run along the length, B and D along the width."""

NEW, OLD = "new leaf", "as it is"
"""What becomes of a surface."""

STAYS, OFF = "stays", "comes off"
"""What becomes of the old board on the room's side."""

WINDOW: Final = ("Window, inside", "window_surface", "=window_area")
"""The window among the surfaces inside the room."""

FRAMES: Final = "separate frames"
FIXINGS: Final = (FRAMES, "isolation clips", "resilient channels")
"""What holds a new leaf."""


def write(book: Book) -> Page:
    """Write the sheet."""
    page = booth.begin(book)
    booth.sections(
        page,
        (
            ("Job", "", booth.job(book)),
            ("The room as found", "inside sizes, face to face", room(book)),
            ("What is done", "walls A and C run along the length, B and D along the width", plans()),
            ("People and heat", "", booth.people(book)),
        ),
    )
    booth.day(book, page)
    page.break_here()
    booth.build_ups(book, page, old_leaves(book), "Build-ups as found")
    far = book.workbook.defined_names["wall_far_layers"].attr_text
    book.workbook.defined_names["outer_layers"] = DefinedName("outer_layers", attr_text=far)
    booth.sections(page, (("Cavities as found", "", cavities(book)),))
    booth.build_ups(book, page, new_leaves(book), "Build-ups of the new leaves")
    page.break_here()
    booth.sections(
        page,
        (
            ("Frames, fixings and cavity of the new leaves", "", fixings(book)),
            ("Window", "0 wide where there is none", window(book)),
            ("Door as found", "the new door stands below", old_door(book)),
            *services(book),
        ),
    )
    alternates.ask(book, page)
    page.finish(page.at - 2)
    return page


def services(book: Book) -> Iterable[booth.Section]:
    """The sections any quiet room has, with duct, boxes and treatment for a room larger than a booth."""
    larger = {
        "duct_width": book.pick(10, 250),
        "baffle_height": book.pick(10, 250),
        "wall_treatment": book.pick(115, 10.7),
        "ceiling_treatment": book.pick(42, 3.9),
    }
    for title, note, entries in booth.services(book):
        yield title, note, [replace(entry, default=larger.get(entry.name, entry.default)) for entry in entries]


def room(book: Book) -> list[Input]:
    """Sizes of the room as found, and what its floor and the structure above may take."""
    unit, load = book.pick("ft", "m"), book.pick("lb/ft²", "kg/m²")
    return [
        Input(f"existing_{side}", f"Room {side}", size, unit, text, least, most, number_format=look.TWO)
        for side, size, text, least, most in (
            ("length", book.pick(12, 3.6), "Before anything is done.", book.pick(4, 1.2), book.pick(100, 30)),
            ("width", book.pick(10, 3), "Before anything is done.", book.pick(4, 1.2), book.pick(100, 30)),
            (
                "height",
                book.pick(9, 2.75),
                "Floor to ceiling, lowest clear height.",
                book.pick(6, 1.8),
                book.pick(30, 9),
            ),
        )
    ] + [
        Input(
            "floor_capacity",
            "Floor may take in addition",
            None,
            load,
            "Uniform load the building's engineer allows on top of what is there. Ask; do not guess.",
            book.pick(1, 5),
            book.pick(1000, 5000),
            number_format=look.WHOLE,
        ),
        Input(
            "ceiling_capacity",
            "Structure above may take",
            0,
            load,
            "For a ceiling hung from it; 0 until an engineer allows more.",
            0,
            book.pick(200, 1000),
            number_format=look.ONE,
        ),
    ]


def plans() -> list[Input]:
    """What becomes of each surface."""
    rows = [
        Input(
            f"{place}_plan",
            label,
            NEW,
            "",
            "" if place != "wall_a" else "A surface left as it is lets sound round the others.",
            choices=(NEW, OLD),
        )
        for place, label in (*((f"wall_{wall.lower()}", f"Wall {wall}") for wall in WALLS), ("ceiling", "Ceiling"))
    ]
    return [
        *rows,
        Input("floor_plan", "Floor", NEW, "", "A new deck on a resilient underlay.", choices=(NEW, OLD)),
        Input(
            "wall_board",
            "Old wall board, room side",
            OFF,
            "",
            "Left on, it closes a middle cavity: three leaves, weak in the bass.",
            choices=(OFF, STAYS),
        ),
        Input(
            "ceiling_board",
            "Old ceiling board",
            STAYS,
            "",
            "As for the walls. First ask what it does for fire and bracing.",
            choices=(STAYS, OFF),
        ),
        Input("door_wall", "The door is in wall", "A", "", "", choices=WALLS),
        Input("window_wall", "The window is in wall", "C", "", "", choices=WALLS),
    ]


def old_leaves(book: Book) -> tuple[booth.Leaf, ...]:
    """The leaves that are there: the far side always, the room's side where there is one."""
    board = book.pick("Gypsum board 1/2 in", "Gypsum board 12.5 mm")
    floor = book.pick("Plywood 3/4 in", "MDF 18 mm")
    return (
        ("wall_far", "Wall, far side", True, [(board, 1)]),
        ("wall_near", "Wall, room side", False, [(board, 1)]),
        ("ceiling_far", "Above the ceiling", True, [(floor, 1)]),
        ("ceiling_near", "Ceiling board", False, [(board, 1)]),
    )


def new_leaves(book: Book) -> tuple[booth.Leaf, ...]:
    """The leaves to come, and the shell of the baffle boxes."""
    known = {leaf[0]: leaf for leaf in booth.leaves(book)}
    return (("inner", "New leaf", *known["inner"][2:]), known["deck"], known["baffle"])


def cavities(book: Book) -> list[Input]:
    """The cavities behind the old boards."""
    small = book.pick("in", "mm")
    framings = next(p for p in formulas()["WALLTL"].parameters if p.name == "framing").reader.choices
    return [
        entry
        for place, label, depth in (
            ("wall", "Wall", book.pick(3.5, 89)),
            ("ceiling", "Ceiling", book.pick(9.25, 235)),
        )
        for entry in (
            Input(
                f"{place}_gap",
                f"{label}, cavity as found",
                depth,
                small,
                "Between its two leaves. No part where it is one leaf.",
                book.pick(0.1, 3),
                book.pick(48, 1200),
                number_format=look.TWO,
            ),
            Input(f"{place}_fill", f"{label}, cavity holds wool", "empty", "", "", choices=("empty", "filled")),
            Input(
                f"{place}_framing",
                f"{label}, framing as found",
                "wood studs",
                "",
                "What joins its two leaves.",
                choices=framings,
            ),
            Input(
                f"{place}_spacing",
                f"{label}, framing spacing",
                book.pick(16, 400),
                small,
                "Centre to centre.",
                book.pick(8, 200),
                book.pick(48, 1200),
                number_format=look.WHOLE,
            ),
        )
    ]


def fixings(book: Book) -> list[Input]:
    """What holds the new leaves, and how far from the old."""
    small = book.pick("in", "mm")
    kept = [entry for entry in booth.frames(book) if entry.name in ("stud_spacing", "framing_mass", "wool_material")]
    return [
        Input(
            "wall_fixing",
            "New wall leaf on",
            FRAMES,
            "",
            "Frames of its own, or clips or channels on the old studs.",
            choices=FIXINGS,
        ),
        Input(
            "stud_depth",
            "Stud depth",
            book.pick(3.5, 89),
            small,
            "Of the new frames.",
            book.pick(1, 25),
            book.pick(12, 300),
            number_format=look.TWO,
        ),
        Input(
            "ceiling_fixing",
            "New ceiling on",
            FRAMES,
            "",
            "Joists on the new walls, or clips or channels on the old joists.",
            choices=FIXINGS,
        ),
        Input(
            "ceiling_joist",
            "New ceiling joists",
            book.pick(5.5, 140),
            small,
            "Depth; the span decides.",
            book.pick(2, 50),
            book.pick(16, 400),
            number_format=look.TWO,
        ),
        Input(
            "frame_gap",
            "Gap to the old wall",
            book.pick(1, 25),
            small,
            "Between new frame and what stands; nothing may bridge it.",
            book.pick(0.25, 6),
            book.pick(24, 600),
            number_format=look.TWO,
        ),
        Input(
            "clip_depth",
            "Clip or channel depth",
            book.pick(1.625, 41),
            small,
            "With its channel, where no frame stands.",
            book.pick(0.25, 6),
            book.pick(6, 150),
            number_format=look.TWO,
        ),
        Input(
            "underlay_depth",
            "Underlay of the deck",
            book.pick(0.5, 12),
            small,
            "Under load.",
            0,
            book.pick(6, 150),
            number_format=look.TWO,
        ),
        *kept,
    ]


def window(book: Book) -> list[Input]:
    """The window as found and its new pane."""
    small = book.pick("in", "mm")
    sides = [
        Input(
            f"window_{side}",
            f"Window {side}",
            size,
            small,
            "Glass size.",
            0,
            book.pick(118, 3000),
            number_format=look.WHOLE,
        )
        for side, size in (("width", book.pick(36, 915)), ("height", book.pick(48, 1220)))
    ]
    return [
        *sides,
        Input(
            "pane_far",
            "Pane as found, outer",
            "Glass 4 mm",
            "",
            "From the table, by its name.",
            options="material_names",
            free=True,
        ),
        Input(
            "pane_near",
            "Pane as found, inner",
            "Glass 4 mm",
            "",
            "Of a sealed unit; blank for one pane.",
            options="material_names",
            free=True,
            optional=True,
        ),
        Input(
            "pane_gap",
            "Gap between them",
            book.pick(0.5, 12),
            small,
            "Of the sealed unit.",
            book.pick(0.1, 3),
            book.pick(12, 300),
            number_format=look.TWO,
        ),
        Input(
            "new_pane",
            "New pane",
            "Laminated glass 12.76 mm",
            "",
            "In the new leaf, in soft gaskets; unlike the old ones.",
            options="material_names",
            free=True,
        ),
        Input(
            "window_gap",
            "Gap to the new pane",
            book.pick(6, 150),
            small,
            "Lined reveal; touches no frame of the old window.",
            book.pick(0.5, 12),
            book.pick(48, 1200),
            number_format=look.TWO,
        ),
        Input(
            "window_surface",
            "Glass, for its absorption",
            "Plate glass, large pane",
            "",
            "As seen from inside the room.",
            options="surface_names",
        ),
    ]


def old_door(book: Book) -> list[Input]:
    """The door as found, of the new door's size."""
    return [
        Input(
            "old_door",
            "Slab as found",
            "Hollow-core door slab 1-3/4 in",
            "",
            "From the table, by its name.",
            options="material_names",
            free=True,
        ),
        Input(
            "old_door_gap",
            "Gap at its edges",
            book.pick(0.25, 6),
            book.pick("in", "mm"),
            "All round, threshold with it.",
            book.pick(0.01, 0.3),
            book.pick(1, 25),
            number_format=look.THREE,
        ),
        Input(
            "old_door_sealed", "Share of it sealed", 0, "share", "0 without seals.", 0, 1, number_format=look.PERCENT
        ),
    ]
