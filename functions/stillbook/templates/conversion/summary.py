"""The Isolation sheet's first part: each element as found and planned, the rating, and what a middle cavity costs."""

from __future__ import annotations

from typing import Final

from openpyxl.styles import Border, Font, PatternFill
from openpyxl.utils import get_column_letter

from stillbook.quantities import LENGTH
from stillbook.templates import look
from stillbook.templates.conversion.inputs import STAYS
from stillbook.templates.heights import height_for
from stillbook.templates.page import FIRST, Book, Page, ResultRow
from stillbook.templates.parts.bands import FROM_TO, WEAKEST, cells, results
from stillbook.templates.parts.quiet_room import tested
from stillbook.trade.isolation.sources import TRAFFIC

ROWS: Final = 21
"""Rows that this part takes, the blank one after it with them."""

MOST_LOST: Final = 3
"""What a middle cavity may cost from 63 to 160 Hz [dB]."""

HEAVY: Final = ("20", "100")
"""Mass per area from which a wall of one leaf is a heavy one [lb/ft², kg/m²]."""

_OITC_BANDS: Final = 18
"""Third octaves of an OITC, 80 to 4000 Hz."""

_PLACES: Final = ((1, 3), (4, 6), (7, 10), (11, 14), (15, 18), (19, 22))
"""First and last column of each figure, after the label's; they lie over the narrow bands."""

_WAYS: Final = {
    "new walls": ("walls_share", "walls_held", "walls_range"),
    "old walls": ("old_walls_share", "old_walls_held", "old_walls_range"),
    "ceiling": ("ceiling_share", "ceiling_held", "ceiling_range"),
    "window": ("window_share", "window_held", "window_range"),
    "doors": ("doors_share", "door_held", "door_range"),
    "cable holes": ("holes_share", "holes_held", "walls_range"),
    "flanking": ("flanking_share", "flanking_held", "walls_range"),
}
"""Each way of the sound: how much it lets through, what it does to the rating, and the range to show where it is the weakest."""

_SUM: Final = ",".join(share for share, _, _ in _WAYS.values())
_HELD: Final = ",".join(held for _, held, _ in _WAYS.values())


def write(book: Book, page: Page, rows: dict[str, int], stc: int, rw: int) -> None:
    """Write the part, from the rows of losses and the columns of their ratings."""
    _elements(book, page, rows, get_column_letter(stc), get_column_letter(rw))
    page.skip()
    _ratings(book, page, f"{get_column_letter(rw)}{rows['found_walls']}", f"{_by_iso(rows, stc, rw)}&{_traffic(rows, stc)}")
    for place, label in (("wall", "walls"), ("ceiling", "ceiling")):
        _message(page, _middle_cavity(book, place, label))


def _elements(book: Book, page: Page, rows: dict[str, int], stc: str, rw: str) -> None:
    page.heading("Element by element", "about 95 of 100 measured walls lie within the range")
    titles = ("", "STC as found", "STC planned", "From – to", "Rw planned", "Share of the sound", "Range, dB")
    _wide_row(page, titles, font=look.STRONG, border=look.HEAD_ROW, fill=look.HEAD)
    kinds = _kinds()
    for label, old, new, share, absent in (
        ("Walls with a new leaf", "found_walls", "walls", "walls_share", "wall_new_area=0"),
        ("Walls left as they are", "found_walls", "old_walls", "old_walls_share", "wall_old_area=0"),
        ("Ceiling", "found_ceiling", "ceiling", "ceiling_share", ""),
        ("Window", "found_window", "window", "window_share", "window_area=0"),
        ("Door", "found_door", "door", "doors_share", ""),
    ):
        before, after, weighted = f"{stc}{rows[old]}", f"{stc}{rows[new]}", f"{rw}{rows[new]}"
        values = (before, after, f'TEXT({after}-{new}_range,"0")&" – "&TEXT({after}+{new}_range,"0")', weighted)
        shown = [f'=IF({absent},"none",{value})' if absent else f"={value}" for value in values]
        book.name(f"{new}_range", page, page.at, FIRST + _PLACES[5][0])
        _wide_row(page, (label, *shown, f"={share}/SUM({_SUM})", f"={kinds[new]}"))
    for label, share in (("Cable holes", "holes_share"), ("What flanks the room", "flanking_share")):
        _wide_row(page, (label, None, None, None, None, f"={share}/SUM({_SUM})", None))
    room = (f"={stc}{rows['found']}", "=room_stc", "=stc_from_to", f"={rw}{rows['room']}")
    _wide_row(page, ("Room, all together", *room, None, None), font=look.STRONG, border=look.TOTAL_ROW)


