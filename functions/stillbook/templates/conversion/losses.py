"""Losses of the conversion's elements in one band, as formulas.

In each, ``bands`` is what the formula is asked for, such as the cell of a frequency, and ``number`` the place of the
answer.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from stillbook.templates.conversion.inputs import FRAMES, STAYS, THERE
from stillbook.templates.page import Book
from stillbook.templates.parts.bands import door_loss, small_areas


@dataclass(frozen=True)
class Around:
    """What lies around a room or between two, by the names of its cells: areas of walls with a new leaf and without, of
    ceiling, window and door, of all of it, and what is open of cable holes."""

    elements: tuple[str, str, str, str, str]
    area: str
    holes: str


OPENS_THERE: Final = f'next_openings="{THERE}"'
"""Whether ducts, boxes and cable holes open into the room next door."""

SHELL: Final = Around(("wall_new_area", "wall_old_area", "ceiling_found_area", "window_area", "door_area"), "envelope_area", "holes_leak")
SHARED: Final = Around(
    ("next_new_area", "next_old_area", "next_ceiling_area", "next_window_area", "next_door_area"), "next_area", f"IF({OPENS_THERE},holes_leak,0)"
)
"""All around the room, and what it shares with the room next door."""


def found(place: str, bands: str, number: str) -> str:
    """Loss of a wall or ceiling as found: one leaf, or two with their cavity."""
    area = f"{place}_found_area,units),1,{number})"
    one = f'INDEX(STILL_LEAFTL({place}_far_layers,{bands},"",{area}'
    cavity = ",".join(f"{place}_found_{part}" for part in ("gap", "fill", "framing", "spacing"))
    two = f"INDEX(STILL_WALLTL({place}_far_layers,{place}_near_layers,{cavity},{bands},{area}"
    return f'IF({place}_near_board_1="",{one},{two})'


def over_board(place: str, bands: str, number: str, leaf: str = "inner_layers") -> str:
    """Loss with the new leaf over what stands: three leaves, or two where the wall as found is one."""
    three = (
        f"INDEX(STILL_THREELEAFTL({place}_far_layers,{place}_near_layers,{leaf},{place}_found_gap,{place}_new_gap,"
        f"{place}_found_fill,cavity_fill,{place}_found_framing,{place}_fixing,{place}_found_spacing,stud_spacing,{bands},"
        f"{place}_found_area,units),1,{number})"
    )
    return f'IF({place}_near_board_1="",{_two_leaves(place, place + "_new_gap", bands, number, leaf)},{three})'


def board_off(place: str, bands: str, number: str, leaf: str = "inner_layers") -> str:
    """Loss with the old board off: two leaves with all of the depth between them."""
    depth = f'{place}_new_gap+IF({place}_near_board_1="",0,{place}_found_gap)'
    return _two_leaves(place, depth, bands, number, leaf)


def _two_leaves(place: str, depth: str, bands: str, number: str, leaf: str) -> str:
    return f"INDEX(STILL_WALLTL({place}_far_layers,{leaf},{depth},cavity_fill,{place}_fixing,stud_spacing,{bands},{place}_found_area,units),1,{number})"


def planned(place: str, bands: str, number: str, leaf: str = "inner_layers") -> str:
    """Loss of the surface with its new leaf, as the old board is planned."""
    over, off = (of(place, bands, number, leaf) for of in (over_board, board_off))
    return f'IF({place}_board="{STAYS}",{over},{off})'


def ceiling_planned(bands: str, number: str, leaf: str = "inner_layers") -> str:
    """Loss of the ceiling, with a new leaf or left as it is."""
    return f"IF(lined_ceiling_area=0,{found('ceiling', bands, number)},{planned('ceiling', bands, number, leaf)})"


def window_found(bands: str, number: str) -> str:
    """Loss of the window as found: one pane, or a sealed unit."""
    one = f'INDEX(STILL_LEAFTL(pane_far,{bands},"",window_area,units),1,{number})'
    two = f'INDEX(STILL_WALLTL(pane_far,pane_near,pane_gap,"empty","window frame",window_width,{bands},window_area,units),1,{number})'
    return f'IF(window_area=0,99,IF(pane_near="",{one},{two}))'


def window_planned(bands: str, number: str) -> str:
    """Loss of the window with its new pane in the new leaf."""
    two = f'INDEX(STILL_WALLTL(pane_far,new_pane,window_gap,"empty","{FRAMES}","",{bands},window_area,units),1,{number})'
    three = (
        f'INDEX(STILL_THREELEAFTL(pane_far,pane_near,new_pane,pane_gap,window_gap,"empty","empty","window frame",'
        f'"{FRAMES}",window_width,"",{bands},window_area,units),1,{number})'
    )
    return f'IF(window_area=0,99,IF(pane_near="",{two},{three}))'


def door_found(bands: str, number: str) -> str:
    """Loss of the door as found, with its gaps."""
    ask = f"STILL_DOORTL(old_door,door_width,door_height,old_door_gap,old_door_sealed,{bands},units)"
    return f"INDEX({ask},1,{number})"


def whole(book: Book, bands: str, number: str, *, shared: bool = False) -> str:
    """Loss of all that is around the converted room, flanking and cable holes with it, in one formula.

    With ``shared`` it is that of what the room shares with the one next door.
    """
    return around(
        book,
        SHARED if shared else SHELL,
        walls=planned("wall", bands, number),
        old_walls=found("wall", bands, number),
        ceiling=ceiling_planned(bands, number),
        window=window_planned(bands, number),
        door=door_loss(book, "seal_share", bands, number),
    )


def around(book: Book, what: Around, *, walls: str, old_walls: str, ceiling: str, window: str, door: str) -> str:
    """Loss of these elements together, each given by a formula of its own, flanking and cable holes with them."""
    parts = zip(what.elements, (walls, old_walls, ceiling, window, door), strict=True)
    passed = "+".join(f"{area}*10^(-({loss})/10)" for area, loss in parts)
    holes = f"{what.holes}/{small_areas(book)}"
    return f"-10*LOG10(({passed}+{what.area}*10^(-flanking_limit/10)+{holes})/{what.area})"
