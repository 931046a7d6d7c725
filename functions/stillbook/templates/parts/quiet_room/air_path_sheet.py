"""Air path: the ways of the air, element by element, what is heard of them at the seat, and what would better it."""

from __future__ import annotations

from stillbook.quantities import PRESSURE
from stillbook.templates import look
from stillbook.templates.page import Book, Page, ResultRow
from stillbook.templates.parts import octaves
from stillbook.templates.parts.quiet_room import air_way_rows, alternatives, baffle, fans, seat, silencer
from stillbook.templates.parts.quiet_room.air_ways import Places


def write(book: Book, leaf: str = "outer", shell_area: str = "outer_wall_area+door_area") -> Page:
    """Write the sheet; ``leaf`` is the build-up that the baffle boxes stand on, ``shell_area`` what the ways go through.

    What goes into the alternatives stands below what is printed.
    """
    page = book.page(
        "Air path",
        "Both ways between outside and ear: what each element takes in pressure and in sound, and what is heard at the seat.",
        (35, 11, 9.5, 11.5, *[6.1] * len(octaves.OCTAVES), 7),
        scale=73,
    )
    places = Places()
    results_at = page.at
    page.skip(11)
    chart_at = page.at
    page.skip(13)
    air_way_rows.pressures(book, page, places)
    page.skip()
    fans.at_work(book, page)
    page.break_here()
    air_way_rows.sounds(book, page, places)
    page.skip()
    seat.heard(book, page, places)
    page.break_here()
    air_way_rows.outwards(book, page, places, shell_area)
    called = ("change_first", "change_words", "change_octave")
    octaves.change_first(page, called, "heard_names,heard_levels,target_levels")
    changes_at = alternatives.room(book, page, places)
    fans.balance(book, page)
    baffle.write(book, page, places, leaf)
    printed = page.at
    page.skip()
    air_way_rows.off_outwards(book, page, places)
    baffle.asked_of_shell(book, page, places, leaf)
    silencer.write(book, page)
    fans.fan_out(book, page)
    fans.curves_as_set(book, page)
    alternatives.workings(book, page, places, changes_at)
    last = page.at
    page.at = results_at
    _results(book, page)
    page.at = last
    shown = [places.heard[key] for key in ("all", "target", "fan", "shell")]
    octaves.chart(page, places.rows["head"], shown, chart_at, (24.4, 6.6))
    page.finish(printed)
    return page


def _results(book: Book, page: Page) -> None:
    page.heading("What is heard", '="at the nearest seat, air and outside together; the air leaves by a "&air_leaves')
    loss = book.unit(PRESSURE)
    page.results(
        ResultRow("Heard at the seat, NC", "=nc_all", key=True).noting("Supply, return, and sound from outside through ducts, boxes and shell."),
        ResultRow("At most, within the range", "=nc_all_most", "", "", look.WHOLE).noting("Each sound may be off either way: see below."),
        ResultRow("Target, NC", "=nc_target", "", "", look.WHOLE),
        ResultRow(
            "Heard at the seat, against its targets",
            '=IF(nc_all="","",IF(AND(nc_all<=nc_target,N(test_over)<=0),"within","over"))',
            "",
            "air_verdict",
            look.GENERAL,
            key=True,
        ),
        ResultRow("Change first", "=change_octave", "Hz", "", look.WHOLE).noting('=change_first&": "&change_words'),
        ResultRow("Fan works against", "=fan_system_loss", loss, "", book.pick(look.THREE, look.ONE)).noting(
            "Both ways where the way out has no fan of its own."
        ),
        ResultRow("Fan speed", "=fan_speed", "of full", "", look.PERCENT).noting("Set by the speed control; sound falls with the fifth power of the speed."),
        ResultRow("Room over its surroundings", "=room_pressure", loss, "", book.pick(look.THREE, look.ONE)).noting(
            "Pushes on the doors and out through every leak; with a fan each way the two must be balanced."
        ),
    )
    page.caution(
        "Caution: lined ducts and boxes stand in the air that people breathe, and heavy boxes hang over them: facing, fire rating, "
        "supports and access by the local code, a structural engineer and licensed trades."
    )
