"""Start: what any quiet room asks on the first sheet, and what it comes to there."""

from __future__ import annotations

from typing import Final

from stillbook.quantities import AIR_SPEED, AIRFLOW, HEAT, LENGTH, MASS
from stillbook.templates import look
from stillbook.templates.calls import out_of_range
from stillbook.templates.page import Book
from stillbook.templates.parts import front, input_sheet, inputs, job_inputs
from stillbook.templates.parts.bands import LOW_END
from stillbook.templates.parts.check_sheet import worst
from stillbook.templates.parts.quiet_room import door_limits, privacy
from stillbook.templates.parts.quiet_room.first_sheet import CHECKS, Outcome, limit
from stillbook.templates.parts.quiet_room.proposal import DENIED, plain
from stillbook.trade.air.co2 import MOST_CO2
from stillbook.workbook.job.checks import NOT_ASKED
from stillbook.workbook.job.inputs import InputSpec

CLOSING = f"{front.LOCKED} Only the Inputs sheet is not, so that its parts open. The figures on the Unit costs sheet are invented examples. {front.KEPT}"
_THREE = '&" × "&'


def sizes(what: str) -> str:
    """Three sizes by the start of their names, as a formula that gives words."""
    return "=" + _THREE.join(f'TEXT({what}_{side},"0.0#")' for side in ("length", "width", "height"))


def facts(book: Book) -> list[InputSpec]:
    """Whose job it is."""
    return input_sheet.named(job_inputs.job(book), "client", "project", "reference", "estimate_date")


def use(book: Book) -> list[InputSpec]:
    """Who is in the room, what air they get, and what must be reached."""
    return [
        *input_sheet.named(inputs.doors(book), "door_choice"),
        *input_sheet.named(inputs.people(book), "people", "activity"),
        *input_sheet.named(inputs.air_source(book), "air_source", "fresh_share"),
        *input_sheet.named(inputs.ducts(book), "duct_width", "duct_height"),
        *input_sheet.named(inputs.isolation(book), "source_kind", "nc_target", "stc_target"),
        *input_sheet.named(inputs.outside(book), "inside_source", "next_target"),
        *input_sheet.named(job_inputs.price(book), "budget"),
    ]


def price_and_quiet(book: Book) -> list[Outcome]:
    """What a client asks first; what nobody asks for says neither that it passes nor that it fails."""
    told = f'IF(check_budget="{NOT_ASKED}",IF(check_price="Passes","",check_price),{worst("check_price", "check_budget")})'
    return [
        Outcome("Price, tax included", "=price", "=currency", limit("at most", "budget", unknown="no budget told"), told, look.MONEY, True),
        Outcome("Isolation, low to high", '=TEXT(room_stc,"0")&" ("&stc_from_to&")"', "STC", limit("at least", "stc_target"), "check_isolation", key=True),
        Outcome(
            "Its low end",
            f"={LOW_END}",
            "STC",
            f'=IF(N(stc_target)=0,"",IF({LOW_END}<stc_target,"under the "&stc_target&" asked","meets the "&stc_target&" asked"))',
            number_format=look.WHOLE,
        ),
        Outcome("Heard inside", "=nc_all", "NC", limit("at most", "nc_target"), worst("check_heard", "check_air_heard"), look.WHOLE, True),
        Outcome(
            "At most, within the range",
            "=nc_all_most",
            "NC",
            '=IF(nc_all_most="","",IF(nc_all_most>nc_target,"may be over the target","under the target too"))',
            number_format=look.WHOLE,
        ),
        *(
            Outcome(
                label,
                f'=IF(COUNT({place}_noise)>0,TEXT({place}_over,"+0.0;-0.0;0.0"),TEXT(nc_{place},"0")&" (up to "&TEXT(nc_{place}_most,"0")&")")',
                f'=IF(COUNT({place}_noise)>0,"dB","NC")',
                f'=IF(COUNT({place}_noise)>0,"over what is there",{limit("at most", f"{place}_target").removeprefix("=")})',
                state,
                look.WHOLE,
            )
            for label, place, state in (("Heard next door", "next", "check_next"), ("Heard outdoors", "outdoor", "check_outdoors"))
        ),
    ]


