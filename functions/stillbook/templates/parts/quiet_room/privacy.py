"""Whether speech in the room is understood next door: the speech privacy class, where the noise there is known."""

from __future__ import annotations

from typing import Final

from stillbook.templates import look
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.parts import bands
from stillbook.templates.parts.octaves import OCTAVES

BANDS: Final = (*bands.THIRDS[1:], 5000)
"""Middles of the third octaves of ASTM E2638, 160 to 5000 Hz."""

NUMBER: Final = "{n}+5"
"""The number of such a band among all third octaves, which begin at 50 Hz."""

KNOWN: Final = f"COUNT(next_noise)={len(OCTAVES)}"
"""Whether the noise next door is known in all octaves."""

LOW_END: Final = 'TEXT(INT(speech_privacy_low),"0")'
"""The low end of the class, rounded down, as what it keeps begins at whole classes."""

SAID: Final = f'=IF({KNOWN},"SPC "&TEXT(INT(speech_privacy),"0")&", low end "&{LOW_END}&": "&speech_kept,"")'
"""The class and what its low end keeps, beside the noise that it goes with."""

TOLD: Final = f'IF({KNOWN}," Next door, by prediction: SPC "&{LOW_END}&" at the low end, "&speech_kept&" (ASTM E2638).","")'
"""What its low end keeps, as a sentence to follow another, as a formula without its sign."""


def write(book: Book, page: Page, whole: str, area: str, absorption: str, kind: str, ducts: str = "TRUE") -> None:
    """Write how the class comes about, below what is printed.

    Args:
        book: The workbook.
        page: The page.
        whole: Loss of all around the room, or of what it shares with the one next door, in one third octave, by its
            :data:`NUMBER` among all.
        area: What has that loss.
        absorption: Absorption area next door.
        kind: The construction whose uncertainty the loss has.
        ducts: Whether ducts and boxes end next door, as a condition.
    """
    page.skip()
    page.heading("Speech understood next door", "by third octave, dB; in each the noise there has an even share of its octave's")
    bands.head_row(page, BANDS, ())
    ways = "+".join(f"10^(-INDEX({name},1,{{o}})/10)" for name in ("out_of_supply", "out_of_way_out", "out_of_boxes"))
    loss = bands.band_row(page, BANDS, "Transmission loss, ducts with it", f"=-10*LOG10(10^(-({whole})/10)+IF({ducts},{ways},0))", ())
    # The standard asks for the level a quarter of a metre from the wall.
    near = f'=STILL_NOISEREDUCTION({{c}}{loss},{area},{absorption},"near the wall",units)'
    difference = bands.band_row(page, BANDS, "In the room less at the wall next door", near, ())
    noise = bands.band_row(page, BANDS, "Noise there", f'=IF({KNOWN},INDEX(next_noise,1,{{o}})-10*LOG10(3),"")', ())
    less = bands.band_row(page, BANDS, "The difference at the low end of its range", f"={{c}}{difference}-STILL_RATINGUNCERTAINTY({kind})", ())
    told = "Speech privacy next door, SPC at the low end of its range"
    for label, name, spectrum, place, comment in (
        ("Speech privacy class, SPC", "speech_privacy", difference, 1, ""),
        ("At the low end of its range", "speech_privacy_low", less, 1, book.result_comment("speech_privacy_low", told, "")),
        ("What that keeps", "speech_kept", less, 2, ""),
    ):
        spectra = ",".join(bands.cells(FIRST + 1, FIRST + len(BANDS), row) for row in (spectrum, noise))
        page.put(page.at, FIRST, label, border=look.ROW)
        page.put(page.at, FIRST + 1, f'=IF({KNOWN},INDEX(STILL_SPEECHPRIVACY({spectra}),1,{place}),"")', number_format=look.ONE).alignment = look.UNWRAPPED
        book.name(name, page, page.at, FIRST + 1, comment=comment)
        page.at += 1
    page.skip()
