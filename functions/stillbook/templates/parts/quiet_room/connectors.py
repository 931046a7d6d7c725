"""Connector schedule: each kind of connector with its count, hole, cable and label, and the plates to scale."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, pi, sin
from typing import Final

from stillbook.quantities import LENGTH, ROOM_LENGTH
from stillbook.templates import look
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.parts.drawing import PANEL, POWER_PANEL, Drawing, Point

_DRAWN: Final = 24
"""Signal connectors that a plate is drawn with; the count goes on in words."""
_POWER_DRAWN: Final = 4
_IN_A_ROW: Final = 8
_ROWS_APART: Final = 1.5
"""Rows of holes, in spacings of connectors: room for a label over each hole."""
_SIDES: Final = 8
"""Sides that a round hole is drawn with."""
_SIZE: Final = (18.0, 5.2)
"""Of the drawing on paper, in centimetres."""
_ROWS: Final = 10
"""Rows of usual height that it takes."""


@dataclass(frozen=True)
class Connector:
    """A kind of connector.

    Args:
        name: What the names of its inputs begin with.
        words: What the trade calls it.
        label: What is written beside each of them on the plate, before its number.
        code: Its code among the unit costs.
        pieces: How many a new workbook has.
        hole: Its hole in the plate, in inches and in millimetres.
        cable: The diameter of its cable, in the same.
    """

    name: str
    words: str
    label: str
    code: str
    pieces: int
    hole: tuple[float, float]
    cable: tuple[float, float]

    @property
    def count(self) -> str:
        """The name of its count."""
        return f"{self.name}_connectors"


KINDS: Final = (
    Connector("mic", "Microphone in", "MIC", "MICIN", 4, (0.95, 24), (0.25, 6)),
    Connector("line", "Line out", "LINE", "LINEOUT", 2, (0.95, 24), (0.25, 6)),
    Connector("jack", "Balanced jack", "JACK", "JACK", 2, (0.95, 24), (0.25, 6)),
    Connector("network", "Network", "NET", "NETWORK", 1, (0.95, 24), (0.25, 6)),
    Connector("display", "Display", "DISP", "DISPLAY", 1, (0.95, 24), (0.35, 9)),
    Connector("power", "Power, in a box by the electrician", "PWR", "INLET", 1, (0.95, 24), (0.4, 10)),
)
"""Sizes are common practice, no source: the maker's drawing of the connector goes before them. Power stands last."""
POWER: Final = KINDS[-1]

_TOLD: Final = (
    "Connector plates to scale: the holes of the signal plate in rows, each with its label, and the power plate apart from it. Counts, holes, "
    "cables and labels also stand in the schedule above."
)


def write(book: Book, page: Page) -> None:
    """Write the schedule, what is typed in it, and what it comes to."""
    small = book.unit(LENGTH)
    page.heading("Connector schedule", "signal on one plate, power on another; every cable ends at its connector")
    page.head_row(("Kind", "Count", f"Hole, {small}", f"Cable, {small}", "Label", "Marked"), words=(0, 4, 5))
    first = page.at
    for kind in KINDS:
        row = page.at
        page.put(row, FIRST, kind.words, border=look.ROW)
        for offset, entry in enumerate(
            (
                book.input(kind.count, f"{kind.words}: count", "", kind.pieces, 0, 60, whole=True).saying("Connectors of this kind on the plate."),
                book.input(f"{kind.name}_hole", f"{kind.words}: hole", LENGTH, kind.hole, (0.1, 3), (4, 100), look.TWO).saying("In the plate, diameter."),
                book.input(f"{kind.name}_cable", f"{kind.words}: cable", LENGTH, kind.cable, (0.05, 1), (4, 100), look.TWO).saying("Outside diameter, each."),
                book.input(f"{kind.name}_label", f"{kind.words}: label", "text", kind.label, longest=12).saying("On the plate and on both ends of the cable."),
            ),
            start=1,
        ):
            page.input_cell(row, FIRST + offset, entry)
        marked = f'{kind.name}_label&" 1"&IF({kind.count}>1," to "&{kind.count},"")'
        page.put(row, FIRST + 5, f'=IF(N({kind.count})=0,"none",{marked})', border=look.ROW, align=look.UNIT)
        page.at += 1
    for offset, name in enumerate(("connector_counts", "connector_holes", "connector_cables", "connector_labels"), start=1):
        page.name(name, first, FIRST + offset, page.at - 1)
        page.name(name.replace("connector", "signal"), first, FIRST + offset, page.at - 2)
    page.note(
        "Power stands on a plate of its own. Holes are of the connector's size, for its maker's drawing to confirm; a cable is marked at both ends "
        "with the label of its connector."
    )
    page.skip()


