"""What a test of the finished room by ISO 16283-1 would find: DnT,w, from octaves of the source outside and the level inside."""

from __future__ import annotations

from typing import Final

from stillbook.templates import look
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.parts import bands
from stillbook.trade.room.reverberation import DECAY

OCTAVES: Final = (125, 250, 500, 1000, 2000)
"""Middles of the octaves that a DnT,w takes [Hz]: the second to the sixth from 63 Hz."""


def write(book: Book, page: Page) -> None:
    """Write how it comes about, below what is printed."""
    page.skip()
    page.heading("Outside less inside, in a test by ISO 16283-1", "by octave, with the reverberation time of the absorption inside")
    bands.head_row(page, OCTAVES, ("DnT,w",))
    outside = bands.band_row(page, OCTAVES, "Outside, dB", "=INDEX(source_outside,1,{n}+1)", ())
    inside = bands.band_row(page, OCTAVES, "Inside, dB", "=INDEX(shell_inside,1,{n}+1)", ())
    decay = f"={book.pick(DECAY * 0.3048, DECAY):.6g}*room_volume/INDEX(seat_absorption,1,{{n}}+1)"
    time = bands.band_row(page, OCTAVES, "Reverberation time, s", decay, (), number_format=look.TWO)
    spectra = ",".join(bands.cells(FIRST + 1, FIRST + len(OCTAVES), row) for row in (outside, inside, time))
    told = book.result_comment("room_dntw", "Outside less inside, in a test, DnT,w", "")
    page.put(time, FIRST + 1 + len(OCTAVES), f"=STILL_DNTWRATING({spectra})", number_format=look.WHOLE)
    book.name("room_dntw", page, time, FIRST + 1 + len(OCTAVES), comment=told)
    page.skip()
