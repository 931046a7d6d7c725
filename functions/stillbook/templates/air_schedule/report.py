"""Report: the page for the client. Each room's air and noise, with the cautions."""

from __future__ import annotations

from stillbook.cautions import CAUTIONS
from stillbook.quantities import AIRFLOW
from stillbook.templates import look
from stillbook.templates.page import Book, Page
from stillbook.templates.parts.front import JOB, told
from stillbook.templates.parts.schedule import Schedule, Worked, widths


def cautions(page: Page) -> None:
    """All cautions, as every shared copy shows them."""
    page.skip()
    page.cautions("Cautions", CAUTIONS)


def write(book: Book, schedule: Schedule) -> Page:
    """Write the sheet."""
    enough = '({people_states}="Passes")*({code_states}="Passes")*({co2_states}="Passes")'
    unknown = '({row_states}="Waits")+({row_states}="Error")'
    slow = '({speed_states}="Passes")*({grille_states}="Passes")'
    columns = (
        Worked("Mark", "{rooms}", 12, words=True),
        Worked("Room", 'IF({room_names}="","",{room_names})', 24, words=True),
        Worked("People", "{people}", 8, number_format=look.WHOLE),
        Worked(f"Fresh air, {book.unit(AIRFLOW)}", "{airflows}", 10, strong=True),
        Worked("Air changes per hour", "{air_changes}", 11),
        Worked("CO2 after a session, ppm", "{co2_ends}", 11.5, number_format=look.WHOLE),
        Worked("Fan stopped: minutes to 5000 ppm", "{fan_off_minutes}", 11, number_format=look.WHOLE),
        Worked(
            "Air",
            f'IF({unknown},"not known yet",IF({enough}=1,IF(check_fan="Passes","enough",IF(check_fan="Fails","fan too weak","not known yet")),"too little"))',
            12,
            "air_said",
            words=True,
        ),
        Worked("Noise, NC", "{nc_heard}", 8, number_format=look.WHOLE),
        Worked("NC wanted", 'IF({nc_wanted}="","",{nc_wanted})', 8.5, number_format=look.WHOLE),
        Worked(
            "Noise",
            f'IF({unknown},"not known yet",IF({{nc_wanted}}="","no NC set",IF({{nc_heard}}<={{nc_wanted}},IF({slow}=1,"within","air too fast"),"over")))',
            12,
            "noise_said",
            words=True,
        ),
    )
    page = book.page("Report", "Fresh air for each room, and how quiet it is.", widths(columns), title="Air and noise of the rooms", single=True)
    told(page, JOB)
    schedule.write(page, columns)
    page.note(
        "Fresh air for the people does not cool a room with equipment. Noise: the supply air alone, at the nearest seat, as an NC; 15 "
        "stands for 15 or less; predicted, 5 dB either way at best. CO2 is a marker of stale air; 5000 ppm is the "
        "8-hour workplace limit of 29 CFR 1910.1000, reached so soon after a session when the fan stops and the door stays shut."
    )
    cautions(page)
    page.finish(page.at - 2)
    page.show_to("client")
    return page
