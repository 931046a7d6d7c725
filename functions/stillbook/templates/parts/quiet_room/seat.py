"""What is heard at the seat: each sound for itself, all together against the target, and what to change first."""

from __future__ import annotations

from typing import Final

from openpyxl.utils import get_column_letter

from stillbook.templates import look
from stillbook.templates.calls import nth
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.parts import octaves
from stillbook.templates.parts.inputs import NO_TESTS
from stillbook.templates.parts.octaves import SILENT
from stillbook.templates.parts.quiet_room.air_way_rows import OUT_NAME
from stillbook.templates.parts.quiet_room.air_ways import (
    ALIKE,
    ELEMENTS,
    FAN_IN,
    FAN_OUT,
    HAS_FAN,
    HAS_SILENCER,
    NOISY,
    OUT,
    PARTLY_GIVEN,
    SILENCER,
    SUPPLY,
    Places,
    box_walls,
    opening,
)

_LEAST_RC: Final = 15
"""Below it no curve is drawn, as of NC."""

_FANS_OFF: Final = (3, 10)
_DUCTS_OFF: Final = 5
"""How far a fan with its maker's figures and one without, and ducts and boxes, may be off either way [dB]: common practice, no source."""

_KNOWN: Final = f'IF({PARTLY_GIVEN},"",{{0}})'
"""What all together comes to; blank while octaves of a fan are missing."""

_NC: Final = "=" + _KNOWN.format(octaves.NC.removeprefix("="))

_FAN_OFF: Final = f"=SQRT({_DUCTS_OFF}^2+IF({{0}},{_FANS_OFF[0]},{_FANS_OFF[1]})^2)"
_OFF: Final = {
    "fan": _FAN_OFF.format(f"{FAN_IN.given}=1"),
    "walls": _FAN_OFF.format(f"{FAN_IN.given}=1"),
    "return_fan": _FAN_OFF.format(f"OR({FAN_OUT.given}=1,AND({FAN_IN.given}=1,{ALIKE}))"),
    "shell": None,
}
"""How far the sound of a fan may be off at the seat; that of the shell is told by octave on the Isolation sheet."""


def heard(book: Book, page: Page, places: Places) -> None:
    """The rows of what is heard, their sum and the target."""
    page.heading("Heard at the seat", "each sound for itself, dB; air, fans and what comes from outside")
    places.rows["head"] = octaves.head(page, label="Sound", before=("", "", "Either way"), last="NC")
    places.rows["room"] = octaves.row(
        page, "The room takes off", "=" + nth("STILL_ROOMLOSS(listener_distance,room_volume,seat_absorption,units)"), number_format=look.ONE
    )
    first = page.at
    for key, (label, formula) in _sounds(book, places).items():
        before = (None, None, _OFF.get(key, f"={_DUCTS_OFF}"))
        places.heard[key] = octaves.row(page, label, f"={formula}", before=before, formats=("", "", look.WHOLE), last=octaves.NC)
        page.sheet.cell(page.at - 1, octaves.BAND - 1).font = look.QUIET
    others = page.at - 1
    # Blank without one: silence is a level too, and would add its share to all together.
    silencer = octaves.row(
        page,
        f'=IF({HAS_SILENCER},"Air in the silencer","No silencer")',
        f'=IF({HAS_SILENCER},{_silencer(places)},"")',
        before=(None, None, f'=IF({HAS_SILENCER},{_DUCTS_OFF},"")'),
        formats=("", "", look.WHOLE),
        last=f'=IF({HAS_SILENCER},{octaves.NC.removeprefix("=")},"")',
    )
    page.sheet.cell(silencer, octaves.BAND - 1).font = look.QUIET
    last = page.at - 1
    places.heard["all"] = octaves.row(
        page, "All together", "=" + nth(f"STILL_PATHSUM({octaves.spectrum(first, last)})"), last=_NC, strong=True, border=look.TOTAL_ROW
    )
    _within(book, page, places, (first, others), silencer)
    places.heard["target"] = octaves.row(page, "Target", "=" + nth("inside_target"), last="=nc_target")
    level, target = (f"{{c}}{places.heard[key]}" for key in ("all", "target"))
    over = octaves.row(page, "Over the target", f"=MAX({level}-{target},0)", number_format=look.ONE)
    page.put(over, octaves.RATING, "=air_verdict", font=look.STRONG, border=look.ROW)
    _other_measures(page, places)
    _hearing_tests(book, page, places)
    book.name("nc_all", page, places.heard["all"], octaves.RATING, comment=book.result_comment("nc_all", "Heard at the seat, all together, NC", "", "least"))
    page.name("heard_names", first, FIRST, last)
    octaves.name(page, "heard_levels", first, last)
    octaves.name(page, "target_levels", places.heard["target"])
    page.note(
        "An NC below 15 shows as 15. Sound from outside is the source of the Inputs sheet. Of a box's loss, half counts for what "
        f"comes through its shell. Fans without maker's figures are known to {_FANS_OFF[1]} dB, with them to {_FANS_OFF[0]}; ducts and boxes to "
        f"{_DUCTS_OFF}; the shell as on the Isolation sheet: of all, by their shares, as if one knew nothing of the other (ISO/IEC Guide 98-3). "
        "Where single tones rule (Room sheet), a level differs by 5 dB and more from place to place."
    )


