"""Several elements or paths at once: composite walls, flanking, two doors in a row, and linings on a heavy wall."""

from __future__ import annotations

import math
from typing import Annotated, Any, Final

import numpy as np

from stillbook.cells import NotUnderstood, OutOfRange, as_rows
from stillbook.formula import formula
from stillbook.quantities import ABSORPTION_AREA, AREA, LEVEL, ROOM_LENGTH, SHARE, System
from stillbook.readers import Floats, Quantity, Reader, Vector
from stillbook.results import Number
from stillbook.trade.isolation.cavity_walls import CavityDepth
from stillbook.trade.mass.leaves import LeafRows, PanelRows
from stillbook.trade.physics.sound import BAND_VALUE, BandValue, Spectrum, SpectrumResult, decibels, joined_loss, power


class LossRows(Reader):
    """Losses of several elements: a row for each element, a column for each band; or one loss an element in a row."""

    broadcasts = False

    @property
    def quantities(self) -> tuple[Quantity, ...]:
        return (BAND_VALUE,)

    def label(self, system: System) -> str:
        return "dB, a row for each and a column for each band"

    def read(self, value: Any, name: str, system: System) -> Spectrum:
        rows = as_rows(value)
        return np.array(
            [
                [
                    BAND_VALUE.read(cell, f"{name}, row {number}, column {place}", system)
                    for place, cell in enumerate(row, 1)
                ]
                for number, row in enumerate(rows, 1)
            ]
        )


Losses = Annotated[Spectrum, LossRows()]
ElementLoss = Annotated[Floats, Quantity(LEVEL, least=0, most=BAND_VALUE.most)]
"""Loss of a wall, floor, door or window: unlike a hole, none passes more than meets it."""


@formula(
    "COMPOSITETL",
    family="Isolation",
    summary="Transmission loss of a wall made of several elements: wall, door, window",
    example=("STILL_COMPOSITETL({148;12},{45;25})", 35.7443009045662),
    source="Area-weighted sum of transmitted powers: Long, Architectural Acoustics, ch. 9; EN 12354-3",
    vectorised=False,
)
def composite_loss(
    areas: Annotated[Spectrum, Vector(Quantity(AREA, least=0, most=100_000))], transmission_losses: Losses
) -> SpectrumResult:
    """Give the loss of the whole, by band where the elements' losses are given by band [dB].

    TL = -10 log10[Σ Si 10^(-TLi/10) / Σ Si], with the area Si and the transmission loss TLi of each element.

    Args:
        areas: Area of each element [m²].
        transmission_losses: Transmission loss of each element, a row for each in the order of the areas [dB].

    Raises:
        NotUnderstood: If the areas and the losses differ in number.
        OutOfRange: If the areas add up to nothing.
    """
    losses = _for_each(transmission_losses, len(areas), "areas")
    total = float(np.sum(areas))
    if total <= 0:
        raise OutOfRange("the areas add up to 0: give the area of each element")
    return np.asarray(-decibels((areas[:, None] * power(-losses)).sum(axis=0) / total))


_MOST_SHARE: Final = 1.1
"""What rounded losses may make of the whole; no element passes more than the whole does."""