_LIKE: Final = ((20, "a recording studio"), (30, "a bedroom at night"), (40, "an office with its door shut"), (99, "a busy office"))
"""What a room of at most that NC is like: common practice, no source."""


def in_words() -> tuple[str, str]:
    """What the two ratings of the first sheet mean to a client, in sentences."""
    like = f'"{_LIKE[-1][1]}"'
    for most, said in reversed(_LIKE[:-1]):
        like = f'IF(nc_all<={most},"{said}",{like})'
    return (
        f'="STC says how much walls and doors keep out: more is better. "&{plain().removeprefix("=")}&IF({DENIED},{privacy.TOLD},"")',
        '="NC says how loud it still is inside, the air with it: less is quieter."'
        f'&IF(ISNUMBER(nc_all)," NC "&TEXT(nc_all,"0")&", as predicted, is like "&{like}&" (common practice).","")',
    )


def doors_and_air(book: Book) -> list[Outcome]:
    """What the doors weigh, and what the air does."""
    flow, speed = book.unit(AIRFLOW), book.pick("#,##0", "0.00")
    each = 'IF(door_arrangement="pair",MAX({0}),{1})'
    weighs = each.format("inner_door_mass,outer_door_mass", "single_door_mass")
    masses = ("check_door_inner", "check_door_outer", "check_door_swings")
    co2 = f"=IF({out_of_range('co2_session')},{MOST_CO2:.0f},co2_session)"
    return [
        Outcome(
            "Doors",
            f'=IF(door_arrangement="pair","a pair, each ","one of ")&TEXT({weighs},"#,##0")',
            book.unit(MASS),
            _least_of_doors(),
            f"IF({door_limits.ALL_ASKED},{worst(*masses)},{worst(*masses, 'check_doors_heard')})",
        ),
        Outcome("Air", "=airflow", flow, limit("at least", "airflow_people"), "check_air_people", look.WHOLE, True),
        Outcome("Outdoor air in it", "=outdoor_airflow", flow, limit("at least", "airflow_code"), "check_air_code", look.WHOLE),
        Outcome("Air speed, ducts and grilles", "=MAX(speed_duct,speed_return,speed_grille,speed_box)", book.unit(AIR_SPEED),
                limit("at most", "quiet_speed", speed), worst("check_speed_duct", "check_speed_grille", "check_speed_box"), speed),
        Outcome("CO2, end of the session", co2, "ppm", limit("at most", "co2_limit"), "check_co2", look.WHOLE),
        Outcome("Cooling that the room needs", "=cooling_needed", book.unit(HEAT), limit("at most", "cooling_power", unknown="no cooling"),
                "check_cooling", look.WHOLE),
        Outcome("Reverberation, 500 Hz and up", "=longest_time", "s", limit("at most", "target_time", "0.00"), "check_time", look.TWO),
    ]  # fmt: skip


def _least_of_doors() -> str:
    """What the doors must weigh at least, or that they are judged by their sound beside what no door can match."""
    pair = 'IF(COUNT(inner_door_least)=1,"inner one at least "&TEXT(inner_door_least,"#,##0"),"outer one at least "&TEXT(outer_door_least,"#,##0"))'
    both = f'IF({door_limits.ALL_ASKED},"at least "&TEXT(MAX(inner_door_least,outer_door_least),"#,##0"),{pair})'
    least = f'IF(door_arrangement="pair",{both},"at least "&TEXT(single_door_least,"#,##0"))'
    return f'=IF({door_limits.NONE_ASKED},"judged by their sound",{least})'


def boxes(book: Book, room: str) -> Outcome:
    """The room that the air boxes find, of what they need."""
    target = '="at least "&TEXT(box_room_needed,"#,##0")'
    return Outcome("Room for the air boxes", room, book.unit(LENGTH), target, worst("check_fits_boxes", "check_fits_shell"), look.WHOLE)


def last() -> list[Outcome]:
    """How far the job is."""
    return [Outcome("Revision", '=IF(revision="","none",revision)'), CHECKS]