def _kinds() -> dict[str, str]:
    """The range of each element's prediction, by its construction; three leaves take that of all walls."""
    found = 'IF({0}_near_board_1="","single panel",{0}_found_framing)'
    lined = 'IF({0}_leaves=3,"isolation clips",IF({0}_near_board_1="","lined masonry",{0}_fixing))'
    reach = "STILL_RATINGUNCERTAINTY({0})"
    ceiling = f"IF(lined_ceiling_area=0,{found.format('ceiling')},{lined.format('ceiling')})"
    return {
        "walls": f"IF(lab_used=1,2,{reach.format(lined.format('wall'))})",
        "old_walls": reach.format(found.format("wall")),
        "ceiling": reach.format(ceiling),
        "window": reach.format('"window frame"'),
        "door": reach.format('IF(door_arrangement="pair","pair of doors","door")'),
    }


def _traffic(rows: dict[str, int], stc: int) -> str:
    """What the room is rated against road traffic, where that is what must not be heard, as a formula without its sign."""
    found, planned = (f"STILL_OITCRATING({cells(stc - _OITC_BANDS, stc - 1, rows[key])})" for key in ("found", "room"))
    said = f'" Against road traffic OITC, by ASTM E1332, "&{found}&" as found, "&{planned}&" converted."'
    return f'IF(source_kind="{TRAFFIC}",{said},"")'


def _by_iso(rows: dict[str, int], stc: int, rw: int) -> str:
    """The room's rating by ISO 717-1 with both its terms, as a formula without its sign."""
    spectrum = cells(stc - _OITC_BANDS + 1, stc - 2, rows["room"])
    terms = '&"; "&'.join(f'STILL_ADAPTATION({spectrum},"{term}")' for term in tested.TERMS)
    return f'" Rw (C; Ctr) "&{get_column_letter(rw)}{rows["room"]}&" ("&{terms}&") by ISO 717-1."'


def _ratings(book: Book, page: Page, found_rw: str, more: str) -> None:
    weakest, spread = '"flanking"', "walls_range"
    for word, (_, held, name) in reversed(_WAYS.items()):
        weakest = f'IF({held}<=MIN({_HELD}),"{word}",{weakest})'
        spread = f'IF(room_weakest="{word}",{name},{spread})'
    layers = "wall_far_layers,wall_near_layers,inner_layers"
    three = f"INDEX(STILL_THREELEAFRESONANCE({layers},wall_found_gap,wall_new_gap,cavity_fill,units),1,2)"
    two = "STILL_RESONANCE(wall_far_layers,inner_layers,cavity,cavity_fill,units)"
    heavy = f'AND(wall_near_board_1="",wall_far_mass>={book.pick(*HEAVY)})'
    lining = f"STILL_LININGGAIN(wall_far_layers,inner_layers,wall_new_gap,{found_rw},units)"
    results(
        page,
        ResultRow("Room, STC", "=room_stc_cell", "", "room_stc", key=True, best="most").noting(f'="All around the room together."&{more}'),
        ResultRow("Range either way", f"={spread}", "dB", "stc_range").noting(
            "Of the weakest element. Walls of three leaves were not judged by measurements and take the widest."
        ),
        FROM_TO,
        ResultRow("Weakest element", f"={weakest}", "", "room_weakest", key=True).noting(WEAKEST),
        ResultRow("Resonance of the walls", f"=IF(wall_leaves=3,{three},{two})", "Hz", "leaf_resonance").noting(
            "The upper of two where there are three leaves. Below it the cavity does not help."
        ),
        ResultRow("Dip of the new leaf", '=STILL_COINCIDENCE(inner_layers,"loose",units)', "Hz", "leaf_dip").noting(
            "Coincidence; two unlike leaves dip at different places."
        ),
        ResultRow("Gain of Rw on a heavy wall", f'=IF({heavy},{lining},"no heavy wall")', "dB", "lining_gain").noting(
            "By ISO 12354-1, to compare: for a wall of one heavy leaf, the lining on a frame of its own."
        ),
    )


