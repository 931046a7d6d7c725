"""What is heard through the shell, by octave: in the room from the source outside, next door and outdoors from the source inside."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from openpyxl.utils import get_column_letter

from stillbook.quantities import AREA, LEVEL
from stillbook.templates import look
from stillbook.templates.calls import answered, nth, out_of_range
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.parts import bands
from stillbook.templates.parts.inputs import NO_TESTS
from stillbook.templates.parts.octaves import OCTAVES
from stillbook.templates.parts.quiet_room import privacy
from stillbook.trade.isolation.sources import AT_ONE_METRE
from stillbook.trade.room.reverberation import DECAY

LAST: Final = FIRST + len(OCTAVES)
"""Column of the highest octave."""

RATED: Final = LAST + 1
"""Column of the ratings."""

WORST: Final = LAST + 4
"""Column of the octave that is most over its target."""

FROM_MEMORY: Final = "ANSI ears uncovered"
"""The kind of hearing tests whose levels were recalled and not read."""

_OVER, _OVER_ALL = "+0;-0;0", "+0.0;-0.0;0.0"
"""How a level is shown that is so much over its target or under it."""


_NC: Final = "=" + answered("STILL_NCRATING({s})", '"> 70"', "{s}", len(OCTAVES))
"""NC of a row of levels, however loud."""


@dataclass(frozen=True)
class OctaveRow:
    """A row of octaves. In its formula ``{n}`` is the octave's number, ``{c}`` its column, a key the row of that line.

    In its rating ``{s}`` is the row's octaves.
    """

    key: str
    label: str
    formula: str = ""
    """Blank where the octaves are typed, each an input."""
    rating: str = ""
    formats: tuple[str, str] = (look.WHOLE, look.WHOLE)
    """Of the octaves and of the rating."""
    name: str = ""
    """The name of its octaves."""
    rated: str = ""
    """The name of its rating."""
    words: str = ""
    """What is said of it, at the right of its rating."""
    result: tuple[str, str] | None = None
    """Words and unit of the rating, where it is a key result of the job."""


@dataclass(frozen=True)
class Shared:
    """What the room shares with the one next door: what it is called, its loss in one octave, its area, and whether ducts
    end there, as a condition."""

    label: str
    loss: str
    area: str
    ducts: str


def write(book: Book, page: Page, whole: str, area: str, kind: str, shared: Shared | None = None) -> None:
    """Write both directions, one under the other, with their targets.

    ``whole`` is the loss of everything around the room in one octave, as in a band row, ``area`` its area, ``kind`` the
    construction whose uncertainty the loss has. The room next door hears all of it, or what is ``shared`` with it.
    """
    page.heading("Heard inside and outside", "by octave from 63 Hz, through shell and doors, against the targets")
    rows: dict[str, int] = {}
    for title, lines in (("In: octave, Hz", _inwards(book, whole, area, kind)), ("Out: octave, Hz", _outwards(book, area, shared))):
        rows["head"] = bands.head_row(page, OCTAVES, ("NC", *[""] * (page.last_column - RATED)), (title,))
        if "octaves" not in rows:
            rows["octaves"] = rows["head"]
            page.name("heard_octaves", rows["head"], FIRST + 1, last_column=LAST)
        for line in lines:
            _line(book, page, line, rows)
    hear = "Next door hears what it shares with this room; outdoors hears" if shared else "Next door and outdoors hear"
    page.note(
        "By the prediction, whether or not a laboratory's figures of the shell are used. An NC below 15 shows as 15. Absorption inside: from the "
        "Room sheet, at 63 Hz as at 125. With the air's own sound: Air path sheet. Either way: what the predicted loss may be off. Where single tones "
        "rule (Room sheet), a level differs by 5 dB and more from place to place. A voice is louder in a small room than at 1 m in the open, by "
        f"10 log(1 + 16π/R) with the room constant R in m². {hear} the whole shell, both ducts and the boxes, which let out "
        "what they let in. SPC: speech privacy class of ASTM E2638, the mean along the wall next door; at a door or grille it is less. "
        "Bass gets out by ducts, and music has more of it than speech: measure the source where it matters. Hearing tests: kinds "
        f"as in STILL_HEARINGTESTLEVELS; {FROM_MEMORY} is from memory."
    )


def _inwards(book: Book, whole: str, area: str, kind: str) -> Sequence[OctaveRow]:
    """The source outside, what is heard of it inside, and what may be."""
    none = f'hearing_tests="{NO_TESTS}"'
    limit = nth("STILL_HEARINGTESTLEVELS(hearing_tests,test_tone)")
    return (
        OctaveRow("source", "Source outside", '=INDEX(STILL_SOURCELEVELS(source_kind,IF(N(source_level)>0,source_level,"")),1,{n})', name="source_outside"),
        OctaveRow("loss", "Transmission loss", f"={whole}", name="shell_loss"),
        OctaveRow(
            "absorption",
            f"Absorption inside, {book.unit(AREA)}",
            "=IF(N(room_alpha)>0,absorption_area,INDEX(room_absorption,1,{of_room}))",
            formats=(look.ONE, ""),
            name="seat_absorption",
        ),
        OctaveRow(
            "inside",
            "Level inside",
            "=STILL_QUIETLEVEL({c}{source},{c}{loss}," + area + ',{c}{absorption},"in the room",units)',
            "=STILL_NCRATING({s})",
            name="shell_inside",
            rated="nc_inside",
            result=("Heard inside from the source, NC", ""),
        ),
        OctaveRow("reach", "Either way", f"=INDEX(STILL_BANDUNCERTAINTY({kind}),1,{{n}})", name="band_reach"),
        OctaveRow("most", "Level inside at most", "={c}{inside}+{c}{reach}", _NC, rated="nc_inside_most"),
        OctaveRow(
            "tests",
            f'=IF({none},"No hearing tests inside","Highest for hearing tests")',
            f'=IF({none},"",IF({out_of_range(limit)},"none",{limit}))',
            name="hearing_limits",
        ),
        OctaveRow(
            "target",
            f'=IF({none},"NC target","Target: NC and hearing tests")',
            f"=MIN({nth('STILL_NCCURVE(nc_target)')},{{c}}{{tests}})",
            "=nc_target",
            name="inside_target",
        ),
        OctaveRow("over", "Over the target", "=MAX(0,{c}{inside}-{c}{target})", "=MAX({s})", formats=(look.WHOLE, look.ONE), rated="over_target"),
    )


def _outwards(book: Book, area: str, shared: Shared | None) -> Sequence[OctaveRow]:
    """The source inside, what is heard of it next door and outdoors, and what may be."""
    spoken = "OR(" + ",".join(f'inside_source="{kind}"' for kind in AT_ONE_METRE) + ")"
    louder = f'10*LOG10(4*PI())-{nth("""STILL_ROOMLOSS("1 m",room_volume,seat_absorption,1,units)""")}'
    ways = "".join(f"+10^(-{nth(name)}/10)" for name in ("out_of_supply", "out_of_way_out", "out_of_boxes"))
    beyond: tuple[OctaveRow, ...] = ()
    if shared:
        to_next = OctaveRow("to_next", "Loss to next door, ducts with it", f"=-10*LOG10(10^(-{{c}}{{shared}}/10)+IF({shared.ducts},{ways[1:]},0))")
        beyond = (OctaveRow("shared", shared.label, f"={shared.loss}", name="next_loss"), to_next)
    loss, through = ("{c}{to_next}", shared.area) if shared else ("{c}{out}", area)
    return (
        OctaveRow("talk", "Source inside", '=INDEX(STILL_SOURCELEVELS(inside_source,IF(N(inside_level)>0,inside_level,"")),1,{n})'),
        OctaveRow("loud", "Its level in this room", f"={{c}}{{talk}}+IF(AND(N(inside_level)=0,{spoken}),{louder},0)", name="loud_inside"),
        OctaveRow("out", "Transmission loss, ducts with it", f"=-10*LOG10(10^(-{{c}}{{loss}}/10){ways})", name="shell_out_loss"),
        *beyond,
        *_heard("next", "next door", f'=STILL_QUIETLEVEL({{c}}{{loud}},{loss},{through},{next_absorption(book)},"in the room",units)'),
        *_heard("outdoor", "outdoors", f"=STILL_OUTSIDELEVEL({{c}}{{loud}},{{c}}{{out}},{area},outdoor_distance,units)"),
    )


def next_absorption(book: Book) -> str:
    """Absorption area of the room next door."""
    return f"{book.pick(DECAY * 0.3048, DECAY):.6g}*next_volume/next_time"


def _heard(place: str, where: str, level: str) -> Sequence[OctaveRow]:
    """The level at a place outside, what is there already, the target, and how far it is over."""
    typed, noise = f"COUNT({place}_noise)", f"{{c}}{{{place}_noise}}"
    return (
        OctaveRow(place, f"Level {where}", level, _NC, name=f"{place}_levels", rated=f"nc_{place}"),
        OctaveRow(f"{place}_most", f"Level {where} at most", f"={{c}}{{{place}}}+{nth('band_reach')}", _NC, rated=f"nc_{place}_most"),
        OctaveRow(f"{place}_noise", f"There already {where}, if known", name=f"{place}_noise", words=privacy.SAID if place == "next" else ""),
        OctaveRow(
            f"{place}_goal",
            f"Target {where}",
            f'=IF({typed}=0,{nth(f"STILL_NCCURVE({place}_target)")},IF({noise}="","",{noise}))',
            f'=IF({typed}=0,{place}_target,"typed")',
        ),
        OctaveRow(
            f"{place}_over",
            f"Over (+) or under (-) it {where}",
            f'=IF({{c}}{{{place}_goal}}="","",{{c}}{{{place}}}-{{c}}{{{place}_goal}})',
            f'=IF({bands.in_part(f"{place}_noise", len(OCTAVES))},"",MAX({{s}}))',
            formats=(_OVER, _OVER_ALL),
            rated=f"{place}_over",
            result=(f"Heard {where} over (+) or under (-) its target", "dB"),
        ),
    )


def _line(book: Book, page: Page, line: OctaveRow, rows: dict[str, int]) -> None:
    """Write a row of octaves and its rating; ``rows`` has the rows above it by their keys, and takes this one."""
    row = rows[line.key] = page.at
    ink = look.STRONG if line.result else look.BODY
    page.put(row, FIRST, line.label, font=ink, border=look.ROW).alignment = look.LEFT
    page.rule(row, first=LAST + 1)
    for number, hz in enumerate(OCTAVES, start=1):
        if line.formula:
            _octave(page, line, rows, number)
        else:
            _typed(book, page, line, FIRST + number, hz)
    spectrum = bands.cells(FIRST + 1, LAST, row)
    if line.rating:
        rating = line.rating.format(s=spectrum)
        page.put(row, RATED, rating, font=ink, number_format=line.formats[1], border=look.ROW).alignment = look.RIGHT
    if line.words:
        page.put(row, WORST - 1, line.words, font=look.SMALL, border=look.ROW).alignment = look.UNWRAPPED
    if line.name:
        page.name(line.name, row, FIRST + 1, last_column=LAST)
    if line.rated:
        comment = book.result_comment(line.rated, *line.result) if line.result else ""
        book.name(line.rated, page, row, RATED, comment=comment)
    if line.rated.endswith("_over"):
        worst = f'=IF({line.rated}="","",INDEX({bands.cells(FIRST + 1, LAST, rows["head"])},MATCH(MAX({spectrum}),{spectrum},0)))'
        page.put(row, WORST - 1, "worst, Hz", font=look.QUIET, border=look.ROW).alignment = look.UNWRAPPED_RIGHT
        page.put(row, WORST, worst, font=look.SMALL, number_format=look.WHOLE, border=look.ROW)
        page.name(line.rated.replace("_over", "_worst"), row, WORST)
    page.sheet.row_dimensions[row].height = bands.ROW
    page.at += 1


def _octave(page: Page, line: OctaveRow, rows: Mapping[str, int], number: int) -> None:
    """One octave of a row, worked out; the room's absorption is known from 125 to 4000 Hz."""
    cell = line.formula.format(**rows, n=number, of_room=min(max(number - 1, 1), 6), c=get_column_letter(FIRST + number))
    placed = page.put(rows[line.key], FIRST + number, cell, font=look.SMALL, number_format=line.formats[0], border=look.ROW)
    placed.alignment = look.RIGHT


def _typed(book: Book, page: Page, line: OctaveRow, column: int, hz: int) -> None:
    """One octave of a row that is typed."""
    label = f"{line.label.partition(',')[0]}, {hz} Hz"
    entry = book.input(f"{line.key}_{hz}", label, LEVEL, None, 0, 130, optional=True, one_job=True)
    page.input_cell(page.at, column, entry.saying("As measured there without the source; all eight octaves or none."))
    page.sheet.cell(page.at, column).font = look.SMALL
