"""Inputs of the conversion: the room as found, its old and new leaves, its window and its door."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Final

from stillbook.quantities import LENGTH, ROOM_LENGTH, SURFACE_MASS
from stillbook.templates import look
from stillbook.templates.conversion import found
from stillbook.templates.page import Book, Page
from stillbook.templates.parts import input_sheet, job_inputs
from stillbook.templates.parts import inputs as asked
from stillbook.templates.parts.quiet_room import alternates, explored, range_inputs
from stillbook.templates.parts.walls import ask as ask_walls
from stillbook.workbook.job.inputs import InputSpec

LINING: Final = "example_linings"
"""The office's new leaves, by name."""

WALLS: Final = ("A", "B", "C", "D")
"""The walls: A and C run along the length, B and D along the width."""

SIDES: Final = {wall: "length" if wall in "AC" else "width" for wall in WALLS}
"""The side of the room along which each wall runs."""

NEW, OLD = "new leaf", "as it is"
"""What becomes of a surface."""

ALL_ROUND: Final = "all round"
BEYOND: Final = (ALL_ROUND, *(f"Wall {wall}" for wall in WALLS), "Ceiling")
"""What the room next door may be behind: all of the shell, or one surface as the Surfaces sheet calls it."""

THERE, ELSEWHERE = "open there", "open elsewhere"
"""Where ducts, boxes and cable holes let sound out, seen from the room next door."""

STAYS, OFF = "stays", "comes off"
"""What becomes of the old board on the room's side."""

UNEVEN: Final = "thicker treatment for the bass, or another depth of a new leaf: the walls as found stay where they are"
"""What to do about uneven modes: common practice, no source."""

WINDOW: Final = ("Window, inside", "window_surface", "=window_area")
"""The window among the surfaces inside the room."""

OLD_LEAVES: Final[tuple[input_sheet.Leaf, ...]] = (
    ("wall_far", "Wall, far side", False, []),
    ("wall_near", "Wall, room side", False, []),
    ("ceiling_far", "Above the ceiling", False, []),
    ("ceiling_near", "Ceiling board", False, []),
)
"""Own leaves that are there: the far side, and the room's side where there is one."""

FRAMES: Final = "separate frames"
FIXINGS: Final = (FRAMES, "isolation clips", "resilient channels")
"""What holds a new leaf."""


def write(book: Book) -> Page:
    """Write the sheet."""
    page = input_sheet.begin(book, purpose=input_sheet.OPEN, parts=True)
    ask_walls(page, ("inner",), example=LINING, title="New leaves of the office, by name")
    found.ask(page)
    asked.closed_sections(
        page,
        (
            ("Job", "", [*job_inputs.job(book), *job_inputs.addresses(book)]),
            ("The room as found", "inside sizes, face to face", room(book)),
            ("What is done", "walls A and C run along the length, B and D along the width", plans(book)),
            ("People and heat", "", asked.people(book)),
        ),
    )
    asked.day(book, page)
    input_sheet.build_ups(book, page, OLD_LEAVES, "Own build-ups as found")
    asked.closed_sections(page, (("Own cavities as found", "blank is as the name chosen says", found.cavities(book)),))
    input_sheet.build_ups(book, page, new_leaves(book), "Build-ups of the new leaves")
    asked.closed_sections(
        page,
        (
            ("Frames, fixings and cavity of the new leaves", "", fixings(book)),
            ("Window", "0 wide where there is none", window(book)),
            ("Door as found", "the new door stands below", old_door(book)),
            *services(book),
        ),
    )
    range_inputs.ask(book, page)
    alternates.ask(book, page)
    explored.ask(book, page)
    page.finish(page.at - 1)
    page.never_print()
    return page


def services(book: Book) -> Iterable[input_sheet.Section]:
    """The sections any quiet room has; a conversion has no outside."""
    for title, note, entries in asked.services(book):
        kept = [entry for entry in entries if entry.name not in job_inputs.OUTSIDE_ONLY]
        yield title, note, larger(book, [found for entry in kept for found in (*neighbour(book, entry.name), entry)])


