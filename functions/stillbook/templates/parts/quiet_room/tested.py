"""What tests of the finished room by ISO 16283-1 would find: DnT,w with C and Ctr of the sound outside, and DnT,w to the room next door."""

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


def write(book: Book, page: Page, shared: str = "") -> None:
    """Write how they come about, below what is printed.

    Without a name of the area that is ``shared`` with the room next door, the whole shell lies between the rooms.
    """
    page.skip()
    page.heading("Outside less inside, in a test by ISO 16283-1", "by octave, with the reverberation time of the absorption inside")
    level = f'STILL_QUIETLEVEL(INDEX(source_outside,1,{{n}}+1),INDEX(next_loss,1,{{n}}+1),{shared},INDEX(seat_absorption,1,{{n}}+1),"in the room",units)'
    decay = f"{book.pick(DECAY * 0.3048, DECAY):.6g}*room_volume/INDEX(seat_absorption,1,{{n}}+1)"
    _test(page, "room_dntw", ("Outside", "source_outside"), ("Inside", level if shared else "INDEX(shell_inside,1,{n}+1)"), decay)
    page.skip()
    page.heading("This room less next door, in such a test", "by octave, with the reverberation time next door; ducts count where they end there")
    _test(page, "next_dntw", ("In this room", "loud_inside"), ("Next door", "INDEX(next_levels,1,{n}+1)"), "next_time")
    page.skip()


def _test(page: Page, name: str, loud: tuple[str, str], quiet: tuple[str, str], decay: str) -> None:
    """The rows of a test: what each side is called and its levels, and the reverberation time on the quiet side."""
    bands.head_row(page, OCTAVES, ("DnT,w", *TERMS))
    source = bands.band_row(page, OCTAVES, f"{loud[0]}, dB", f"=INDEX({loud[1]},1,{{n}}+1)", ())
    heard = bands.band_row(page, OCTAVES, f"{quiet[0]}, dB", f"={quiet[1]}", ())
    time = bands.band_row(page, OCTAVES, "Reverberation time, s", f"={decay}", (), number_format=look.TWO)
    spectra = ",".join(bands.cells(FIRST + 1, FIRST + len(OCTAVES), row) for row in (source, heard, time))
    difference = f"={{c}}{source}-{{c}}{heard}+10*LOG10({{c}}{time}/0.5)"
    ratings = (f"=STILL_DNTWRATING({spectra})", *(f'=STILL_ADAPTATION({{s}},"{term}")' for term in TERMS))
    label = f"{loud[0]} less {quiet[0].lower()}"
    standard = bands.band_row(page, OCTAVES, f"{label}, as if at 0.5 s, dB", difference, ratings)
    told = page.book.result_comment(name, f"{label}, in a test, DnT,w", "")
    page.book.name(name, page, standard, FIRST + 1 + len(OCTAVES), comment=told)
    for offset, term in enumerate(TERMS, start=2):
        page.book.name(f"{name}_{term.lower()}", page, standard, FIRST + offset + len(OCTAVES))