def _within(book: Book, page: Page, places: Places, rows: tuple[int, int], silencer: int) -> None:
    """How far all together may be off, by the share that each sound has in it, and what it may come to.

    The sounds stand from the first to the last of the ``rows``; that of a ``silencer`` in a row of its own, blank without one.
    """
    first, last = rows
    level, off = f"{{c}}{places.heard['all']}", get_column_letter(octaves.BAND - 1)
    ways = f"SUMPRODUCT((10^(({{c}}{first}:{{c}}{last}-{level})/10)*${off}${first}:${off}${last})^2)"
    shell = f"(10^(({{c}}{places.heard['shell']}-{level})/10)*{nth('band_reach')})^2"
    own = f"IF({HAS_SILENCER},(10^(({{c}}{silencer}-{level})/10)*{off}{silencer})^2,0)"
    either = octaves.row(page, "Either way, dB", f"=SQRT({ways}+{shell}+{own})", number_format=look.WHOLE)
    # No less than the shell alone may come to, which a share of all takes to be part of it.
    alone = f"{{c}}{places.heard['shell']}+{nth('band_reach')}"
    most = places.heard["most"] = octaves.row(page, "All together at most", f"=MAX({level}+{{c}}{either},{alone})", last=_NC)
    comment = book.result_comment("nc_all_most", "Heard at the seat at most, within the prediction's range, NC", "")
    book.name("nc_all_most", page, most, octaves.RATING, comment=comment)


def _other_measures(page: Page, places: Places) -> None:
    """All together in the measures that others ask for, and whether it rumbles or hisses."""
    levels = octaves.spectrum(places.heard["all"])
    number, character = (f"INDEX(STILL_RCRATING({levels}),1,{column})" for column in (1, 2))
    said = (
        f'TEXT(MAX(0,STILL_ALEVEL({levels})),"0")&" dB(A); NR "&TEXT(MAX(0,ROUNDUP(STILL_NRRATING({levels}),0)),"0")&"; "'
        f'&IF({number}<{_LEAST_RC},"RC below {_LEAST_RC}","RC "&{number}&", "&{character})'
    )
    page.put(page.at, FIRST, "All together in other measures", border=look.ROW).alignment = look.LEFT
    page.rule(page.at, first=FIRST + 1)
    page.put(page.at, FIRST + 1, f"={_KNOWN.format(said)}", border=look.ROW).alignment = look.RIGHT
    page.merge(page.at, FIRST + 1, octaves.RATING)
    page.at += 1