def neighbour(book: Book, before: str) -> Iterable[InputSpec]:
    """What the room next door shares with this one, before its volume is asked."""
    if before == "next_volume":
        yield book.input("next_beyond", "Room next door is beyond", "", ALL_ROUND, choices=BEYOND).saying(
            "All round: the whole shell, the most it may hear. A wall counts with the door or window in it."
        )
        yield book.input("next_openings", "Ducts, boxes and cable holes", "", THERE, choices=(THERE, ELSEWHERE)).saying(
            "Whether they let sound out into that room."
        )


def larger(book: Book, entries: Iterable[InputSpec]) -> list[InputSpec]:
    """Inputs with duct and boxes for a room larger than a booth."""
    sizes = {"duct_width": book.pick(10, 250), "baffle_height": book.pick(10, 250)}
    return [replace(entry, default=sizes.get(entry.name, entry.default)) for entry in entries]


def room(book: Book) -> list[InputSpec]:
    """Sizes of the room as found, and what its floor and the structure above may take."""
    return [
        book.input(f"existing_{side}", f"Room {side}", ROOM_LENGTH, size, least, most).saying(text)
        for side, size, text, least, most in (
            ("length", (12, 3.6), "Before anything is done.", (4, 1.2), (100, 30)),
            ("width", (10, 3), "Before anything is done.", (4, 1.2), (100, 30)),
            ("height", (9, 2.75), "Floor to ceiling, lowest clear height.", (6, 1.8), (30, 9)),
        )
    ] + [
        book.input("floor_capacity", "Floor may take in addition", SURFACE_MASS, None, (1, 5), (1000, 5000), look.WHOLE, one_job=True, load=True).saying(
            "Uniform load the building's engineer allows on top of what is there. Ask; do not guess."
        ),
        book.input("ceiling_capacity", "Structure above may take", SURFACE_MASS, None, 0, (200, 1000), look.ONE, optional=True, one_job=True, load=True).saying(
            "For a ceiling hung from it: what an engineer allows, 0 for nothing."
        ),
        book.input("door_clear", "Clear before the new door", LENGTH, None, (6, 150), (1200, 30000), one_job=True).saying(
            "Outside the room, where its outer door opens."
        ),
        book.input("box_clear", "Clear where the boxes hang", LENGTH, None, (6, 150), (1200, 30000), one_job=True).saying(
            "Outside a wall of the room, from that wall to what stands before it."
        ),
        asked.service_room(book),
    ]


def plans(book: Book) -> list[InputSpec]:
    """What becomes of each surface."""
    rows = [
        book.input(f"{place}_plan", label, "", NEW, choices=(NEW, OLD)).saying(
            "" if place != "wall_a" else "A surface left as it is lets sound round the others."
        )
        for place, label in (*((f"wall_{wall.lower()}", f"Wall {wall}") for wall in WALLS), ("ceiling", "Ceiling"))
    ]
    return [
        *rows,
        book.input("floor_plan", "Floor", "", NEW, choices=(NEW, OLD)).saying("A new deck on a resilient underlay."),
        book.input("wall_board", "Old wall board, room side", "", OFF, choices=(OFF, STAYS)).saying(
            "Left on, it closes a middle cavity: three leaves, weak in the bass."
        ),
        book.input("ceiling_board", "Old ceiling board", "", STAYS, choices=(STAYS, OFF)).saying(
            "As for the walls. First ask what it does for fire and bracing."
        ),
        book.input("door_wall", "The door is in wall", "", "A", choices=WALLS),
        book.input("window_wall", "The window is in wall", "", "C", choices=WALLS),
    ]


