"""Fan: the air and the pressure it must give, and the sound it makes."""

from __future__ import annotations

from typing import Final

from openpyxl.utils import get_column_letter

from stillbook.quantities import AIRFLOW, HEAT, PRESSURE
from stillbook.templates import look
from stillbook.templates.air_schedule.branch import box_loss
from stillbook.templates.calls import nth
from stillbook.templates.charts import bars_with_limits
from stillbook.templates.page import FIRST, Book, Page, ResultRow
from stillbook.templates.parts import bands
from stillbook.templates.parts.octaves import OCTAVES
from stillbook.templates.parts.schedule import Schedule

SHOWN: Final = 15
"""Rooms in the chart."""


def write(book: Book, schedule: Schedule, air: Page) -> Page:
    """Write the sheet, with a chart of the CO2 on the Air sheet."""
    page = book.page("Fan", "All rooms together: what one fan must move, against what it can.", (40, 10, *(10 for _ in OCTAVES[1:])), single=True)
    _totals(book, page)
    _sound(page)
    ends, limits = schedule.places["co2_ends"], schedule.places["co2_limits"]
    bars_with_limits(
        page,
        source=air,
        title=f"CO2 at the end of the longest session, ppm: the first {SHOWN} rooms",
        told="Bars: CO2 in each room at the end of its longest session, against the most allowed as a line. The Air sheet holds the figures.",
        labels=(FIRST, ends.first, ends.first + SHOWN - 1),
        bars=(ends.column, ends.first - 1),
        limits=((limits.column, limits.first - 1),),
        value_title="ppm",
        size=(22, 8),
    )
    page.skip(17)
    page.finish()
    return page


def _totals(book: Book, page: Page) -> None:
    flow, loss, heat = book.unit(AIRFLOW), book.unit(PRESSURE), book.unit(HEAT)
    digits = book.pick(look.THREE, look.ONE)
    page.part(
        "What it must give",
        ResultRow("Rooms", '=SUMPRODUCT((rooms<>"")*1)', "", "room_count", look.WHOLE, key=True),
        ResultRow("People", "=SUM(people)", "", "people_count", look.WHOLE, key=True),
        ResultRow("Air of the rooms", "=SUM(airflows)", flow, "total_airflow", look.WHOLE, key=True),
        ResultRow("Air of the fan", "=total_airflow*(1+leakage)", flow, "fan_airflow", look.WHOLE, key=True).noting("With what the ducts lose."),
        ResultRow("Branch with the greatest loss", "=MAX(branch_losses)", loss, "worst_branch", book.pick("0.0000", look.ONE)),
        ResultRow("Pressure needed", "=trunk_loss+worst_branch", loss, "fan_pressure_needed", digits, key=True).noting(
            "What all branches share, and the worst branch. The others are throttled to it."
        ),
        ResultRow("Pressure the fan gives", "=fan_pressure", loss, "", digits),
        ResultRow("Heat of all rooms", "=SUM(heats)", heat, "total_heat", look.WHOLE, key=True).noting("People, equipment and lights."),
    )


def _sound(page: Page) -> None:
    """The sound power of the fan, and what the box after it keeps back, each a row of octaves."""
    count = len(OCTAVES)
    page.heading("Sound it sends into the duct, dB by octave", "write the maker's eight figures in the boxed row where there are any")
    page.head_row(("Hz", *map(str, OCTAVES)))

    def row(label: str, formula: str, *, strong: bool = False) -> int:
        return bands.band_row(page, OCTAVES, label, formula, (), strong=strong, font=look.BODY)

    call = 'STILL_FANSOUND(fan_airflow,fan_pressure,fan_type,0.85,"",units)'
    predicted = row("By airflow and pressure, 10 dB either way", f"={nth(call)}")
    maker = bands.laboratory_row(page, "The maker's", count, look.BODY)
    given = f"${get_column_letter(FIRST + 1)}${maker}:${get_column_letter(FIRST + count)}${maker}"
    used = row("Used", f"=IF(COUNT({given})={count},{{c}}{maker},IF({bands.in_part(given, count)},NA(),{{c}}{predicted}))", strong=True)
    box = row("Lost in the lined box after it", f"=IF(N(box_length)=0,0,{nth(box_loss())})")
    for name, at in (("fan_sound", used), ("box_loss", box)):
        page.name(name, at, FIRST + 1, last_column=FIRST + count)
    page.skip()