def _hearing_tests(book: Book, page: Page, places: Places) -> None:
    """The highest levels for hearing tests, where there are any, and how far all together is over them, and may be at most."""
    none, limit = f'hearing_tests="{NO_TESTS}"', nth("hearing_limits")
    octaves.row(page, f'=IF({none},"No hearing tests inside","Highest for "&hearing_tests)', f"={limit}", number_format=look.WHOLE)
    for label, level, name in (("Over (+) or under (-) it", "all", "test"), ("Over it at most, within the range", "most", "test_most")):
        at = octaves.row(
            page,
            f'=IF({none},"","{label}")',
            f'=IF(OR({none},ISTEXT({limit})),"",{{c}}{places.heard[level]}-{limit})',
            last=f'=IF({none},"",{_KNOWN.format("MAX({s})")})',
            number_format="+0.0;-0.0;0.0",
        )
        page.name(f"{name}_over", at, octaves.RATING)
        page.put(at, FIRST + 2, f'=IF({none},"","worst, Hz")', font=look.QUIET, border=look.ROW).alignment = look.RIGHT
        worst = f'=IF({name}_over="","",INDEX({octaves.spectrum(places.rows["head"])},MATCH({name}_over,{octaves.spectrum(at)},0)))'
        page.put(at, FIRST + 3, worst, font=look.SMALL, number_format=look.WHOLE, border=look.ROW)
        page.name(f"{name}_worst", at, FIRST + 3)


def _here(places: Places, level: str) -> str:
    """A level at the seat, held at the least that other formulas take."""
    return f"MAX({level}-{{c}}{places.rows['room']},{SILENT})"


def _part(places: Places, place: int) -> str:
    """A sound of the supply at the seat: of its fan, and then of its elements."""
    return _here(places, f"INDEX(STILL_PATHPARTS({SUPPLY.fan_name},{SUPPLY.losses_name},{SUPPLY.noises_name}),{place},{{n}})")


def _silencer(places: Places) -> str:
    """The sound of the supply's silencer at the seat."""
    return _part(places, 2 + ELEMENTS.index(SILENCER))


def _sounds(book: Book, places: Places) -> dict[str, tuple[str, str]]:
    """Label and formula of each sound at the seat."""

    def here(level: str) -> str:
        return _here(places, level)

    def part(place: int) -> str:
        return _part(places, place)

    sounds = {"fan": ("Fan, through the path", part(1))}
    for place, key in enumerate(ELEMENTS, start=2):
        if key in NOISY and key != SILENCER:
            sounds[key] = (f"Air in the {key}", part(place))
    sounds["walls"] = ("Fan, along the walls of the path", part(len(ELEMENTS) + 2))
    silence = f"{{{{{','.join([str(SILENT)] * len(octaves.OCTAVES))}}}}}"
    air = nth(f"STILL_PATHLEVEL({silence},{OUT.losses_name},{OUT.noises_name})")
    fan = f"IF({HAS_FAN},{nth(f'STILL_PATHLEVEL({OUT.fan_name},{OUT.losses_name})')},{SILENT})"
    sounds["return_fan"] = (f'=IF({HAS_FAN},"Return fan, its path and its walls","No return fan")', here(fan))
    sounds["return_air"] = (f'="Air in the "&{OUT_NAME}', here(air))
    for key, label, way in (("intake", "Outside, in at the intake", places.supply), ("outlet", f'="Outside, in at the "&{OUT_NAME}', places.out)):
        sounds[key] = (label, here(opening("duct_width,duct_height", f"{{c}}{way.sum}")))
    boxes = here(box_walls(book, {key: f"{{c}}{row}" for key, row in places.supply.loss.items()}))
    sounds["boxes"] = ('=IF(baffle_boxes=1,"Outside, through the box\'s shell","Outside, through both boxes\' shells")', boxes)
    sounds["shell"] = ("Outside, through the room's shell", nth("shell_inside"))
    return sounds
