"""Take-off of the conversion: what comes off, what goes on, the window, and what any quiet room needs."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from stillbook.quantities import AREA, LENGTH, ROOM_LENGTH
from stillbook.templates.conversion.inputs import FRAMES, NEW, SIDES
from stillbook.templates.conversion.surfaces import CEILING_OPENED, JOISTS, WALLS_OPENED
from stillbook.templates.page import Book
from stillbook.templates.parts.quiet_room import sheets, takeoff
from stillbook.templates.parts.quiet_room.takeoff import WHEN_PAIR, WHEN_SINGLE, TakeoffLine
from stillbook.templates.parts.walls import counts


def lined_sheets(layers: str) -> str:
    """Whole sheets of the new leaf, on each surface that gets one."""
    walls = (f'IF(wall_{wall.lower()}_plan="{NEW}",{sheets.laid(f"room_{side}", "room_height", layers)},0)' for wall, side in SIDES.items())
    return "+".join((*walls, f'IF(ceiling_plan="{NEW}",{sheets.on_ceiling("room", layers)},0)'))


LEAVES: Final = (
    ("inner", "lined_area", lined_sheets, "lined_area=0"),
    ("deck", "lined_floor_area", lambda layers: sheets.on_floor("room", layers), "lined_floor_area=0"),
)
"""Leaves that are bought."""

OPENED: Final = f"{WALLS_OPENED}+{CEILING_OPENED}"
"""The area of old boards that come off."""


def groups(book: Book) -> Iterable[tuple[str, list[TakeoffLine]]]:
    """All lines, group by group."""
    return (
        ("Taken out", strip(book)),
        (takeoff.BOARDS, takeoff.boards(book, LEAVES)),
        ("Frames, clips, wool and sealant", frames(book)),
        ("Window", window(book)),
        ("Doors, as a pair", takeoff.doors(book, "pair", 2, WHEN_PAIR)),
        ("Doors, as one heavy door", takeoff.doors(book, "single", 1, WHEN_SINGLE)),
        ("Air", takeoff.air(book)),
        ("Wiring", takeoff.wiring(book)),
        ("Finish and site", takeoff.site(book, new_ceilings="lined_ceiling_area", stripped=OPENED)),
        *takeoff.by_the_hours(),
    )


def strip(book: Book) -> list[TakeoffLine]:
    """What comes off before the new leaves."""
    return [
        TakeoffLine("STRIP", "Old boards that come off", f"={OPENED}", book.unit(AREA), "", f"=ROUNDUP({OPENED},0)"),
        takeoff.counted("DOOROUT", "Old door and frame", "1"),
    ]


def frames(book: Book) -> list[TakeoffLine]:
    """Frames or clips, screws, wool, sealant and underlay."""
    length, area = book.unit(ROOM_LENGTH), book.unit(AREA)
    pack = book.pick(*sheets.WOOL_PACK)
    clip, channel = book.pick("8", "0.74"), book.pick("2", "0.6")
    walls = f'AND(wall_fixing="{FRAMES}",lined_run>0)'
    fixed = 'IF({0}_fixing="{1}",lined_{0}_area,0)'
    clips = "+".join(fixed.format(place, "isolation clips") for place in ("wall", "ceiling"))
    channels = "+".join(f'IF({place}_fixing="{FRAMES}",0,lined_{place}_area)' for place in ("wall", "ceiling"))
    wool = f'IF(cavity_fill="filled",lined_area+{OPENED},0)'
    seam = f"(2*lined_run+IF(lined_ceiling_area>0,2*(room_length+room_width),0)+4*room_height)*{counts('inner')}"
    screws = _screws()
    return [
        takeoff.studs(book, "new walls", "lined_run", "inner_thickness", walls),
        takeoff.joists(book, "new ceiling", "MAX(room_length,room_width)", "joist_length", JOISTS),
        takeoff.plates(book, "Sole plates, new walls", "lined_run", walls),
        takeoff.plates(book, "Top plates, new walls", "top_plates*lined_run", walls),
        _hung("CLIP", f"Clips, one on {book.pick('8 ft²', '0.74 m²')}", f"({clips})/{clip}", "piece"),
        _hung("CHANNEL", f"Channels, {book.pick('24 in', '600 mm')} apart", f"({channels})/{channel}", length),
        TakeoffLine("SCREWS", "Board screws, deck too", f"={screws}", "piece", "", f"=STILL_PACKS({screws},1000)", spec=takeoff.SCREW_BOX),
        TakeoffLine(
            "WOOL",
            "Cavity wool, opened cavities too",
            f"={wool}",
            area,
            "=board_waste",
            f"=IF({wool}=0,0,STILL_PACKS(MAX(1,{wool}),{pack},board_waste))",
            spec=takeoff.wool_pack(book),
        ),
        takeoff.sealant(book, seam),
        takeoff.covered(book, "UNDERLAY", "Resilient underlay", "lined_floor_area"),
    ]


def _hung(code: str, text: str, amount: str, unit: str) -> TakeoffLine:
    """A line of what carries boards without a frame, with waste."""
    return TakeoffLine(code, text, f"={amount}", unit, "=framing_waste", f"=ROUNDUP({amount}*(1+framing_waste),0)")


def _screws() -> str:
    """The board screws of every surface that gets a new leaf, and those of the deck."""
    walls = (f'IF(wall_{wall.lower()}_plan="{NEW}",{sheets.surface_screws("inner", f"room_{side}", "room_height")},0)' for wall, side in SIDES.items())
    rest = (("ceiling", sheets.ceiling_screws("inner", "room")), ("floor", sheets.deck_screws("room")))
    return "+".join((*walls, *(f'IF({part}_plan="{NEW}",{screws},0)' for part, screws in rest)))


def window(book: Book) -> list[TakeoffLine]:
    """The new pane and its reveal."""
    there = "=IF(window_area>0,1,0)"
    glass = takeoff.sized(book.unit(LENGTH), "window_width", "window_height")
    return [
        TakeoffLine(
            "PANE",
            "New pane",
            "=window_area",
            book.unit(AREA),
            "",
            f"=ROUNDUP(window_area*{book.pick('1', '10')},0)/{book.pick('1', '10')}",
            spec=f'new_pane&", "&{glass}',
        ),
        TakeoffLine("REVEAL", "Frame and lined reveal", there, "set", "", there, spec=f'"for glass of "&{glass}'),
    ]