def draw(book: Book, page: Page, at: int) -> None:
    """Draw the plates at the row ``at``, from points below what the page prints."""
    page.skip(2)
    page.heading("Points of the plates", "not printed; nothing is typed here")
    _figures(book, page)
    centres = {number: _centre(book, page, number) for number in range(1, _DRAWN + 1)}
    powered = {number: _power_centre(book, page, number) for number in range(1, _POWER_DRAWN + 1)}
    drawing = Drawing(page, "plate", _SIZE, ("plate_across", "plate_high"), _TOLD)
    any_signal, any_power = "IF(signal_count>0,1,0)", f"IF({POWER.count}>0,1,0)"
    drawing.rectangle("Signal plate", PANEL, ("0", "0"), ("plate_wide", f"plate_high*{any_signal}"))
    drawing.rectangle("Power plate", POWER_PANEL, ("plate_power_left", "0"), ("plate_power_wide", f"plate_high*{any_power}"))
    for number, row in centres.items():
        drawing.line(f"Signal hole {number}", PANEL, _round(row))
        _label(drawing, row, f"Signal label {number}")
    for number, row in powered.items():
        drawing.line(f"Power hole {number}", POWER_PANEL, _round(row))
        _label(drawing, row, f"Power label {number}")
    under = "-5/plate_scale"
    unit = book.unit(LENGTH)
    each = book.units_in(LENGTH, ROOM_LENGTH)
    drawing.dimension("Width of the signal plate", ("0", under), ("plate_wide", under), f'IF(signal_count=0," ",TEXT(plate_wide*{each},"0.0#")&" {unit}")', "b")
    apart = f'IF({POWER.count}*signal_count=0," ",TEXT(power_apart,"0")&" {unit} apart at least")'
    drawing.word("Power apart", ("(plate_wide+plate_power_left)/2", "plate_high/2"), apart)
    drawing.close()
    drawing.show(page, at)


def place(book: Book, page: Page) -> int:
    """Leave room for the drawing of the plates, with their sizes in words; gives its row."""
    small = book.unit(LENGTH)
    fine = book.pick("0.0#", "0")
    each = book.units_in(LENGTH, ROOM_LENGTH)
    page.heading("Plates", "to scale, seen from the room; power not at its distance")
    at = page.at
    page.skip(_ROWS)
    size = f'TEXT(plate_wide*{each},"{fine}")&" × "&TEXT(plate_high*{each},"{fine}")&" {small}"'
    spacing = (
        f'TEXT(connector_pitch,"{fine}")&" {small} centre to centre and from each edge, rows "&TEXT(connector_pitch*{_ROWS_APART},"{fine}")&" {small} apart"'
    )
    more = f'IF(signal_count>{_DRAWN},"; the first {_DRAWN} of "&signal_count&" are drawn","")'
    page.put(page.at, FIRST, f'=IF(signal_count=0,"No signal plate.","Signal plate "&{size}&": "&{spacing}&{more}&".")', font=look.QUIET, align=look.UNDER)
    page.merge(page.at, FIRST)
    page.sheet.row_dimensions[page.at].height = 28
    page.skip(2)
    return at


