"""Proposal of a quiet room: the page for the client, and its sentences that any quiet room has. It shows no cost, margin or rate."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from stillbook.quantities import AIRFLOW, AREA, MASS, ROOM_LENGTH
from stillbook.templates import look
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.parts import letter, said
from stillbook.templates.parts.bands import LOW_END
from stillbook.templates.parts.check_sheet import denies, passes
from stillbook.templates.parts.inputs import NO_TESTS, OUTDOORS
from stillbook.templates.parts.quiet_room import alternates, letterhead, options, privacy, programme
from stillbook.templates.parts.quiet_room.air_ways import HAS_FAN, HAS_NO_BOX
from stillbook.templates.parts.room_drawing import Views
from stillbook.trade.physics.noise_criteria import LOWEST_NC
from stillbook.workbook.job.draft import NOT_TO_BE_SIGNED

_HOW_SURE: Final = 'IF(confidence_sentence="",""," "&confidence_sentence)'
"""How sure the price is, where the office says it: it follows the sentence below the price."""

SCALE: Final = 78
"""Of the page in print, in percent, so that it takes two sheets of paper; its columns are as wide as fills them."""


_GAP: Final = 9
"""Height of a blank row on the first sheet of paper."""

_VIEWS: Final = 0.85
"""Size of the drawings."""


def write(
    book: Book, room: Callable[[Book, Page], None], purpose: str, *, views: Views, not_included: str = letter.NOT_INCLUDED, weight: str = letter.WEIGHT
) -> Page:
    """Write the sheet; ``room`` writes what the client gets, ``views`` are its drawings."""
    page = book.page("Proposal", purpose, (30, 30, 20, 20, 20), scale=SCALE)
    letterhead.write(page)
    drawn = page.at
    views.place(page, FIRST + 2, size=_VIEWS)
    told = page.at
    room(book, page)
    _price(page)
    options.show(page)
    for row in (*range(1, drawn), *range(told, page.at)):
        if page.sheet.cell(row, FIRST).value is None:
            page.sheet.row_dimensions[row].height = _GAP
    page.break_here()
    said.show(page, page.at, "proposal", alternates.PROPOSAL_ROWS, FIRST, page.last_column, amounts=True, height=13, font=look.SMALL)
    page.skip(alternates.PROPOSAL_ROWS)
    page.skip()
    programme.write(page)
    letter.sentence(page, programme.NOTE, 2)
    page.skip()
    page.heading("Terms")
    letter.sentences(page, _PAID)
    letter.sentence(page, not_included, 2)
    letter.sentence(page, "A change is agreed in writing, with its price, before it is done.")
    page.skip()
    notes = (
        "This is an estimate, not a certified design. Sound isolation in a building differs from laboratory figures.",
        letter.SEALED,
        weight,
        letter.LICENSED,
    )
    page.cautions("Please note", notes)
    _signatures(page)
    page.finish(page.at - 1)
    page.show_to("client")
    return page


_PAID: Final = (
    f'=IF({denies("check_payments")},"Payment: not settled.",'
    '"Payment: "&TEXT(deposit_share,"0%")&" on order, "&TEXT(shell_share,"0%")&" when the shell stands, "'
    '&TEXT(1-deposit_share-shell_share,"0%")&" on completion.")'
)


def _signatures(page: Page) -> None:
    """Lines to sign on, for the client and for the office."""
    page.heading("Signatures", '=IF(MAX(offered_numbers)=0,"","the proposal is accepted with the options that have initials")')
    page.sheet.row_dimensions[page.at].height = 34
    client, office = '="For the client"&IF(client="","",": "&client)', '="For the office"&IF(prepared_by="","",": "&prepared_by)'
    last = page.last_column
    for first, date, whom in ((FIRST, FIRST + 1, client), (last - 1, last, office)):
        for column in range(first, date + 1):
            page.sheet.cell(page.at, column).border = look.SIGNED
        page.put(page.at + 1, first, whom, font=look.SMALL, align=look.SHRUNK)
        page.merge(page.at + 1, first, date)
        for column, text in ((first, "Name and signature"), (date, "Date")):
            page.put(page.at + 2, column, text, font=look.QUIET, align=look.UNWRAPPED)
    page.skip(3)


def doors_air_power(book: Book, page: Page) -> None:
    """What the client gets besides the shell: what a check denies is not promised, and what holds instead is said."""
    letter.sentences(page, _doors(book), _isolation(), plain(), _inside(), _next_door(), _outdoors(book), _air(book))
    treated = "wall_treated+ceiling_treated"
    # That of the air takes two lines where it tells what is amiss.
    page.sheet.row_dimensions[page.at - 1].height = letter.SENTENCE + 14
    letter.sentences(
        page,
        f'="Inside: walls, ceiling and floor finished"&IF({treated}>0,", "&TEXT({treated},"0")&" {book.unit(AREA)} of acoustic treatment"'
        f'&IF({denies("check_treatment")},", more than finds place",IF(floor_left<floor_area,", which leaves "&TEXT(floor_left,"0")&" of "'
        f'&TEXT(floor_area,"0")&" {book.unit(AREA)} of floor","")),"")&IF(cooling_power>0,", and a cooling unit "&IF({passes("check_cooling")},'
        f'"for the rest of the heat","too small for the heat inside"),IF({denies("check_cooling")},"; too warm without cooling",""))&"."',
        f'="Power for "&(socket_count+light_count)&" points"&IF({denies("check_circuit")}," on too small a circuit","")&", "'
        f'&IF({denies("check_holes")},"leaking","sealed")&" cable entries"'
        f'&IF({HAS_FAN},", a fan in and a fan out","")&", and an alarm that tells when the air stops"'
        f'&IF({denies("check_fan_off")},": too little time is left then","")&"."',
    )


def _doors(book: Book) -> str:
    mass, weights = book.unit(MASS), ("check_door_inner", "check_door_outer")
    return (
        '=IF(door_arrangement="pair","A pair of sealed doors, one in each wall, each about "&TEXT(inner_door_mass,"0")'
        f'&" {mass}","One heavy sealed door of about "&TEXT(single_door_mass,"0")&" {mass}")'
        f'&IF({denies(*weights)},", lighter than its wall asks","")&IF(check_doors_heard="Fails",", through which most of the sound comes","")'
        f'&IF({denies("check_door_swings")},"; the inner one cannot swing","")'
        f'&IF({denies("check_door_under", "check_door_in_wall")},"; no such door fits the room","")'
        f'&IF({denies("check_door_clear")},"; too narrow for a way out","")'
        f'&IF({denies("check_push")},"; the air pushes on it too hard","")&"."'
    )


_TO_NEXT_DOOR: Final = (
    'IF(N(dntw_target)>0,"; to next door DnT,w "&next_dntw&" ± "&TEXT(stc_range,"0")&", "&'
    f'IF({denies("check_tested")},"under the "&dntw_target,dntw_target)&" asked for","")'
)
"""What a test to the room next door would find, where it is asked for."""


def _isolation() -> str:
    report = 'IF(lab_used=1,IF(lab_report="","from a laboratory, report not named","from laboratory report "&lab_report),"predicted, not measured")'
    between = f'IF(AND({passes("check_heard", "check_isolation")},{LOW_END}>=stc_target)," between the room and the space around it","")'
    return (
        f'="Isolation"&{between}&": STC "&stc_from_to&" ("&{report}&")"&IF({denies("check_isolation")},", under the STC "&stc_target&" asked for",'
        f'IF({LOW_END}<stc_target,", its low end under the STC "&stc_target&" asked for",""))&{_TO_NEXT_DOOR}&"."'
    )


def in_words(source: str) -> str:
    """What a source is called in a sentence, by the name of the cell that holds it: loud speech, not speech loud."""
    return f'IF({source}="speech shout","shouting",IF(LEFT({source},7)="speech ",MID({source},8,20)&" speech",{source}))'


QUIET: Final = 30
"""The highest NC at which a room is quiet enough for the words below: common practice, no source."""

_LOUD_SPEECH: Final = (
    (50, "is not heard"),
    (45, "is barely heard, and not understood,"),
    (40, "is faint, and not understood,"),
    (35, "is heard, and not understood,"),
    (30, "is heard, and understood in part,"),
    (0, "is understood"),
)
"""What a listener in a quiet room has of loud speech behind a wall of at least that STC: common practice, no source."""


_ASKED_FOR: Final = {
    "check_isolation": "the STC of the room",
    "check_heard": "the level inside",
    "check_next": "the level next door",
    "check_tested": "the DnT,w to next door",
    "check_privacy": "speech privacy next door",
}
"""What is asked for of isolation, by the rule that denies it."""

DENIED: Final = denies(*_ASKED_FOR)
"""Whether what is heard is not what was asked for."""

_MISSED: Final = "MID(" + "&".join(f'IF({denies(rule)},", {what}","")' for rule, what in _ASKED_FOR.items()) + ",3,200)"
"""Which of it is not reached, in words."""

_NOT_SAID: Final = '"In plain words: not said while a level heard is not known, or not meant to be quiet."'

_PRIVATE: Final = (
    f'IF({privacy.KNOWN},"In plain words, of speech in the room next door: "&speech_kept&", SPC "&{privacy.LOW_END}'
    f'&" at the low end (predicted, ASTM E2638).",{_NOT_SAID})'
)
"""What is said of a place next door whose noise is known, quiet or not, as a formula without its sign."""


def plain() -> str:
    """What the isolation is like in plain words, at the low end of its rating; nothing where a check denies what is heard."""
    words = f'"{_LOUD_SPEECH[-1][1]}"'
    for least, said_of_it in reversed(_LOUD_SPEECH[:-1]):
        words = f'IF({LOW_END}>={least},"{said_of_it}",{words})'
    known = f"AND({passes('check_heard', 'check_next')},nc_target<={QUIET},next_target<={QUIET},COUNT(next_noise)=0,NOT({denies('check_isolation')}))"
    return (
        f'=IF({known},"In plain words, at STC "&{LOW_END}&": loud speech "&{words}&" in a quiet room on the other side (common practice).",'
        f'IF({DENIED},"In plain words: as drawn it does not reach what was asked for: "&{_MISSED}&".",'
        f"{_PRIVATE}))"
    )


def _inside() -> str:
    """What is heard inside of the source outside, or whether hearing may be tested inside, in a sentence."""
    source = f'"Of "&{in_words("source_kind")}&" outside, "'
    tests = '"For hearing tests ("&hearing_tests&", from "&test_tone&"): "'
    most = '" (range: up to "&TEXT(ROUNDUP(test_most_over,1),"0.0")&" dB over at "&test_most_worst&" Hz)"'
    return (
        f'=IF(check_heard="Fails",{source}&TEXT(over_target,"0.0")&" dB over the target is heard inside.",'
        f'IF(NOT({passes("check_heard")}),"What is heard inside is not known.",'
        f'IF(hearing_tests="{NO_TESTS}",{source}&{_predicted("nc_inside", "nc_inside_most")}&" is heard inside; NC "&nc_target&" or less is asked for.",'
        f'{tests}&IF({passes("check_hearing_tests")},"quiet enough as predicted"&IF(test_most_over>0,{most}," (its whole range too)")'
        '&"; a licensed professional certifies.",'
        'IF(check_hearing_tests="Fails",TEXT(test_over,"0.0")&" dB too loud at "&test_worst&" Hz as drawn.","not known to be quiet enough.")))))'
    )


def _predicted(level: str, most: str) -> str:
    """A level as predicted and as its range lets it be, in words."""
    return f'"NC "&TEXT({level},"0")&IF(N({level})<={LOWEST_NC}," or less","")&" (predicted; up to NC "&TEXT({most},"0")&")"'


def _next_door() -> str:
    """What a room next door hears of the source inside, in a sentence."""
    return _heard("next", "check_next", '"next door"')


def _outdoors(book: Book) -> str:
    """What is heard outdoors of the source inside, in a sentence."""
    distance = f'TEXT(outdoor_distance,"{book.pick("0", "0.0")}")'
    return _heard("outdoor", "check_outdoors", f'"outdoors, "&{distance}&" {book.unit(ROOM_LENGTH)} from the shell"')


def _heard(place: str, check: str, where: str) -> str:
    begins = f'"Of "&{in_words("inside_source")}&" in the room, "'
    measured = f"COUNT({place}_noise)>0"
    target = f'IF({measured},"what is there already","NC "&{place}_target)'
    off = f'TEXT(INDEX(band_reach,1,MATCH({place}_worst,heard_octaves,0)),"0")'
    under = f'TEXT(-{place}_over,"0")&" dB less than what is there already is heard "&{where}&" (predicted, "&{off}&" dB either way)."'
    level = f'{_predicted(f"nc_{place}", f"nc_{place}_most")}&" is heard "&{where}&"; NC "&{place}_target&" or less is asked for."'
    return (
        f"=IF({passes(check)},{begins}&IF({measured},{under},{level}),"
        f'IF({check}="Fails",{begins}&TEXT({place}_over,"0.0")&" dB over "&{target}&" is heard "&{where}&", most at "&{place}_worst&" Hz.",'
        f'"What is heard "&{where}&" is not known."))'
    )


def _air(book: Book) -> str:
    flow = book.unit(AIRFLOW)
    enough = ("check_air_people", "check_air_code", "check_co2", "check_co2_day", "check_fan", "check_fan_out", "check_fans")
    speeds = tuple(f"check_speed_{place}" for place in ("duct", "grille", "box", "most"))
    whom = 'people&IF(people=1," person"," people")'
    return (
        f'=IF({passes(*enough)},"Fresh air for "&{whom},IF({denies(*enough)},"Air, not enough for "&{whom},"Air, not known to be enough, for "&{whom}))'
        f'&": "&TEXT(airflow,"0")&" {flow}"&IF({denies("check_fan")},", of which the fan moves "&TEXT(fan_full_flow,"0"),"")'
        f'&IF({passes("check_air_heard", "check_hearing_tests", *speeds)},", "&TEXT(air_changes,"0.0")&" air changes an hour, by "&'
        f'IF(air_source="{OUTDOORS}","a recovery ventilator, ","")&"lined ducts and "'
        f'&IF({HAS_NO_BOX},"a baffle box","baffle boxes")&"; all together "&'
        f'{_predicted("nc_all", "nc_all_most")}&" is heard inside; NC "&nc_target&" or less is asked for.",'
        'IF(check_air_heard="Fails",". As drawn it would be heard: NC "&TEXT(nc_all,"0.0")'
        '&" with what comes from outside, over the NC "&TEXT(nc_target,"0")&" aimed at.",'
        'IF(check_hearing_tests="Fails",". It is to be quieter for hearing tests.",'
        f'IF({denies(*speeds)},". As drawn it is too fast to go unheard.",". Whether it is heard is not known."))))'
    )


def _price(page: Page) -> None:
    """The total in one row with what it is made of, and below it how long it stands."""
    page.heading("Price")
    row = page.at
    page.rule(row, look.TOTAL_ROW)
    page.put(row, FIRST, "Total", font=look.FIGURE, border=look.TOTAL_ROW, align=look.UNWRAPPED)
    described = (
        '="as described"&IF(COUNTIF(alternate_counts,"yes")>0,", with the accepted alternates","")'
        '&IF(tax_amount=0,"",": "&TEXT(price_before_tax,"#,##0.00")&" and tax "&TEXT(tax_amount,"#,##0.00"))'
    )
    page.put(row, FIRST + 1, described, font=look.SMALL, border=look.TOTAL_ROW, align=look.LEFT)
    page.merge(row, FIRST + 1, page.last_column - 2)
    page.put(row, page.last_column - 1, "=currency", font=look.QUIET, border=look.TOTAL_ROW)
    page.put(row, page.last_column, "=price", font=look.FIGURE, number_format=look.PRICE, border=look.TOTAL_ROW)
    page.sheet.row_dimensions[row].height = 26
    page.at += 1
    letter.sentence(page, f'=IF(checks_denied>0,"{NOT_TO_BE_SIGNED}",{letter.VALID_AND_TAX[1:]}&{_HOW_SURE})', 2)
    page.sheet.cell(page.at - 1, FIRST).alignment = look.LEFT
    page.skip()
