"""What common sources of noise give off, by octave band."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Annotated, Final

import numpy as np

from stillbook.formula import formula
from stillbook.quantities import LEVEL
from stillbook.readers import Choice, Quantity
from stillbook.tables import table
from stillbook.trade.physics.sound import OCTAVES, Spectrum, SpectrumResult, level_sum


@cache
def source_spectra() -> Mapping[str, Spectrum]:
    """Octave-band levels of common sources, 63 to 8000 Hz, by kind."""
    return {row["kind"]: np.array([float(row[f"f{band:.0f}"]) for band in OCTAVES]) for row in table("source_levels")}


AT_ONE_METRE: Final = ("speech normal", "speech raised", "speech loud", "speech shout", "singing")
"""Sources whose level is that at 1 m in the open; that of the others is the level in a room."""

TRAFFIC: Final = "road traffic"

SOURCES: Final = (
    *AT_ONE_METRE,
    "pink noise",
    "band rehearsal",
    "drums",
    "amplified music",
    "amplified rock",
    TRAFFIC,
)


@formula(
    "SOURCELEVELS",
    family="Isolation",
    summary="Octave-band levels of a common source, 63 to 8000 Hz",
    example=('STILL_SOURCELEVELS("speech loud")', (44.03, 60.73, 64.03, 70.33, 70.64, 65.87, 59.89, 48.87)),
    source="ANSI S3.5-1997; US Army DG 1110-3-120; ISO 717-1; each row of the table names its own",
    vectorised=False,
)
def source_levels(
    kind: Annotated[str, Choice(*SOURCES)],
    overall_level: Annotated[float, Quantity(LEVEL, least=0, most=150)] | None = None,
) -> SpectrumResult:
    """Give octave-band levels to design with, 63 to 8000 Hz [dB].

    L(f) = T(f), or T(f) + La - 10 log10 Σ 10^(T/10) where an overall level La is given, with the table's level T of
    each band.

    Speech and singing are 1 m from the lips, the others in the room with them. "pink noise" is 100 dB in sum, "band
    rehearsal" 95 dB and "amplified rock" 120 dB, all with the same level in each octave, since no published spectrum
    stands behind them; "road traffic" is 70 dB A-weighted. "singing" (95 dB), "drums" (110 dB) and "amplified music"
    (100 dB) are from memory, level and spectrum.
    Music has more bass than most sources of noise: measure where it matters.

    Args:
        kind: The source.
        overall_level: Level of all bands together that the spectrum is moved to; its own when left out [dB].
    """
    spectrum = source_spectra()[kind]
    return spectrum if overall_level is None else spectrum + overall_level - level_sum(spectrum)
