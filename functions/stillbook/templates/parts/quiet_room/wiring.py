"""Wiring: the load of the circuit, connectors and their plates, boxes, cable holes, and what they leave open in a leaf."""

from __future__ import annotations

from typing import Final

from stillbook.quantities import BOX_VOLUME, LENGTH, SMALL_AREA
from stillbook.templates import look
from stillbook.templates.page import Book, Page, ResultRow
from stillbook.templates.parts.quiet_room import connectors
from stillbook.templates.parts.quiet_room.connectors import POWER

_SIGNAL_HOLE: Final = 'STILL_HOLESIZE(signal_cables,"",signal_counts,units)'
_POWER_HOLE: Final = f'STILL_HOLESIZE({POWER.name}_cable,"",power_cables,units)'
_SIGNAL_LEAK: Final = "IF(signal_count=0,0,STILL_PENETRATIONLEAK(signal_hole_size,signal_cables,hole_sealed,signal_counts,units))"
_POWER_LEAK: Final = f"IF(power_cables=0,0,STILL_PENETRATIONLEAK(power_hole_size,{POWER.name}_cable,hole_sealed,power_cables,units))"


def write(book: Book) -> Page:
    """Write the sheet."""
    page = book.page(
        "Wiring", "Every hole in a leaf is a leak: few, small, sealed full depth, and power apart from audio and data.", (44, 11, 9, 12, 12, 16), single=True
    )
    _circuit(page)
    connectors.write(book, page)
    plates = connectors.place(book, page)
    _holes(book, page)
    _boxes(book, page)
    page.caution(
        "Caution: electrical work and fire-stopping belong to licensed trades and the local code. Acoustic sealant is not "
        "firestop, and the fire listing of a putty pad is not a sound rating."
    )
    printed = page.at
    _faults(page)
    connectors.draw(book, page, plates)
    page.finish(printed)
    page.print_for_site()
    return page


def _circuit(page: Page) -> None:
    page.part(
        "Circuit",
        ResultRow("Equipment and lights", "=equipment_power+light_power", "W", "connected_load", look.WHOLE).noting(
            "It stays in the room as heat. Fans and cooling unit apart: their plates, the electrician's circuits."
        ),
        ResultRow("Circuit amps with the continuous factor", "=STILL_CIRCUITAMPS(connected_load,volts,1)", "A", "circuit_amps", key=True).noting(
            "A load of three hours or more counts 125 %."
        ),
        ResultRow("Breaker", "=breaker_amps", "A", "", look.WHOLE),
    )


def _holes(book: Book, page: Page) -> None:
    small, area = book.unit(LENGTH), book.unit(SMALL_AREA)
    boxes = "STILL_BOXLEAK(leaf_boxes,box_width,box_height,box_gap,hole_sealed,units)"
    page.part(
        "What is open in one leaf",
        ResultRow("Signal cables, one bundle", "=SUM(signal_counts)", "", "signal_count", look.WHOLE).noting("One for each signal connector."),
        ResultRow("Signal hole, diameter", f"=IF(signal_count=0,0,{_SIGNAL_HOLE})", small, "signal_hole_size", look.TWO, key=True).noting("By conduit fill."),
        ResultRow("Power cables", f"=MAX({POWER.count},IF(socket_count+light_count>0,1,0))", "", "power_cables", look.WHOLE).noting(
            "To the panel, and at least one to sockets and lights."
        ),
        ResultRow("Power hole, diameter", f"=IF(power_cables=0,0,{_POWER_HOLE})", small, "power_hole_size", look.TWO, key=True).noting(
            "Apart from the other: see what is asked on the Inputs sheet."
        ),
        ResultRow("Cable holes in each leaf", "=(signal_count>0)+(power_cables>0)", "", "hole_count", look.WHOLE),
        ResultRow("Open around the cables, sealed as given", f"={_SIGNAL_LEAK}+{_POWER_LEAK}", area, "cable_leak", look.THREE),
        ResultRow(
            "Open around the cooling unit's lines", "=IF(cooling_power>0,line_holes,0)*cable_leak/MAX(1,hole_count)", area, "line_leak", look.THREE
        ).noting("Each as a cable hole."),
        ResultRow("Boxes cut into the leaf", f"={boxes}", area, "boxes_leak", look.THREE).noting("Their gaps, sealed as the holes are. None is best."),
        ResultRow("All that is open in one leaf", "=cable_leak+line_leak+boxes_leak", area, "holes_leak", look.THREE, key=True).noting(
            "Counted in the rating on the Isolation sheet."
        ),
    )


def _faults(page: Page) -> None:
    """What the checks look at, below what is printed."""
    page.skip(2)
    used = "(connector_counts>0)"
    page.part(
        "For the checks",
        ResultRow("Largest hole in a plate", f"=SUMPRODUCT(MAX({used}*connector_holes))", "", "largest_connector_hole", look.THREE),
        ResultRow(
            "Labels given twice or missing",
            f'=SUMPRODUCT({used}*(connector_labels=""))+SUMPRODUCT({used}*(connector_labels<>"")*(COUNTIF(connector_labels,connector_labels)>1))',
            "",
            "connector_label_faults",
            look.WHOLE,
        ),
        note="not printed",
    )


def _boxes(book: Book, page: Page) -> None:
    volume = "STILL_BOXFILL(wire_size,wire_count,1,1,1,0,units)"
    cubic = book.unit(BOX_VOLUME)
    page.part(
        "Boxes",
        ResultRow("Boxes in all", "=socket_count+light_count", "", "box_count", look.WHOLE),
        ResultRow("Boxes in the treatment wall", "=box_count-leaf_boxes", "", "wall_boxes", look.WHOLE).noting(
            "Never back to back; none deeper than the treatment wall."
        ),
        ResultRow("Putty pads", "=STILL_PUTTYPADS(box_count,box_width,box_height,box_depth,putty_size,putty_size,units)", "", "putty_count", look.WHOLE).noting(
            "By the faces they cover; priced with each point."
        ),
        ResultRow("Volume a socket box needs", f"={volume}", cubic, "box_needs", key=True).noting("By the US code: wires, one device, clamps, grounds."),
        ResultRow("Smallest standard box that holds it", "=INDEX(STILL_OUTLETBOXES(box_needs,units),2,2)", cubic).noting(
            '="US box, inches: "&INDEX(STILL_OUTLETBOXES(box_needs,units),2,1)'
        ),
        note="in the inner treatment wall; a box in an isolating leaf is a leak",
    )
