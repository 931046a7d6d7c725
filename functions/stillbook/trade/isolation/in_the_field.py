"""Isolation as it is measured on site or in a laboratory's room: NIC, DnT,w, and the privacy of speech."""

from __future__ import annotations

from typing import Annotated, Final

import numpy as np

from stillbook.cells import NotUnderstood
from stillbook.formula import formula
from stillbook.quantities import NUMBER, REVERBERATION_TIME
from stillbook.readers import Quantity, Vector
from stillbook.results import Number, SideBySide
from stillbook.trade.isolation.ratings import rw_rating, stc_rating
from stillbook.trade.physics.sound import BAND_VALUE, Spectrum, decibels, power

Levels = Annotated[Spectrum, Vector(BAND_VALUE, lengths=(16,))]
LevelsOrFew = Annotated[Spectrum, Vector(BAND_VALUE, lengths=(5, 16))]
Times = Annotated[Spectrum, Vector(Quantity(REVERBERATION_TIME, above=0, most=100), lengths=(1, 5, 16))]

REFERENCE_TIME: Final = 0.5
"""Reverberation time of a furnished room of a dwelling, which ISO 16283-1 refers to [s]."""

_UNSTEADY: Final = 3.0
"""So much may a background differ while it is measured, and beside the source: common practice, no source [dB]."""

CLEAR_OF_NOISE: Final = 10.0
"""A level as far over the background needs no correction [dB]."""

_PRIVACY: Final = (
    (90, "very high speech security"),
    (85, "high speech security"),
    (80, "standard speech security"),
    (75, "standard speech privacy"),
    (70, "minimal speech privacy"),
)
"""Categories by the least SPC: from memory."""


def without_background(levels: Spectrum, background: Spectrum, least: float, most: float) -> Spectrum:
    """Levels less what the background adds to them [dB].

    Args:
        levels: Levels with the background in them.
        background: The background alone.
        least: Where a level is less than this over the background, ``most`` is taken off, and no more.
        most: The largest correction.
    """
    over = levels - background
    energy = decibels(np.maximum(power(levels) - power(background), power(levels - most)))
    return np.where(over >= CLEAR_OF_NOISE, levels, np.where(over < least, levels - most, energy))


def _differences(
    outside: Spectrum, inside: Spectrum, background: Spectrum | None, least: float, most: float
) -> Spectrum:
    if len(outside) != len(inside) or (background is not None and len(background) != len(inside)):
        raise NotUnderstood("the spectra have not the same number of bands: give each of them in the same bands")
    if background is None:
        return outside - inside
    if np.any(background > inside + _UNSTEADY):
        band = int(np.argmax(background - inside)) + 1
        raise NotUnderstood(
            f"the background of band {band} is {background[band - 1] - inside[band - 1]:.0f} dB over the level inside, "
            "which holds it too: give both from the same side, measured alike"
        )
    return outside - without_background(inside, background, least, most)


@formula(
    "NICRATING",
    family="Isolation",
    summary="NIC: noise isolation class of a room or an enclosure from levels measured on both sides",
    example=(
        "STILL_NICRATING({80,80,80,80,80,80,80,80,80,80,80,80,80,80,80,80},"
        "{56,54,50.7,47.9,51.7,49.4,48.1,45.1,45.5,46.8,47.9,46.3,47.4,46.8,45,43.8})",
        33.0,
    ),
    source="ASTM E413-22 on the level differences of ASTM E336 and E596; correction for background from memory",
    no_answer="no contour fits these differences: check the levels",
    vectorised=False,
)
def nic_rating(outside: Levels, inside: Levels, background: Levels | None = None) -> Annotated[float, Number(NUMBER)]:
    """Give the noise isolation class: the STC contour on the level differences L1 - L2 of both sides.

    It is what a room in a room can be held to: the other figures of ASTM E336 ask for a room of 25 m³. It counts all
    paths, and the size and treatment of the room as well as its shell. A laboratory measures an enclosure in the same
    way in a reverberation room (ASTM E596).

    A level inside that is 5 to 10 dB over the background is corrected for it; nearer than that 2 dB are taken off, and
    the class is then a least one.

    Args:
        outside: Levels on the side of the source, 16 third octaves, 125 to 4000 Hz [dB].
        inside: Levels on the other side in the same bands [dB].
        background: Levels on that side without the source; no correction when left out [dB].

    Raises:
        NotUnderstood: If there are not 16 bands each, or the background is far over the level that holds it.
    """
    return stc_rating(_differences(outside, inside, background, 5.0, 2.0))


