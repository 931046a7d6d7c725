"""Masses that the estimates allow for or hold to, in a US and in an SI workbook; common practice, no source."""

from __future__ import annotations

from typing import Final

TREATMENT_MASS: Final = ("1.5", "7.3")
"""Mass per area of acoustic treatment: wool, frame and fabric."""

DUCTS_AND_FAN: Final = ("60", "27")
"""Mass of the ducts and the fans together."""

HEAVIEST_DOOR: Final = ("200", "90")
"""Mass of a door that hinges, frame and crew for heavy doors still carry."""

PERSON: Final = ("175", "80")
"""Mass of a person."""