@formula(
    "PASSEDSHARE",
    family="Isolation",
    summary="Share of all the sound through a wall that one element of it passes",
    example=("STILL_PASSEDSHARE(12,25,160,35.74)", 0.889326561125371),
    source="Area-weighted sum of transmitted powers: Long, Architectural Acoustics, ch. 9",
    no_answer="the element passes more than the whole: give the loss of the whole with this element in it",
)
def passed_share(
    area: Annotated[Floats, Quantity(AREA, least=0, most=100_000)],
    transmission_loss: BandValue,
    whole_area: Annotated[Floats, Quantity(AREA, above=0, most=100_000)],
    whole_loss: BandValue,
) -> Annotated[Floats, Number(SHARE)]:
    """Give the share of the sound that goes through one element: the largest names the weakest element.

    share = (S1 / S) 10^((TL - TL1) / 10), with area S1 and loss TL1 of the element, S and TL of the whole.

    Improving any other element changes little. NaN where the share is above 1 by more than rounding: the whole then
    has another loss.

    Args:
        area: Area of the element [m²].
        transmission_loss: Transmission loss or rating of the element [dB].
        whole_area: Area of the whole wall [m²].
        whole_loss: Transmission loss or rating of the whole, from STILL_COMPOSITETL [dB].
    """
    share = np.asarray(area) / whole_area * power(np.asarray(whole_loss) - transmission_loss)
    return np.where(share <= _MOST_SHARE, share, np.nan)[()]


@formula(
    "TOTALTL",
    family="Isolation",
    summary="Transmission loss of several paths together, such as a wall and what flanks it",
    example=("STILL_TOTALTL({60;55})", 53.806689519339),
    source="Sum of transmitted powers: EN 12354-1",
    vectorised=False,
)
def total_loss(transmission_losses: Losses) -> SpectrumResult:
    """Give the loss that is left when sound takes several paths, each loss related to the same wall area [dB].

    TL = -10 log10 Σ 10^(-TLi/10), with the transmission loss TLi of each path.

    Flanking caps what a wall can reach: with 60 dB by the floor and side walls, no wall exceeds 60.

    Args:
        transmission_losses: Transmission loss of each path, a row for each; one row of numbers is one path a number
            [dB].
    """
    return np.atleast_1d(joined_loss(*_upright(transmission_losses)))


@formula(
    "FLANKINGPATHTL",
    family="Isolation",
    summary="Transmission loss of one flanking path over a junction",
    example=('STILL_FLANKINGPATHTL(57,49,12.4,"11.5 m²","4.5 m")', 69.4748532657827),
    source="EN 12354-1:2000, simplified model",
)
def flanking_path_loss(
    loss_1: ElementLoss,
    loss_2: ElementLoss,
    junction_reduction: Annotated[Floats, Quantity(LEVEL, least=-20, most=60)],
    area: Annotated[Floats, Quantity(AREA, least=0.1, most=100_000)],
    junction_length: Annotated[Floats, Quantity(ROOM_LENGTH, least=0.1, most=1000)],
) -> Annotated[Floats, Number(LEVEL)]:
    """Give the loss of the path from one element through a junction into another [dB].

    R = (R1 + R2) / 2 + K + 10 log10(S / l), with the losses R1 and R2 of both elements, the vibration reduction K of
    the junction and its length l, related to the area S of the wall between the rooms.

    For ratings and for heavy, monolithic elements; light framed walls need measured junctions.

    Args:
        loss_1: Transmission loss or rating of the element that takes the sound in [dB].
        loss_2: Transmission loss or rating of the element that gives it off [dB].
        junction_reduction: Vibration reduction of the junction for this path [dB].
        area: Area of the wall between the rooms [m²].
        junction_length: Length of the junction [m].
    """
    return (np.asarray(loss_1) + loss_2) / 2 + junction_reduction + decibels(np.asarray(area) / junction_length)


