"""Sound power of fans by octave band, from a published generic form."""

from __future__ import annotations

import math
from functools import cache
from typing import Annotated, Final

import numpy as np

from stillbook.formula import formula
from stillbook.quantities import FREQUENCY, PRESSURE, SHARE
from stillbook.readers import Choice, Quantity
from stillbook.tables import table
from stillbook.trade.ducts.sizes import OneAirflow
from stillbook.trade.physics.constants import CFM, INCH_OF_WATER
from stillbook.trade.physics.sound import OCTAVES, Spectrum, SpectrumResult, decibels, heard

FAN_TYPES: Final = tuple(row["fan_type"] for row in table("fan_sound"))

_MIDDLE: Final = 1000.0
"""Octave that the others are doublings and halves of [Hz]."""


@cache
def _fans() -> dict[str, tuple[Spectrum, float]]:
    """Specific sound power by octave [dB at 1 cfm and 1 in.wg] and blade increment [dB] of each type."""
    return {
        row["fan_type"]: (
            np.array([float(row[f"f{band:.0f}"]) for band in OCTAVES]),
            float(row["blade_increment"]),
        )
        for row in table("fan_sound")
    }


def _off_peak(share: float) -> float:
    """What a fan away from its best point adds [dB]; NaN where no figure is published."""
    rows = [(float(row["least_share"]), float(row["add_db"])) for row in table("fan_off_peak")]
    return next((add for least, add in rows if share >= least - 1e-9), math.nan)


@formula(
    "FANSOUND",
    family="Quiet air path",
    summary="Sound power of a fan by octave, 63 to 8000 Hz, where the maker gives none",
    example=(
        'STILL_FANSOUND(120,0.3,"forward curved")',
        (
            63.3342375548695,
            63.3342375548695,
            53.3342375548695,
            46.3342375548695,
            46.3342375548695,
            41.3342375548695,
            36.3342375548695,
            31.3342375548695,
        ),
    ),
    source="Graham, How to estimate fan noise, Sound and Vibration, May 1972, as in Long, Architectural Acoustics, "
    "2nd ed., tables 13.5 and 13.7",
    no_answer="below half of its best efficiency no figure is published: choose another fan",
    vectorised=False,
)
def fan_sound(
    airflow: OneAirflow,
    pressure: Annotated[float, Quantity(PRESSURE, above=0, most=10_000)],
    fan_type: Annotated[str, Choice(*FAN_TYPES)],
    share_of_best_efficiency: Annotated[float, Quantity(SHARE, above=0, most=1)] = 1.0,
    blade_frequency: Annotated[float, Quantity(FREQUENCY, above=0, most=20_000)] | None = None,
) -> SpectrumResult:
    """Give the sound power that a fan sends into its duct, inlet or outlet alike [dB re 1 pW].

    Lw = Kw + 10 log Q + 20 log P with Q in cfm and P in in.wg; 3 to 15 dB more away from the best point of the fan's
    curve; 2 to 7 dB more in the octave of the blade frequency.

    The values of Kw were fitted to large fans of buildings. For in-line fans of 4 to 8 in they give the order of
    magnitude alone, 10 dB either way: take the maker's octave levels wherever there are any, move them to another speed
    with STILL_FANSCALED, and leave a margin where there are none. For a mixed-flow or other axial in-line fan without
    data take "tube axial".

    Args:
        airflow: Airflow at the working point [m³/s].
        pressure: Static pressure at the working point [Pa].
        fan_type: Kind of wheel.
        share_of_best_efficiency: Efficiency at the working point over the fan's best; where it is not known, 0.85 is
            prudent.
        blade_frequency: Number of blades times revolutions a minute over 60; nothing is added when left out [Hz].
    """
    specific, increment = _fans()[fan_type]
    level = specific + decibels(airflow / CFM) + 2 * decibels(pressure / INCH_OF_WATER)
    level = level + _off_peak(share_of_best_efficiency)
    if blade_frequency is not None and not math.isnan(blade_frequency):
        octave = round(math.log2(blade_frequency / _MIDDLE)) + OCTAVES.index(_MIDDLE)
        level = level + np.where(np.arange(len(OCTAVES)) == octave, increment, 0.0)
    return heard(level)