def _figures(book: Book, page: Page) -> None:
    """Sizes of both plates in the unit of the room, and how many signal connectors stand before each kind."""
    each = book.units_in(LENGTH, ROOM_LENGTH)
    for label, name, formula in (
        ("Spacing", "plate_pitch", f"=connector_pitch/{each}"),
        ("Columns, signal", "plate_columns", f"=MIN({_IN_A_ROW},MAX(1,signal_count))"),
        ("Rows, signal", "plate_rows", f"=ROUNDUP(MIN({_DRAWN},MAX(1,signal_count))/plate_columns,0)"),
        ("Width, signal", "plate_wide", "=IF(signal_count=0,0,(plate_columns+1)*plate_pitch)"),
        ("Height", "plate_high", f"=((plate_rows-1)*{_ROWS_APART}+2)*plate_pitch"),
        ("Left of power", "plate_power_left", "=IF(signal_count=0,0,plate_wide+4*plate_pitch)"),
        ("Width, power", "plate_power_wide", f"=IF({POWER.count}=0,0,(MIN({_POWER_DRAWN},{POWER.count})+1)*plate_pitch)"),
        ("Across", "plate_across", "=MAX(plate_pitch,plate_power_left*IF(plate_power_wide>0,1,0)+plate_power_wide,plate_wide)"),
    ):
        page.put(page.at, FIRST, label, font=look.SMALL)
        page.put(page.at, FIRST + 2, formula, font=look.SMALL, number_format=look.TWO)
        page.name(name, page.at, FIRST + 2)
        page.at += 1
    first = page.at
    for number in range(len(KINDS) - 1):
        page.put(page.at, FIRST, f"Before kind {number + 1}", font=look.SMALL)
        before = "+".join(f"N({kind.count})" for kind in KINDS[:number])
        page.put(page.at, FIRST + 2, f"={before or '0'}", font=look.SMALL)
        page.at += 1
    page.name("signals_before", first, FIRST + 2, page.at - 1)


def _centre(book: Book, page: Page, number: int) -> int:
    """The row of a signal hole: its label, across, up, and half its width; nothing of it where there are fewer."""
    each = book.units_in(LENGTH, ROOM_LENGTH)
    kind, there = f"MATCH({number - 1},signals_before,1)", f"IF(signal_count<{number},0,1)"
    label = f'INDEX(signal_labels,{kind})&" "&({number}-INDEX(signals_before,{kind}))'
    across = f"(MOD({number - 1},plate_columns)+1)*plate_pitch*{there}"
    up = f"(plate_high-(1+{_ROWS_APART}*INT({number - 1}/plate_columns))*plate_pitch)*{there}"
    half = f"INDEX(signal_holes,{kind})/2/{each}*{there}"
    return _hole(page, f"Signal hole {number}", f'=IF(signal_count<{number}," ",{label})', across, up, half)


def _power_centre(book: Book, page: Page, number: int) -> int:
    """The row of a power hole, in the same columns."""
    each = book.units_in(LENGTH, ROOM_LENGTH)
    there = f"IF({POWER.count}<{number},0,1)"
    across = f"plate_power_left+{number}*plate_pitch*{there}"
    return _hole(
        page,
        f"Power hole {number}",
        f'=IF({POWER.count}<{number}," ",{POWER.name}_label&" {number}")',
        across,
        f"plate_high/2*{there}",
        f"{POWER.name}_hole/2/{each}*{there}",
    )


def _hole(page: Page, what: str, label: str, across: str, up: str, half: str) -> int:
    row = page.at
    page.put(row, FIRST, what, font=look.SMALL)
    page.put(row, FIRST + 1, label, font=look.SMALL, align=look.UNWRAPPED)
    for offset, formula in enumerate((across, up, half), start=2):
        page.put(row, FIRST + offset, f"={formula}", font=look.SMALL, number_format=look.THREE)
    page.at += 1
    return row


def _round(row: int) -> list[Point]:
    """A round hole, from its row of centre and half width."""
    turns = [2 * pi * (n + 0.5) / _SIDES for n in range(_SIDES + 1)]
    return [(f"$D${row}+$F${row}*{round(cos(turn), 4):g}", f"$E${row}+$F${row}*{round(sin(turn), 4):g}") for turn in turns]


def _label(drawing: Drawing, row: int, what: str) -> None:
    """The label of a hole, over it."""
    drawing.word(what, (f"$D${row}", f"$E${row}+$F${row}"), f"$C${row}", "t")