@formula(
    "SOUNDLOCKTL",
    family="Isolation",
    summary="Transmission loss of two doors or windows in a row with the space between them",
    example=('STILL_SOUNDLOCKTL(20,20,"2 m²","2 m²")', 40.0),
    source="Two partitions with a room between: EN 12354-1; Kuttruff, Room Acoustics",
)
def sound_lock_loss(
    loss_1: ElementLoss,
    loss_2: ElementLoss,
    opening_area: Annotated[Floats, Quantity(AREA, least=0.01, most=1000)],
    absorption: Annotated[Floats, Quantity(ABSORPTION_AREA, least=0.01, most=10_000)],
) -> Annotated[Floats, Number(LEVEL)]:
    """Give the loss of two leaky elements in series [dB].

    R = R1 + R2 + 10 log10(A / S), and no less than the better of R1 and R2, with the loss of each door R1 and R2, the
    absorption area A of the space between them and the area S of the larger opening.

    For a sound lock, or two doors close together whose gaps pass most of the sound. Absorption between them is worth as
    much as the doors: a hard space keeps a tenth of its surface as absorption at most, a lined one nearly all. Not for
    frequencies below the resonance of the two leaves, and no more than 15 dB above the better of them where the frames
    touch.

    Args:
        loss_1: Transmission loss of the first door, gaps included [dB].
        loss_2: Transmission loss of the second [dB].
        opening_area: Area of the larger opening [m²].
        absorption: Absorption area of the space between them [m²].
    """
    apart = np.asarray(loss_1) + loss_2 + decibels(np.asarray(absorption) / opening_area)
    return np.maximum(apart, np.maximum(loss_1, loss_2))


_LINING: Final = ((200.0, -1.0), (250.0, -3.0), (315.0, -5.0), (400.0, -7.0), (500.0, -9.0), (1600.0, -10.0))
"""Gain in Rw of a lining by its resonance, from 200 Hz up: third-octave band of the resonance [Hz], gain [dB]."""


@formula(
    "LININGGAIN",
    family="Isolation",
    summary="What a lining on its own frame adds to the Rw of a heavy wall, or takes from it",
    example=('STILL_LININGGAIN("240 kg/m²","10.7 kg/m²","50 mm",49)', 12.4584774567611),
    source="ISO 12354-1:2017 Annex D",
    no_answer="the resonance lies above 5000 Hz: check the masses and the cavity depth",
    vectorised=False,
)
def lining_gain(
    wall: LeafRows,
    lining: PanelRows,
    cavity_depth: CavityDepth,
    wall_rating: Annotated[float, Quantity(LEVEL, least=20, most=60)],
) -> Annotated[float, Number(LEVEL)]:
    """Give the change of the weighted sound reduction index of a heavy wall by a lining on one side [dB].

    The resonance is f0 = 160 √[(0.111 / d) (1/m1 + 1/m2)], with the depth d [m] and the masses per area m1 and m2
    [kg/m²] of wall and lining. From 30 to 160 Hz the gain is 74.4 - 20 log10 f0 - Rw/2, and not less than 0; from
    200 Hz up it is a loss, -1 dB falling to -10 dB: a thin lining close to the wall makes it worse.

    For a lining on studs or channels that do not touch the wall, with the cavity filled with soft absorption.

    Validity: walls of Rw 20 to 60, linings of boards. A second wall of masonry is no lining: see STILL_WALLTL.

    Args:
        wall: Build-up of the wall, or its mass per area.
        lining: Build-up of the lining.
        cavity_depth: Distance between wall and lining [m].
        wall_rating: Rw of the bare wall [dB].
    """
    lightness = 1 / wall.surface_mass + 1 / lining.surface_mass
    frequency = 160 * math.sqrt(0.111 / cavity_depth * lightness)
    if frequency < _LINING[0][0] * 2 ** (-1 / 6):
        return max(74.4 - 20 * math.log10(max(frequency, 30.0)) - wall_rating / 2, 0.0)
    for band, gain in _LINING:
        if frequency < band * 2 ** (1 / 6):
            return gain
    return -5.0 if frequency <= 5000 else math.nan


def _upright(losses: Spectrum) -> Spectrum:
    """A single row of losses is one path or element a number."""
    return losses.T if len(losses) == 1 else losses


def _for_each(losses: Spectrum, count: int, of: str) -> Spectrum:
    """Losses with a row for each of the elements."""
    rows = losses if len(losses) == count else _upright(losses)
    if len(rows) != count:
        raise NotUnderstood(f"the transmission losses have {len(losses)} rows for {count} {of}: give a row for each")
    return rows
