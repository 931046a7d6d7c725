"""Checks: what a first price may not pass over."""

from __future__ import annotations

from stillbook.quantities import AIRFLOW, LENGTH, ROOM_LENGTH, SURFACE_MASS
from stillbook.templates import look
from stillbook.templates.page import Book, Page
from stillbook.templates.parts import check_sheet, job_checks
from stillbook.templates.parts.check_sheet import AT_LEAST, AT_MOST, EXACTLY, CheckRow


def write(book: Book) -> Page:
    """Write the sheet."""
    each = book.units_in(LENGTH, ROOM_LENGTH)
    left = f'=IF(COUNT(space_length,space_width)<2,"",{{}}(space_length-outside_length,space_width-outside_width)*{each}{{}})'
    sheets = "{0}_makeup_count*STILL_BUILDUPTHICKNESS({0}_makeup_material,units)"
    added = f'IF(door_arrangement="pair",{sheets.format("pair")},{sheets.format("single")})'
    return check_sheet.write_few(
        book,
        (
            CheckRow("Client and project are filled in", '=IF(OR(client="",project=""),"","yes")', number_format=look.GENERAL).advising(
                "Fill them in on the Quote sheet."
            ),
            CheckRow("The shell fits the height of the space", "=outside_height", AT_MOST, '=IF(N(space_height)=0,"",space_height)', look.TWO)
            .measured_in(book.unit(ROOM_LENGTH))
            .advising("Lower the room, thin its ceiling or deck, or choose another space.")
            .named("check_fits_height"),
            CheckRow("Room round the shell, both sides together", left.format("MIN", ""), AT_LEAST, "=2*working_room", look.WHOLE)
            .measured_in(book.unit(LENGTH))
            .advising("It must be boarded and sealed from outside, and its air boxes hang there: a smaller room, or another space.")
            .named("check_fits_plan"),
            CheckRow("Outer door opens in the space left", left.format("MAX", "-working_room"), AT_LEAST, "=door_width", look.WHOLE)
            .measured_in(book.unit(LENGTH))
            .advising("It cannot open far enough to leave by: a smaller room, a narrower door, or another space.")
            .named("check_fits_door"),
            CheckRow(
                "Door: arrangement suits the space", '=IF(OR(door_arrangement="single",door_suggestion="pair"),"yes","no")', EXACTLY, '="yes"', look.GENERAL
            )
            .advising("The inner door of a pair has no room to swing: take one heavy door that opens outward.")
            .named("check_door_swings"),
            job_checks.door_fits(book, "room_length")[0],
            CheckRow("Door: added thickness", f"={added}", AT_MOST, "=makeup_most", look.TWO)
            .measured_in(book.unit(LENGTH))
            .advising("A denser sheet in fewer layers, on the Usual sheet; or a pair of doors.")
            .named("check_door_thickness"),
            CheckRow("Isolation of the room", "=room_stc", AT_LEAST, '=IF(N(stc_target)=0,"",stc_target)', look.WHOLE)
            .measured_in("STC")
            .advising("More boards on both leaves, a pair of doors, or a deeper cavity: the weakest of wall and doors counts.")
            .named("check_isolation"),
            CheckRow("Air: outdoor air in it, at least the outdoor air table's", "=outdoor_airflow", AT_LEAST, "=airflow_code")
            .measured_in(book.unit(AIRFLOW))
            .advising("Ask which share of that room's air is fresh; or take air from outdoors. The building's engineer and the code decide.")
            .named("check_air"),
            CheckRow("CO2 where it settles", "=co2_settled", AT_MOST, "=co2_limit", look.WHOLE)
            .measured_in("ppm")
            .advising("More air, or fewer people.")
            .named("check_co2"),
            CheckRow("Load over the footprint", "=floor_load", AT_MOST, '=IF(N(floor_capacity)=0,"",floor_capacity)', look.WHOLE)
            .measured_in(book.unit(SURFACE_MASS))
            .advising("Stop: ask a structural engineer before going on. Spread the load, or move to a floor on the ground.")
            .named("check_floor"),
            CheckRow("Rates to be mended: not a number over 0", '=ROWS(quote_rates)-COUNTIF(quote_rates,">0")', AT_MOST, "=0", look.WHOLE)
            .advising("Write each rate on the Rates sheet as a number over 0.")
            .named("check_rates"),
        ),
    )
