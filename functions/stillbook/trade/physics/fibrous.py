"""Fibrous wool as sound meets it: its impedance and wave number by its resistance to flow."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from stillbook.trade.physics.sound import SPEED_OF_SOUND

Frequencies = npt.NDArray[np.float64]
Complex = npt.NDArray[np.complex128]


def wool(frequency: Frequencies, flow_resistivity: float) -> tuple[Complex, Complex]:
    """Give the characteristic impedance of wool relative to that of air, and its wave number [1/m].

    Source: Miki, Acoustical properties of porous materials, J. Acoust. Soc. Jpn. (E) 11, 1990; fitted where frequency
    over flow resistivity is 0.01 to 1 m³/kg, and well behaved below.

    Args:
        frequency: Frequencies [Hz].
        flow_resistivity: Resistance of the wool to flow [Pa·s/m²].
    """
    ratio = frequency / flow_resistivity
    impedance = 1 + 0.070 * ratio**-0.632 - 1j * 0.107 * ratio**-0.632
    number = 2 * np.pi * frequency / SPEED_OF_SOUND * (1 + 0.109 * ratio**-0.618 - 1j * 0.160 * ratio**-0.618)
    return np.asarray(impedance), np.asarray(number)