@formula(
    "DNTWRATING",
    family="Isolation",
    summary="DnT,w: weighted standardized level difference between two rooms from levels and reverberation measured",
    example=(
        "STILL_DNTWRATING({80,80,80,80,80,80,80,80,80,80,80,80,80,80,80,80},"
        "{69,57.5,56,54,50.7,47.9,51.7,49.4,48.1,45.1,45.5,46.8,47.9,46.3,47.4,46.8},0.5)",
        32.0,
    ),
    source="ISO 16283-1:2014, ISO 717-1:2020; correction for background from memory",
    no_answer="no reference curve fits these differences: check the levels",
    vectorised=False,
)
def dntw_rating(
    outside: LevelsOrFew, inside: LevelsOrFew, time: Times, background: LevelsOrFew | None = None
) -> Annotated[float, Number(NUMBER)]:
    """Give the weighted standardized level difference: the reference curve of Rw on D + 10 log (T / 0.5 s).

    D = L1 - L2 is the level difference and T the reverberation time of the receiving room, each by band.

    A level that is 6 to 10 dB over the background is corrected for it; nearer than that 1.3 dB are taken off, and the
    figure is then a least one. In rooms under 25 m³ the standard has a procedure of its own for 50 to 80 Hz, which this
    figure does not reach.

    Args:
        outside: Levels in the room of the source, third octaves 100 to 3150 Hz, or octaves 125 to 2000 Hz [dB].
        inside: Levels in the receiving room in the same bands [dB].
        time: Reverberation time of the receiving room, one value or one for each band [s].
        background: Levels there without the source; no correction when left out [dB].

    Raises:
        NotUnderstood: If the spectra differ in their bands, or the background is far over the level that holds it.
    """
    differences = _differences(outside, inside, background, 6.0, 1.3)
    if len(time) not in (1, len(differences)):
        raise NotUnderstood(
            f"there are {len(differences)} bands and {len(time)} reverberation times: give one, or one each"
        )
    return rw_rating(differences + decibels(time / REFERENCE_TIME))


@formula(
    "SPEECHPRIVACY",
    family="Isolation",
    summary="Speech privacy class of a closed room, and beside it in words what it keeps",
    example=(
        "STILL_SPEECHPRIVACY({48,48,48,48,48,48,48,48,48,48,48,48,48,48,48,48},"
        "{28,28,28,28,28,28,28,28,28,28,28,28,28,28,28,28})",
        (76.0, "standard speech privacy"),
    ),
    source="ASTM E2638: SPC = mean level difference + mean noise at the listener; bands and words from memory",
    vectorised=False,
)
def speech_privacy(
    difference: Levels, noise: Levels
) -> Annotated[tuple[float, str], SideBySide(("SPC", NUMBER), ("Keeps", None))]:
    """Give the speech privacy class of a closed room at a listener outside it.

    SPC = mean of the level differences + mean of the noise at the listener, over third octaves, 160 to 5000 Hz.

    The same wall keeps more where the corridor is noisier: the class belongs to the place as much as to the wall. It is
    no promise of secrecy; what must stay confidential is for a specialist.

    Args:
        difference: Level in the room less level at the listener, 16 third octaves, 160 to 5000 Hz [dB].
        noise: Noise at the listener in the same bands [dB].
    """
    number = float(np.mean(difference) + np.mean(noise))
    return number, next((words for least, words in _PRIVACY if number >= least), "less than minimal speech privacy")
