"""The silencer of the Inputs sheet: whether all is told that it needs to count, and what is missing in words."""

from __future__ import annotations

from typing import Final

from stillbook.templates import look
from stillbook.templates.page import Book, Page
from stillbook.templates.parts.inputs import IN_BOTH_WAYS
from stillbook.templates.parts.octaves import OCTAVES
from stillbook.templates.parts.quiet_room.air_ways import SUPPLY

TOLD: Final = "COUNTA(silencer_losses,silencer_noises,silencer_pressure,silencer_speed,silencer_gap,silencer_gaps)>0"
"""Whether anything is typed of a silencer."""

_FASTEST: Final = 3.999
"""How many times faster than measured the air may be, just inside what the formula of its self-noise takes."""


def write(book: Book, page: Page) -> None:
    """Write what the ways ask of it, below what is printed."""
    airflow = f'MAX(airflow,IF(silencer_ways="{IN_BOTH_WAYS}",way_out_airflow,0))'
    faced = f"STILL_DUCTVELOCITY({airflow},{','.join(SUPPLY.face)},units)"
    lacks = (
        (f"COUNT(silencer_losses)<{len(OCTAVES)}", "its insertion loss in all eight octaves"),
        ('silencer_pressure=""', "the pressure it takes"),
        ("AND(silencer_given=0,N(silencer_gap)*N(silencer_gaps)=0)", "its self-noise in all eight octaves with the velocity, or its gaps"),
        ("AND(silencer_given=0,COUNTA(silencer_noises)>0)", "its self-noise in all eight octaves, with the velocity"),
        (f"IF(silencer_given=1,{faced}>{_FASTEST}*silencer_speed,FALSE)", "levels measured at a velocity nearer to its own"),
    )
    missing = '""'
    for condition, words in reversed(lacks):
        missing = f'IF({condition},"{words}",{missing})'
    page.heading("Silencer", "counted once all that it needs is told")
    for label, name, formula in (
        ("Its maker gives its self-noise", "silencer_given", f"=IF(AND(COUNT(silencer_noises)={len(OCTAVES)},N(silencer_speed)>0),1,0)"),
        ("What is missing", "silencer_lacks", f'=IF({TOLD},{missing},"")'),
        ("It counts", "silencer_counts", f'=IF(AND({TOLD},silencer_lacks=""),1,0)'),
    ):
        page.row((label, formula), ("text", look.GENERAL), names=("", name))
    page.skip()