def new_leaves(book: Book) -> tuple[input_sheet.Leaf, ...]:
    """The leaves to come, and the shell of the baffle boxes."""
    known = {leaf[0]: leaf for leaf in asked.leaves(book)}
    return (("inner", "Own new leaf", *known["inner"][2:]), known["deck"], known["baffle"])


def fixings(book: Book) -> list[InputSpec]:
    """What holds the new leaves, and how far from the old."""
    kept = [entry for entry in asked.frames(book) if entry.name in ("stud_spacing", "framing_mass", "wool_material")]
    return [
        book.input("wall_fixing", "New wall leaf on", "", FRAMES, choices=FIXINGS).saying("Frames of its own, or clips or channels on the old studs."),
        book.input("stud_depth", "Stud depth", LENGTH, (3.5, 89), (1, 25), (12, 300), look.TWO).saying("Of the new frames."),
        book.input("ceiling_fixing", "New ceiling on", "", FRAMES, choices=FIXINGS).saying("Joists on the new walls, or clips or channels on the old joists."),
        book.input("ceiling_joist", "New ceiling joists", LENGTH, (5.5, 140), (2, 50), (16, 400), look.TWO).saying("Depth; the span decides."),
        asked.joist_limit(book, (12, 3.6), book.pick("2×6 at 16 in", "38 × 140 mm at 400 mm")),
        book.input("frame_gap", "Gap to the old wall", LENGTH, (1, 25), (0.25, 6), (24, 600), look.TWO)
        .saying("Between new frame and what stands; nothing may bridge it.")
        .trying(*book.pick((1, 2, 4), (25, 50, 100))),
        book.input("clip_depth", "Clip or channel depth", LENGTH, (1.625, 41), (0.25, 6), (6, 150), look.TWO).saying(
            "With its channel, where no frame stands."
        ),
        book.input("underlay_depth", "Underlay of the deck", LENGTH, (0.5, 12), 0, (6, 150), look.TWO).saying("Under load."),
        *kept,
    ]


def window(book: Book) -> list[InputSpec]:
    """The window as found and its new pane."""
    sides = [
        book.input(f"window_{side}", f"Window {side}", LENGTH, size, 0, (118, 3000)).saying("Glass size.")
        for side, size in (("width", book.pick(36, 915)), ("height", book.pick(48, 1220)))
    ]
    return [
        *sides,
        book.input("pane_far", "Pane as found, outer", "", "Glass 4 mm", options="material_names", material=True).saying("From the table, by its name."),
        book.input("pane_near", "Pane as found, inner", "", "Glass 4 mm", options="material_names", material=True, optional=True).saying(
            "Of a sealed unit; blank for one pane."
        ),
        book.input("pane_gap", "Gap between them", LENGTH, (0.5, 12), (0.1, 3), (12, 300), look.TWO).saying("Of the sealed unit."),
        book.input("new_pane", "New pane", "", "Laminated glass 12.76 mm", options="material_names", material=True).saying(
            "In the new leaf, in soft gaskets; unlike the old ones."
        ),
        book.input("window_gap", "Gap to the new pane", LENGTH, (6, 150), (0.5, 12), (48, 1200), look.TWO).saying(
            "Lined reveal; touches no frame of the old window."
        ),
        book.input("window_surface", "Glass, for its absorption", "", "Plate glass, large pane", options="surface_names").saying(
            "As seen from inside the room."
        ),
    ]


def old_door(book: Book) -> list[InputSpec]:
    """The door as found, of the new door's size."""
    return [
        book.input("old_door", "Slab as found", "", "Hollow-core door slab 1-3/4 in", options="material_names", material=True).saying(
            "From the table, by its name."
        ),
        book.input("old_door_gap", "Gap at its edges", LENGTH, (0.25, 6), (0.01, 0.3), (1, 25), look.THREE).saying("All round, threshold with it."),
        book.input("old_door_sealed", "Share of it sealed", "share", 0, 0, 1).saying("0 without seals."),
    ]
