"""A room for hearing tests: the highest levels that standards allow inside while someone listens for faint tones."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Annotated, Final

import numpy as np

from stillbook.cells import NotUnderstood
from stillbook.formula import formula
from stillbook.quantities import FREQUENCY, LEVEL
from stillbook.readers import Choice, Quantity
from stillbook.results import Numbers
from stillbook.tables import table
from stillbook.trade.physics.sound import OCTAVES, Spectrum

HEARING_TESTS: Final = (
    "ANSI earphones",
    "ANSI insert earphones",
    "ANSI ears uncovered",
    "ISO earphones",
    "ISO bone conduction",
    "ISO sound field",
    "US workplace",
)

_THIRDS: Final = {
    63: (50, 63, 80),
    125: (100, 125, 160),
    250: (200, 250, 315),
    500: (400, 500, 630),
    1000: (800, 1000, 1250),
    2000: (1600, 2000, 2500),
    4000: (3150, 4000, 5000),
    8000: (6300, 8000, 10000),
}
"""The third-octave bands of each octave band [Hz]."""


@cache
def _highest() -> Mapping[str, Mapping[int, Spectrum]]:
    """Highest level by octave, NaN where none is set, of each kind of test and each lowest tone."""
    found: dict[str, dict[int, Spectrum]] = {}
    for row in table("hearing_tests"):
        limits = [[row[f"f{hz}"] for hz in _limited(int(octave), row["width"])] for octave in OCTAVES]
        levels = [min((float(limit) for limit in thirds if limit), default=np.nan) for thirds in limits]
        found.setdefault(row["kind"], {})[int(row["lowest"])] = np.array(levels)
    return found


def _limited(octave: int, width: str) -> tuple[int, ...]:
    """The bands by which a table limits an octave band."""
    return (octave,) if width == "octave" else _THIRDS[octave]


@formula(
    "HEARINGTESTLEVELS",
    family="Inside the room",
    summary="Highest levels by octave inside a room for hearing tests, 63 to 8000 Hz",
    example=('STILL_HEARINGTESTLEVELS("ISO earphones",125)', (38.0, 23.0, 18.0, 18.0, 20.0, 27.0, 34.0, 33.0)),
    source="ANSI/ASA S3.1-1999; ISO 8253-1:2010, 8253-2:2009; 29 CFR 1910.95 App. D; each row names its own",
    no_answer="this standard sets no limit in this octave: measure there, and ask who certifies the room",
    vectorised=False,
)
def hearing_test_levels(
    kind: Annotated[str, Choice(*HEARING_TESTS)],
    lowest_tone: Annotated[float, Quantity(FREQUENCY, least=125, most=500)] = 125.0,
) -> Annotated[Spectrum, Numbers(LEVEL)]:
    """Give the highest level that each octave band may have inside while hearing is tested, 63 to 8000 Hz [dB].

    L(f) = T(f) of a standard's table by octave; of ISO's tables by third octave, L(f) = min T over the three third
    octaves of the band: an octave within it proves each of its thirds, and asks more than they need.

    For hearing down to 0 dB, whose threshold the noise may shift by 2 dB. Earphones keep noise from the ears; with ears
    uncovered, in bone conduction and with loudspeakers, the room must be far quieter. An octave that a standard does
    not limit has no answer: 63 Hz in ANSI's tables, 63 to 250 Hz in the workplace rule.
    ISO limits 31.5 and 40 Hz too, below these octaves. ANSI's levels for ears uncovered are from memory: look them up.
    A room is certified by a licensed professional, from levels measured in it with its equipment running.

    Args:
        kind: The kind of test: with earphones on or in the ears, ears uncovered, by bone, with loudspeakers, or a
            workplace's programme.
        lowest_tone: The lowest test tone: 125, 250 or 500 Hz [Hz].

    Raises:
        NotUnderstood: If the tests of that kind do not begin at that tone.
    """
    known = _highest()[kind]
    if lowest_tone not in known:
        tones = " or ".join(f"{tone} Hz" for tone in known)
        raise NotUnderstood(f"{kind}: its limits are for a lowest test tone of {tones}, not {lowest_tone:g} Hz")
    return known[int(lowest_tone)].copy()
