"""What a test of the finished room by ISO 16283-1 would find: DnT,w with C and Ctr, from octaves of the source outside and the level inside."""

from __future__ import annotations

from typing import Final

from stillbook.templates import look
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.parts import bands
from stillbook.trade.room.reverberation import DECAY

OCTAVES: Final = (125, 250, 500, 1000, 2000)
"""Middles of the octaves that a DnT,w takes [Hz]: the second to the sixth from 63 Hz."""

TERMS: Final = ("C", "Ctr")
"""What ISO 717-1 adds to a rating for speech and music, and for traffic and bass."""

SAID: Final = '" Foretold for a test: DnT,w (C; Ctr) "&room_dntw&" ("&room_dntw_c&"; "&room_dntw_ctr&") dB."'
"""What the test is foretold to find, as a formula without its sign."""


def write(book: Book, page: Page) -> None:
    """Write how it comes about, below what is printed."""
    page.skip()
    page.heading("Outside less inside, in a test by ISO 16283-1", "by octave, with the reverberation time of the absorption inside")
    bands.head_row(page, OCTAVES, ("DnT,w", *TERMS))
    outside = bands.band_row(page, OCTAVES, "Outside, dB", "=INDEX(source_outside,1,{n}+1)", ())
    inside = bands.band_row(page, OCTAVES, "Inside, dB", "=INDEX(shell_inside,1,{n}+1)", ())
    decay = f"={book.pick(DECAY * 0.3048, DECAY):.6g}*room_volume/INDEX(seat_absorption,1,{{n}}+1)"
    time = bands.band_row(page, OCTAVES, "Reverberation time, s", decay, (), number_format=look.TWO)
    spectra = ",".join(bands.cells(FIRST + 1, FIRST + len(OCTAVES), row) for row in (outside, inside, time))
    difference = f"={{c}}{outside}-{{c}}{inside}+10*LOG10({{c}}{time}/0.5)"
    ratings = (f"=STILL_DNTWRATING({spectra})", *(f'=STILL_ADAPTATION({{s}},"{term}")' for term in TERMS))
    standard = bands.band_row(page, OCTAVES, "Outside less inside, as if at 0.5 s, dB", difference, ratings)
    told = book.result_comment("room_dntw", "Outside less inside, in a test, DnT,w", "")
    book.name("room_dntw", page, standard, FIRST + 1 + len(OCTAVES), comment=told)
    for offset, term in enumerate(TERMS, start=2):
        book.name(f"room_dntw_{term.lower()}", page, standard, FIRST + offset + len(OCTAVES))
    page.skip()
