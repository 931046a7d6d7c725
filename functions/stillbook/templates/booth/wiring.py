"""Wiring: the load of the circuit, the holes for cables, and what they leave open."""

from __future__ import annotations

from stillbook.templates import look
from stillbook.templates.page import Book, Page, Result


def write(book: Book) -> Page:
    """Write the sheet."""
    small, area = book.pick("in", "mm"), book.pick("in²", "mm²")
    page = book.page(
        "Wiring",
        "Every hole in a leaf is a leak: few, small, sealed full depth, and power apart from audio and data.",
        (44, 11, 9, 12, 12, 16),
        single=True,
    )
    each = "ROUNDUP(cable_count/MAX(1,hole_count),0)"
    page.heading("Circuit")
    for entry in (
        Result("Equipment and lights", "=equipment_power+light_power", "W", "connected_load", look.WHOLE),
        Result("Circuit amps with the continuous factor", "=STILL_CIRCUITAMPS(connected_load,volts,1)", "A", "circuit_amps",
               look.ONE, "A load of three hours or more counts 125 %.", key=True),
        Result("Breaker", "=breaker_amps", "A", "", look.WHOLE),
    ):  # fmt: skip
        page.result(entry)
    page.skip()
    page.heading("Cable holes")
    for entry in (
        Result("Cables in each hole", f"={each}", "", "cables_each", look.WHOLE, "Spread evenly over the holes."),
        Result("Cable hole, diameter", '=STILL_HOLESIZE(cable_diameter,"",cables_each,units)', small, "hole_size", look.TWO,
               "By conduit fill.", key=True),
        Result("Open around the cables, each hole sealed as given",
               "=STILL_PENETRATIONLEAK(hole_size,cable_diameter,hole_sealed,cables_each,units)", area, "hole_leak", look.THREE),
        Result("All holes through one leaf", "=hole_leak*hole_count", area, "holes_leak", look.THREE),
    ):  # fmt: skip
        page.result(entry)
    page.note(
        "Sockets and switches sit in the inner treatment wall. A box cut into an isolating leaf counts as a leak."
    )
    page.skip()
    page.caution(
        "Caution: electrical work and fire-stopping belong to licensed trades and the local code. Acoustic sealant is not firestop."
    )
    page.finish()
    return page
