"""Checks of the conversion: its own rules, and those of any quiet room."""

from __future__ import annotations

from stillbook.templates import look
from stillbook.templates.conversion.inputs import NEW, WALLS
from stillbook.templates.conversion.summary import MOST_LOST
from stillbook.templates.page import Book
from stillbook.templates.parts import checks as shared
from stillbook.templates.parts.checks import MOST, Check


def checks(book: Book) -> list[Check]:
    """The rules, in the order of the sheets they look at."""
    return [
        *shared.job(),
        *surfaces(book),
        *three_leaves(),
        *window(book),
        *shared.doors(book),
        *shared.leaves(),
        *shared.heard(),
        *shared.inside(book),
        *shared.services(book),
    ]


def surfaces(book: Book) -> list[Check]:
    """What is left of the room, what is added to the building, and what stays weak."""
    left = "+".join(f'(wall_{wall.lower()}_plan<>"{NEW}")' for wall in WALLS)
    weak = "+".join(
        f'IF(AND(wall_{wall.lower()}_plan<>"{NEW}",OR(door_wall="{wall}",window_wall="{wall}")),1,0)' for wall in WALLS
    )
    return [
        Check(
            "Room height left",
            "=room_height",
            f"={book.pick('7', '2.1')}",
            "{v}>={l}",
            "Thinner ceiling or deck; the local code decides on the least height.",
            look.TWO,
        ),
        Check(
            "Share of the floor left",
            "=floor_share",
            "=0.75",
            "{v}>={l}",
            "Thinner frames, clips, or fewer surfaces; or a larger room.",
            look.PERCENT,
        ),
        Check(
            "Load added to the floor",
            "=floor_load",
            '=IF(N(floor_capacity)=0,"",floor_capacity)',
            MOST,
            "Stop: ask a structural engineer. Fewer layers or surfaces.",
        ),
        Check(
            "Load hung from the structure above",
            "=ceiling_load",
            "=ceiling_capacity",
            MOST,
            "Stand it on the new walls, or ask a structural engineer.",
        ),
        Check(
            "Walls and ceiling left as they are",
            f'={left}+(ceiling_plan<>"{NEW}")',
            "=0",
            "{v}={l}",
            "Sound goes round through what is left: give it a new leaf as well.",
            look.WHOLE,
        ),
        Check(
            "Door or window in a wall left as it is",
            f"={weak}",
            "=0",
            "{v}={l}",
            "Give that wall a new leaf for the new door and pane to stand in.",
            look.WHOLE,
        ),
        Check(
            "Cavity behind the new wall leaf",
            "=cavity",
            f"={book.pick('4', '100')}",
            "{v}>={l}",
            "Take the old board off, or deepen the frame or the gap.",
        ),
    ]


def three_leaves() -> list[Check]:
    """Low frequencies, which a middle cavity costs."""
    lost = "=IF(AND(lined_{0}_area>0,{0}_leaves=3),MAX(0,{0}_low_gain),0)"
    return [
        Check(
            "Walls: lost to a middle cavity, 63 to 160 Hz, dB",
            lost.format("wall"),
            f"={MOST_LOST}",
            MOST,
            "Take the old board off; ask first what it does for fire and bracing.",
            look.WHOLE,
        ),
        Check(
            "Ceiling: lost to a middle cavity, 63 to 160 Hz, dB",
            lost.format("ceiling"),
            f"={MOST_LOST}",
            MOST,
            "Take the old ceiling off; ask first what it does for fire and bracing.",
            look.WHOLE,
        ),
        Check(
            "Converted against found, least gain 63 to 160 Hz, dB",
            "=least_low_gain",
            "=0",
            "{v}>={l}",
            "Low sound gets worse: deeper cavity, heavier leaf, or old board off.",
            look.WHOLE,
        ),
    ]


def window(book: Book) -> list[Check]:
    """The new pane and its place."""
    each = book.pick("4", "100")
    return [
        Check(
            "Window: gap to the new pane",
            f"=IF(window_area=0,{each},window_gap)",
            f"={each}",
            "{v}>={l}",
            "Set the new pane deeper: a narrow gap costs bass.",
        ),
        Check(
            "Window: its gap fits the depth of the walls",
            "=IF(window_area=0,0,window_gap)",
            "=inner_thickness+wall_new_gap+wall_gap+wall_near_thickness",
            MOST,
            "Move the new pane back: it stands in the new leaf.",
        ),
        Check(
            "Sound through the window, share of all",
            "=window_share/(wall_share+doors_share+holes_share)",
            "=0.5",
            MOST,
            "A heavier pane, a deeper gap, or build the window over.",
            look.PERCENT,
        ),
    ]
