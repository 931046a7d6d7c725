"""What a room or a fan stands on: floating floors, springs and pads."""

from __future__ import annotations

from typing import Annotated, Final

import numpy as np

from stillbook.formula import formula
from stillbook.quantities import FREQUENCY, LENGTH, LEVEL, SHARE, STIFFNESS_PER_AREA, SURFACE_MASS
from stillbook.readers import Floats, Quantity
from stillbook.results import Number
from stillbook.trade.physics.sound import decibels

_GRAVITY: Final = 9.80665

Natural = Annotated[Floats, Quantity(FREQUENCY, least=0.1, most=1000)]


@formula(
    "MOUNTFREQUENCY",
    family="Isolation",
    summary="Natural frequency of what stands on springs or pads that its weight presses down",
    example=('STILL_MOUNTFREQUENCY("25.4 mm")', 3.12725727226123),
    source="f = √(g / δ) / 2π, linear spring",
)
def mount_frequency(
    deflection: Annotated[Floats, Quantity(LENGTH, above=0, most=0.3)],
) -> Annotated[Floats, Number(FREQUENCY)]:
    """Give the natural frequency of a mass on mounts [Hz]: f = √(g / δ) / 2π, with the static deflection δ.

    It holds for springs. Rubber and cork are stiffer to vibration than to weight: their natural frequency is higher,
    often by a tenth to a third; take the maker's.

    Args:
        deflection: How far the mounts are pressed down by the weight [m].
    """
    return np.sqrt(_GRAVITY / np.asarray(deflection)) / (2 * np.pi)


@formula(
    "MOUNTLOSS",
    family="Isolation",
    summary="What mounts take off a vibration at a frequency; negative near their natural frequency, where they add",
    example=("STILL_MOUNTLOSS(20,10)", 9.54242509439325),
    source="Transmissibility of a damped single mass: textbooks of vibration",
    no_answer="mounts without damping have no answer at their natural frequency: give a damping",
)
def mount_loss(
    frequency: Annotated[Floats, Quantity(FREQUENCY, least=0.1, most=10_000)],
    natural: Natural,
    damping: Annotated[Floats, Quantity(SHARE, least=0, most=1)] = 0.0,
) -> Annotated[Floats, Number(LEVEL)]:
    """Give the loss of force or motion through mounts, -20 log T [dB].

    T = √[(1 + (2 ζ r)²) / ((1 - r²)² + (2 ζ r)²)], with the frequency over the natural one r and the damping ratio ζ.

    Below √2 times the natural frequency mounts add. It stands for stiff ground under them: on a light floor they do
    less.

    Args:
        frequency: Frequency of the vibration [Hz].
        natural: Natural frequency of the mounts under their load [Hz].
        damping: Damping as a share of the critical one: springs 0.005, rubber 0.05.

    Returns:
        The loss; NaN at the natural frequency of undamped mounts.
    """
    ratio = np.asarray(frequency) / natural
    damped = (2 * np.asarray(damping) * ratio) ** 2
    below = (1 - ratio**2) ** 2 + damped
    return np.asarray(decibels(np.where(below > 0, below, np.nan) / (1 + damped)))


@formula(
    "FLOATINGFLOOR",
    family="Isolation",
    summary="Natural frequency of a floating floor on a resilient layer",
    example=('STILL_FLOATINGFLOOR("10 MN/m³","100 kg/m²")', 50.329212104487),
    source="EN 29052-1:1992, ISO 9052-1: f = √(s' / m') / 2π",
)
def floating_floor(
    stiffness: Annotated[Floats, Quantity(STIFFNESS_PER_AREA, least=1e4, most=1e12)],
    mass: Annotated[Floats, Quantity(SURFACE_MASS, least=1, most=5000)],
) -> Annotated[Floats, Number(FREQUENCY)]:
    """Give the natural frequency of a floating floor [Hz]: f = √(s' / m') / 2π.

    s' is the dynamic stiffness of the layer by area with its air, m' the mass per area of all that floats on it: floor,
    and for a room that stands on it walls and ceiling over its area.

    Well above it, from about three times the frequency, the floor keeps footsteps and bass; at the frequency itself it
    adds. ISO 12354-2 gives the impact noise it takes off as 30 log of the frequency over this one.

    Args:
        stiffness: Dynamic stiffness of the resilient layer by area, the maker's figure [N/m³].
        mass: Mass per area of what floats [kg/m²].
    """
    return np.asarray(np.sqrt(np.asarray(stiffness) / np.asarray(mass)) / (2 * np.pi))
