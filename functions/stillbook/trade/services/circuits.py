"""Circuits: the rating that a load asks for.

Electrical work belongs to a licensed electrician and the local code; these formulas size and count for an estimate.
"""

from __future__ import annotations

from typing import Annotated, Final

from stillbook.formula import formula
from stillbook.quantities import CURRENT, ELECTRIC_POWER, SHARE, VOLTAGE
from stillbook.readers import Floats, Quantity
from stillbook.results import Number

_CONTINUOUS_EXTRA: Final = 0.25
"""Added to a load that runs three hours or more (NEC 210.19, 210.20)."""


@formula(
    "CIRCUITAMPS",
    family="Services",
    summary="Least circuit rating for a load, with the 125 percent factor for continuous loads",
    example=("STILL_CIRCUITAMPS(1440,120)", 15.0),
    source="NFPA 70 (NEC) 210.19 and 210.20",
)
def circuit_amps(
    watts: Annotated[Floats, Quantity(ELECTRIC_POWER, least=0, most=1_000_000)],
    volts: Annotated[Floats, Quantity(VOLTAGE, least=1, most=1000)],
    continuous: Annotated[Floats, Quantity(SHARE, least=0, most=1)] = 1.0,
) -> Annotated[Floats, Number(CURRENT)]:
    """Give the rating that a single-phase circuit must have at least for a load [A].

    A load that runs three hours or more counts 125 percent, so a 20 A circuit carries 16 A of it; the rest counts as it
    is. Fans, lights and recording equipment in a sealed room run that long. Where a label states volt-amperes, give
    those in place of watts. Electrical work belongs to a licensed electrician and the local code.

    I = P (1 + 0.25 k) / U, with P the load, k its continuous share and U the voltage.

    Args:
        watts: Load on the circuit [W].
        volts: Voltage of the circuit [V].
        continuous: Share of the load that runs three hours or more, as 1 or 100%.
    """
    return watts * (1 + _CONTINUOUS_EXTRA * continuous) / volts
