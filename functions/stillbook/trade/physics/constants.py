"""Exact unit definitions and standard air, for defaults written in the trade's own units.

Unit definitions: NIST Special Publication 811, Appendix B. Standard air: 0.075 lb/ft3, the density the trade's duct
and fan tables are written for.
"""

from typing import Final

INCH: Final = 0.0254
CUBIC_INCH: Final = INCH**3
FOOT: Final = 0.3048
POUND: Final = 0.45359237
PSF: Final = POUND / FOOT**2
PCF: Final = POUND / FOOT**3
CFM: Final = FOOT**3 / 60
FPM: Final = FOOT / 60
INCH_OF_WATER: Final = 249.08891
BTU_PER_HOUR: Final = 1055.05585262 / 3600
FAHRENHEIT_DEGREE: Final = 5 / 9

STANDARD_AIR_DENSITY: Final = 0.075 * PCF
