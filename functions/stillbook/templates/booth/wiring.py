"""Wiring: the load of the circuit, cable holes, boxes, connector panels, and what they leave open in a leaf."""

from __future__ import annotations

from stillbook.templates import look
from stillbook.templates.page import Book, Page, Result


def write(book: Book) -> Page:
    """Write the sheet."""
    page = book.page(
        "Wiring",
        "Every hole in a leaf is a leak: few, small, sealed full depth, and power apart from audio and data.",
        (44, 11, 9, 12, 12, 16),
        single=True,
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
    return page


def _circuit(page: Page) -> None:
    page.part(
        "Circuit",
        Result("Equipment and lights", "=equipment_power+light_power", "W", "connected_load", look.WHOLE,
               "All of it stays in the room as heat: see the Air sheet."),
        Result("Circuit amps with the continuous factor", "=STILL_CIRCUITAMPS(connected_load,volts,1)", "A", "circuit_amps",
               look.ONE, "A load of three hours or more counts 125 %.", key=True),
        Result("Breaker", "=breaker_amps", "A", "", look.WHOLE),
    )  # fmt: skip


def _holes(book: Book, page: Page) -> None:
    small, area = book.pick("in", "mm"), book.pick("in²", "mm²")
    each = "ROUNDUP(cable_count/MAX(1,hole_count),0)"
    boxes = "STILL_BOXLEAK(leaf_boxes,box_width,box_height,box_gap,hole_sealed,units)"
    page.part(
        "What is open in one leaf",
        Result("Cables in each hole", f"={each}", "", "cables_each", look.WHOLE, "Spread evenly over the holes."),
        Result("Cable hole, diameter", '=STILL_HOLESIZE(cable_diameter,"",cables_each,units)', small, "hole_size", look.TWO,
               "By conduit fill.", key=True),
        Result("Open around the cables, each hole sealed as given",
               "=STILL_PENETRATIONLEAK(hole_size,cable_diameter,hole_sealed,cables_each,units)", area, "hole_leak", look.THREE),
        Result("All cable holes", "=hole_leak*hole_count", area, "", look.THREE),
        Result("Boxes cut into the leaf", f"={boxes}", area, "boxes_leak", look.THREE, "Their gaps, sealed as the holes are. None is best."),
        Result("All that is open in one leaf", "=hole_leak*hole_count+boxes_leak", area, "holes_leak", look.THREE,
               "Counted in the rating on the Isolation sheet.", key=True),
    )  # fmt: skip


def _boxes(book: Book, page: Page) -> None:
    volume = "STILL_BOXFILL(wire_size,wire_count,1,1,1,0,units)"
    cubic = book.pick("in³", "cm³")
    page.part(
        "Boxes",
        Result("Boxes in all", "=socket_count+light_count", "", "box_count", look.WHOLE),
        Result("Boxes in the treatment wall", "=box_count-leaf_boxes", "", "wall_boxes", look.WHOLE,
               "Never back to back; none deeper than the treatment wall."),
        Result("Putty pads", "=STILL_PUTTYPADS(box_count,box_width,box_height,box_depth,putty_size,putty_size,units)", "",
               "putty_count", look.WHOLE, "By the faces they cover; priced with each point."),
        Result("Volume a socket box needs", f"={volume}", cubic, "box_needs", look.ONE,
               "By the US code: wires, one device, clamps, grounds.", key=True),
        Result("Smallest standard box that holds it", "=INDEX(STILL_OUTLETBOXES(box_needs,units),2,2)", cubic, "", look.ONE,
               '="US box, inches: "&INDEX(STILL_OUTLETBOXES(box_needs,units),2,1)'),
        note="in the inner treatment wall; a box in an isolating leaf is a leak",
    )  # fmt: skip


def _panels(book: Book, page: Page) -> None:
    small = book.pick("in", "mm")
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