def _middle_cavity(book: Book, place: str, label: str) -> str:
    """What the plan for the old board does at low frequency, in words."""
    small = book.unit(LENGTH)
    gain = f'TEXT({place}_low_gain,"0")'
    back = f'TEXT({place}_near_thickness,"{book.pick("0.0#", "0")}")&" {small}"'
    middle = f'TEXT({place}_new_gap,"{book.pick("0.0", "0")}")&" {small}"'
    ask = "First ask what it does for fire and bracing."
    start = label.capitalize()
    left = f'"{start}: left as found."'
    one = f'"{start}: one leaf as found; with the new one they become two."'
    worse = (
        f'"WARNING, {label}: over the old board the new leaf makes three leaves with a new cavity of only "&{middle}'
        f'&". From 63 to 160 Hz that does up to "&{gain}&" dB less than the same new leaf with the old board off. '
        f'Better: take the old board off; it also gives back "&{back}&". {ask}"'
    )
    deep = (
        f'"{start}: the old board stays: three leaves. With a new cavity of "&{middle}&" that costs no more than '
        f'{MOST_LOST} dB from 63 to 160 Hz against the old board off. A narrower one would cost more."'
    )
    off = (
        f'"{start}: the old board comes off, so that two leaves share one deep cavity"'
        f'&IF({place}_low_gain>=1,". Left on, the middle cavity would cost up to "&{gain}&" dB from 63 to 160 Hz",'
        f'". By this prediction it could stay as well")&". {ask}"'
    )
    chosen = f'IF({place}_board="{STAYS}",IF({place}_low_gain>{MOST_LOST},{worse},{deep}),{off})'
    return f'=IF(lined_{place}_area=0,{left},IF({place}_near_board_1="",{one},{chosen}))'


def _wide_row(page: Page, values: tuple[str | None, ...], *, font: Font = look.BODY, border: Border = look.ROW, fill: PatternFill | None = None) -> None:
    """A row of the summary: the label, then each value over several of the narrow columns."""
    row = page.at
    for column in range(FIRST, page.last_column + 1):
        page.put(row, column, None, border=border, fill=fill)
    page.put(row, FIRST, values[0] or None, font=font, border=border, fill=fill)
    formats = (look.WHOLE, look.WHOLE, look.WHOLE, look.WHOLE, look.PERCENT, '"± "0')
    for (first, last), value, number_format in zip(_PLACES, values[1:], formats, strict=True):
        page.put(row, FIRST + first, value, font=font, number_format=number_format, border=border, fill=fill).alignment = look.UNIT
        page.merge(row, FIRST + first, FIRST + last)
    page.at += 1


def _message(page: Page, formula: str) -> None:
    """A caution whose words follow from the inputs, over two lines of the page."""
    row = page.at
    page.put(row, FIRST, formula, font=look.STRONG, border=look.CAUTION, align=look.MARKED)
    page.merge(row, FIRST)
    page.sheet.row_dimensions[row].height = height_for("x" * 300, sum(page.widths) - 2, look.BODY.size)
    page.at += 1
