"""How warm or cold the outside of an insulated duct, pipe or box is."""

from __future__ import annotations

import math
from typing import Annotated

from stillbook.formula import formula
from stillbook.quantities import CONDUCTIVITY, LENGTH, TEMPERATURE, THERMAL_RESISTANCE
from stillbook.readers import Quantity
from stillbook.results import Number
from stillbook.trade.air.humidity import Temperature


@formula(
    "INSULATEDSURFACE",
    family="Air",
    summary="Temperature of the outside of an insulated duct, pipe or box",
    example=('STILL_INSULATEDSURFACE("12 °C","30 °C","25 mm","0.04 W/m/K","0.125 m²·K/W","","SI")', 27.0),
    source="Heat balance of a flat and of a cylindrical layer, as in ISO 12241",
    vectorised=False,
)
def insulated_surface(
    inside: Temperature,
    temperature: Temperature,
    thickness: Annotated[float, Quantity(LENGTH, least=0, most=1)],
    conductivity: Annotated[float, Quantity(CONDUCTIVITY, least=0.005, most=5)],
    surface_resistance: Annotated[float, Quantity(THERMAL_RESISTANCE, least=0.01, most=1)],
    diameter: Annotated[float, Quantity(LENGTH, least=0.005, most=10, zero=True)] | None = None,
) -> Annotated[float, Number(TEMPERATURE)]:
    """Give the temperature of the surface of the insulation [°C].

    θ_a - (θ_a - θ_i) R / (R + d / λ) on a flat wall, with the conductivity λ, thickness d, the resistance R of the
    surface to the room air, the temperature θ_a of that air and θ_i inside. Round a duct or pipe of diameter D the
    layer counts D_e ln(D_e / D) / (2 λ) in place of d / λ, with D_e = D + 2 d: more, as heat spreads.

    Hold it beside STILL_DEWPOINT of the room air: the surface stays dry where it is not colder, if joints and ends are
    sealed against vapour. The thickness that just holds a flat wall dry gives STILL_DRYTHICKNESS. Where air stands
    still, in corners and between ducts, R is more and the surface colder.

    Args:
        inside: Temperature of the air or water inside [°C].
        temperature: Temperature of the air round it [°C].
        thickness: Thickness of the insulation [m].
        conductivity: Thermal conductivity of the insulation [W/(m K)].
        surface_resistance: Resistance of its surface to the air [m² K/W].
        diameter: Outside diameter of the bare duct or pipe; blank or 0 for a flat wall [m].
    """
    layer = thickness / conductivity
    if diameter is not None and diameter > 0:
        outer = diameter + 2 * thickness
        layer = outer * math.log(outer / diameter) / (2 * conductivity)
    return temperature - (temperature - inside) * surface_resistance / (surface_resistance + layer)
