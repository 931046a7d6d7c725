"""Wiring: the load of the circuit, cable holes, boxes, connector panels, and what they leave open in a leaf."""

from __future__ import annotations

from stillbook.quantities import BOX_VOLUME, LENGTH, SMALL_AREA
from stillbook.templates import look
from stillbook.templates.page import Book, Page, ResultRow


def write(book: Book) -> Page:
    """Write the sheet."""
    page = book.page(
        "Wiring", "Every hole in a leaf is a leak: few, small, sealed full depth, and power apart from audio and data.", (44, 11, 9, 12, 12, 16), single=True
    )
    _circuit(page)
    _holes(book, page)
    _boxes(book, page)
    _panels(book, page)
    page.caution(
        "Caution: electrical work and fire-stopping belong to licensed trades and the local code. Acoustic sealant is not "
        "firestop, and the fire listing of a putty pad is not a sound rating."
    )
    page.finish()
    page.print_for_site()
    return page


def _circuit(page: Page) -> None:
    page.part(
        "Circuit",
        ResultRow("Equipment and lights", "=equipment_power+light_power", "W", "connected_load", look.WHOLE).noting(
            "All of it stays in the room as heat: see the Air sheet."
        ),
        ResultRow("Circuit amps with the continuous factor", "=STILL_CIRCUITAMPS(connected_load,volts,1)", "A", "circuit_amps", key=True).noting(
            "A load of three hours or more counts 125 %."
        ),
        ResultRow("Breaker", "=breaker_amps", "A", "", look.WHOLE),
    )


def _holes(book: Book, page: Page) -> None:
    small, area = book.unit(LENGTH), book.unit(SMALL_AREA)
    each = "ROUNDUP(cable_count/MAX(1,hole_count),0)"
    boxes = "STILL_BOXLEAK(leaf_boxes,box_width,box_height,box_gap,hole_sealed,units)"
    page.part(
        "What is open in one leaf",
        ResultRow("Cables in each hole", f"={each}", "", "cables_each", look.WHOLE).noting("Spread evenly over the holes."),
        ResultRow("Cable hole, diameter", '=STILL_HOLESIZE(cable_diameter,"",cables_each,units)', small, "hole_size", look.TWO, key=True).noting(
            "By conduit fill."
        ),
        ResultRow(
            "Open around the cables, each hole sealed as given",
            "=STILL_PENETRATIONLEAK(hole_size,cable_diameter,hole_sealed,cables_each,units)",
            area,
            "hole_leak",
            look.THREE,
        ),
        ResultRow("All cable holes, and those of the cooling unit's lines", "=hole_leak*(hole_count+IF(cooling_power>0,line_holes,0))", area, "", look.THREE),
        ResultRow("Boxes cut into the leaf", f"={boxes}", area, "boxes_leak", look.THREE).noting("Their gaps, sealed as the holes are. None is best."),
        ResultRow(
            "All that is open in one leaf", "=hole_leak*(hole_count+IF(cooling_power>0,line_holes,0))+boxes_leak", area, "holes_leak", look.THREE, key=True
        ).noting("Counted in the rating on the Isolation sheet."),
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


def _panels(book: Book, page: Page) -> None:
    small = book.unit(LENGTH)
    page.heading("Connector panels", "audio, data and power each on a plate of their own")
    page.head_row(("Panel", "Connectors", "", f"Hole, {small}", f"Row, {small}", f"From power, {small}"))
    for label, count, apart in (
        ("Audio", "audio_connectors", "=power_apart"),
        ("Data", "data_connectors", "=power_apart"),
        ("Power, in a box by the electrician", "power_connectors", None),
    ):
        page.row(
            (label, f"={count}", None, "=connector_hole" if apart else None, f"={count}*connector_pitch", apart),
            ("text", look.WHOLE, "", look.TWO, look.ONE, look.WHOLE),
        )
    page.note(
        "Plates sit on boxes in the treatment wall. Only cables pass the leaf: power in one hole, audio and data in others. "
        "Where they must meet, cross at right angles. Row: length of one row at the spacing on the Inputs sheet."
    )
    page.skip()
