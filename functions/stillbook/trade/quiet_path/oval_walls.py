"""Sound out through the walls of flat oval ducts: only their flat sides give way."""

from __future__ import annotations

from typing import Final

import numpy as np

from stillbook.cells import OutOfRange
from stillbook.formula import formula
from stillbook.trade.ducts.oval import OvalHeight, OvalWidth, check_oval, oval_perimeter
from stillbook.trade.isolation.solids import panel_of
from stillbook.trade.mass.leaves import PanelRows
from stillbook.trade.physics.constants import INCH, PSF
from stillbook.trade.physics.sound import SpectrumResult, decibels
from stillbook.trade.quiet_path.duct_sound import FREQUENCIES
from stillbook.trade.quiet_path.duct_walls import MOST_WALL_LOSS, SHEET

_PLANE: Final = 8115.0
"""Frequency over the height below which plane waves alone run in the duct [Hz in]: the printed rows end there."""

_FLATTEST: Final = 4.0
_ROUNDEST: Final = 2.0
"""Widths over heights between which rows are printed."""


@formula(
    "OVALDUCTTL",
    family="Quiet air path",
    summary="Transmission loss of the walls of a flat oval duct from inside to outside by octave, 63 to 8000 Hz",
    example=(
        'STILL_OVALDUCTTL(12,6,"1 lb/ft²")',
        (
            31.3125696978012,
            34.2882643333459,
            37.2985642899858,
            40.3088642466256,
            43.3191642032654,
            35.0205999132796,
            41.0411998265592,
            45.0,
        ),
    ),
    source="ASHRAE Handbook, HVAC Applications 2019, ch. 49, table 31, by a form like that of Cummings, ASHRAE Trans. "
    "91(2A), 1985",
    vectorised=False,
)
def oval_duct_wall_loss(width: OvalWidth, height: OvalHeight, shell: PanelRows) -> SpectrumResult:
    """Give the breakout transmission loss of a flat oval duct of sheet metal [dB], at most 45 dB.

    10 log[f q² P / (2 (w - h)²)] + 17 below 8115 / h Hz, with the perimeter P, width w and height h in inches, q in
    lb/ft² and f in Hz: the loss of a rectangular duct, of which the share of flat wall twice over is taken off. It
    gives the printed rows of 12 x 6 to 96 x 48 in to half a decibel. Above that frequency nothing is printed: there
    the loss is held at what the mass law of rectangular ducts, 20 log(q f) - 31, and the first equation both allow.

    The power that gets out is that in the duct less this loss plus 10 log of wall area over duct area, as in
    STILL_BREAKOUTLOSS, and never more than there is.

    Args:
        width: Longer axis [m].
        height: Shorter axis, between the flat sides [m].
        shell: Build-up of the walls, or their mass per area.

    Raises:
        OutOfRange: If the duct is rounder than 2 to 1 or flatter than 4 to 1, or its walls are boards: nothing is
            printed for it.
    """
    check_oval(width, height)
    if not _ROUNDEST - 1e-9 <= width / height <= _FLATTEST + 1e-9:
        raise OutOfRange(
            "the duct is not twice to four times as wide as it is high, for which losses are printed: take a rounder "
            "one as round, a flatter one as rectangular"
        )
    if panel_of(shell).thickness > SHEET:
        raise OutOfRange("the walls are boards, thicker than 3 mm, and the printed losses are of sheet metal")
    w, h = width / INCH, height / INCH
    heavy = shell.surface_mass / PSF
    around = oval_perimeter(w, h)
    plane = decibels(FREQUENCIES * heavy**2 * around / (2 * (w - h) ** 2)) + 17
    many = np.minimum(plane, 2 * decibels(heavy * FREQUENCIES) - 31)
    return np.clip(np.where(_PLANE / h > FREQUENCIES, plane, many), 0.0, MOST_WALL_LOSS)
