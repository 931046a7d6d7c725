"""Ducts: sizes that keep the air quiet, the speeds in those taken, and the pressure of each branch."""

from __future__ import annotations

from stillbook.quantities import AIR_SPEED, AIRFLOW, LENGTH, PRESSURE, SMALL_AREA
from stillbook.templates import look
from stillbook.templates.air_schedule.branch import Branch
from stillbook.templates.calls import filled
from stillbook.templates.page import Book, Page
from stillbook.templates.parts.schedule import Schedule, Worked


def write(book: Book, schedule: Schedule) -> Page:
    """Write the sheet."""
    small, area, speed = book.unit(LENGTH), book.unit(SMALL_AREA), book.unit(AIR_SPEED)
    loss, digits = book.unit(PRESSURE), book.pick(look.WHOLE, look.TWO)
    sizes = 'STILL_DUCTSIZES({airflows},quiet_speed,duct_most_height,"",units)'
    pressures = Branch().pressures()
    fine = book.pick("0.0000", look.TWO)
    in_it = filled("STILL_DUCTVELOCITY({airflows},{duct_widths},{duct_heights},units)", "duct_heights")
    columns = (
        Worked("Mark", "{rooms}", 7, words=True),
        Worked("Room", 'IF({room_names}="","",{room_names})', 19, words=True),
        Worked(f"Airflow, {book.unit(AIRFLOW)}", "{airflows}", 9),
        Worked(f"Least area, {area}", "STILL_DUCTAREA({airflows},quiet_speed,units)", 10, "least_areas", look.WHOLE),
        Worked(f"Round, {small}", "STILL_DUCTROUND({airflows},quiet_speed,units)", 9, "round_sizes", look.WHOLE),
        Worked(f"Smallest rectangular, {small}", f'IFERROR(INDEX({sizes},2,1)&" × "&INDEX({sizes},2,2),"none fits")', 13, words=True),
        Worked(f"Taken, {small}", '{duct_widths}&" × "&{duct_heights}', 11, words=True),
        Worked(f"Speed in it, {speed}", in_it, 9, "duct_speeds", digits, strong=True),
        Worked(f"Outside width, {small}", "STILL_DUCTOUTER({duct_widths},duct_lining,units)", 11, number_format=look.ONE),
        Worked(f"Outside height, {small}", "STILL_DUCTOUTER({duct_heights},duct_lining,units)", 11, number_format=look.ONE),
        Worked(
            f"Speed at the grille, {speed}",
            "STILL_DUCTVELOCITY({airflows},{grille_widths},{grille_heights},units)/grille_free",
            9.5,
            "grille_speeds",
            digits,
            strong=True,
        ),
        Worked(f"Duct, {loss}", pressures["duct"], 9, "friction_losses", fine),
        Worked(f"Elbows, {loss}", pressures["elbows"], 10, "elbow_losses", fine),
        Worked(f"In and out, {loss}", f"{pressures['split']}+{pressures['end']}", 10, "end_losses", fine),
        Worked(f"Branch, {loss}", "{friction_losses}+{elbow_losses}+{end_losses}", 10, "branch_losses", fine),
    )
    page = schedule.page(
        "Ducts",
        "Air that moves slowly is quiet. Sizes are free sizes inside the lining; the duct outside is larger.",
        columns,
        note="Write the duct and the grille you take on the Rooms sheet. The losses are those of the branch at this airflow.",
    )
    page.print_for_site()
    return page
