"""The sizes and masses that a door of the trade can have."""

from __future__ import annotations

from typing import Annotated, Final

from stillbook.quantities import LENGTH, MASS
from stillbook.readers import Floats, Quantity
from stillbook.trade.physics.constants import FOOT, INCH

_SIZE: Final = Quantity(LENGTH, least=10 * INCH, most=20 * FOOT)
_MASS: Final = Quantity(MASS, above=0, most=5000)

DoorSize = Annotated[float, _SIZE]
DoorSizes = Annotated[Floats, _SIZE]
DoorMass = Annotated[float, _MASS]
DoorMasses = Annotated[Floats, _MASS]
