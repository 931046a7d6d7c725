"""Scope: the page for the contractor. The fan, what stands behind it, and each room's ducts, in sizes to build."""

from __future__ import annotations

from stillbook.quantities import AIR_SPEED, AIRFLOW, LENGTH, PRESSURE, ROOM_LENGTH
from stillbook.templates import look
from stillbook.templates.air_schedule.report import cautions
from stillbook.templates.page import Book, Page
from stillbook.templates.parts.front import JOB, told
from stillbook.templates.parts.octaves import OCTAVES
from stillbook.templates.parts.schedule import Schedule, Worked, widths


def write(book: Book, schedule: Schedule) -> Page:
    """Write the sheet."""
    small, large = book.unit(LENGTH), book.unit(ROOM_LENGTH)
    size = '{{{0}_widths}}&" × "&{{{0}_heights}}'
    digits = book.pick(look.ONE, look.WHOLE)
    outer = "STILL_DUCTOUTER({0},duct_lining,units)"
    columns = (
        Worked("Mark", "{rooms}", 12, words=True),
        Worked("Room", 'IF({room_names}="","",{room_names})', 24, words=True),
        Worked(f"Airflow, {book.unit(AIRFLOW)}", "{airflows}", 9, strong=True),
        Worked(f"Duct inside lining, {small}", size.format("duct"), 14, words=True),
        Worked(f"Outside width, {small}", outer.format("{duct_widths}"), 9, number_format=digits),
        Worked(f"Outside height, {small}", outer.format("{duct_heights}"), 9, number_format=digits),
        Worked(f"Length, {large}", "{duct_lengths}", 9),
        Worked("Square elbows", "{elbow_counts}", 8, number_format=look.WHOLE),
        Worked(f"Speed in it, {book.unit(AIR_SPEED)}", "{duct_speeds}", 9, number_format=book.pick(look.WHOLE, look.TWO)),
        Worked(f"Grille face, {small}", size.format("grille"), 13, words=True),
        Worked(f"To throttle, {book.unit(PRESSURE)}", "worst_branch-{branch_losses}", 10, number_format=book.pick("0.0000", look.ONE)),
        Worked("NC wanted", 'IF({nc_wanted}="","",{nc_wanted})', 8, number_format=look.WHOLE),
    )
    page = book.page("Scope", "The fan, the main duct and its box, and the lined branch of each room.", widths(columns), title="Ducts to build", single=True)
    told(page, JOB[1:])
    _fan(book, page)
    schedule.write(page, columns)
    page.note(
        "Sizes inside are free sizes between the lining; the duct outside is larger. To throttle: at a damper near the main duct, far "
        "from the room. Grilles: their own noise at this air at least 5 below the NC wanted (common practice). Check sizes on site."
    )
    cautions(page)
    page.finish(page.at - 2)
    page.show_to("contractor")
    return page


def _fan(book: Book, page: Page) -> None:
    """What stands before the branches, a row each."""
    flow, loss, small = book.unit(AIRFLOW), book.unit(PRESSURE), book.unit(LENGTH)
    page.heading("Before the branches")
    whole = 'TEXT({0},"0")'
    size = f'{whole.format("{0}")}&" × "&{whole.format("{1}")}'
    box = f'{size.format("box_width", "box_height")}&" × "&{whole.format("box_length")}'
    digits = book.pick("0.00", "0")
    levels = '&", "&'.join(whole.format(f"INDEX(fan_sound,1,{n})") for n in range(1, len(OCTAVES) + 1))
    told(
        page,
        (
            (
                "Fan",
                f'={whole.format("fan_airflow")}&" {flow} against "&TEXT(fan_pressure_needed,"{digits}")&" {loss}, with "&'
                'TEXT(leakage,"0%")&" lost from the ducts"',
            ),
            ("Kind", "=fan_type"),
            ("Its sound", f'={levels}&" dB re 1 pW into the duct at 63 to 8000 Hz: no more in any octave"'),
            ("Main duct", f'={size.format("main_width", "main_height")}&" {small} inside"'),
            (
                "Lined box",
                f'=IF(N(box_length)=0,"none",{box}&" {small} inside, openings of the main duct\'s size "&'
                f'ROUND((box_width-main_width)/2,1)&" {small} out of line, lining "&box_lining&" {small}")',
            ),
            ("Duct lining", f'=duct_lining&" {small}, faced, fire rating by the local code"'),
            ("Air speed", f'="at most "&TEXT(quiet_speed,"{book.pick("0", "0.00")}")&" {book.unit(AIR_SPEED)} in branches and grilles"'),
        ),
    )
