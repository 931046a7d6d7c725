"""Ducts: sizes that keep the air slow enough to be quiet, and outside sizes with lining."""

from __future__ import annotations

from stillbook.quantities import AIR_SPEED, AIRFLOW, LENGTH, PRESSURE, ROOM_LENGTH, SMALL_AREA
from stillbook.templates import look
from stillbook.templates.page import FIRST, Book, Page, ResultRow
from stillbook.templates.parts.drawing import Drawing
from stillbook.templates.parts.quiet_room.air_ways import HAS_FAN, HAS_NO_BOX
from stillbook.templates.parts.table import Column, Table

OPTIONS = 8
"""Rows of duct sizes shown."""


def write(book: Book, run: Drawing) -> Page:
    """Write the sheet; ``run`` is the drawing of the way of the air."""
    page = book.page(
        "Ducts",
        "Air that moves slowly is quiet. Sizes here are free sizes inside the lining; the duct outside is larger.",
        (30, 12, 13, 12, 12, 13, 10),
        single=True,
    )
    _sizes(book, page)
    _way_out(book, page)
    _speeds(book, page, run)
    page.note("Pressure and sound of both ways, and the fan against them, are on the Air path sheet.")
    page.finish()
    page.print_for_site()
    return page


def _sizes(book: Book, page: Page) -> None:
    small, area, speed = book.unit(LENGTH), book.unit(SMALL_AREA), book.unit(AIR_SPEED)
    page.part(
        "Sizes for the quiet speed",
        ResultRow("Free area needed", "=STILL_DUCTAREA(airflow,quiet_speed,units)", area, "duct_area", look.ONE),
        ResultRow("Round duct, next standard size", "=STILL_DUCTROUND(airflow,quiet_speed,units)", small, "duct_round", look.WHOLE, key=True),
    )
    page.head_row(
        (f"Rectangular, width {small}", f"Height, {small}", f"Area, {area}", f"Speed, {speed}", "Width to height", f"Equal round, {small}", "Round, oval")
    )
    ask = 'STILL_DUCTSIZES(airflow,quiet_speed,duct_most_height,"",units)'
    for option in range(1, OPTIONS + 1):
        row = page.row(
            (
                *(f'=IFERROR(INDEX({ask},{option + 1},{column}),"")' for column in range(1, 7)),
                f'=IF(N(B{page.at})=0,"",STILL_OVALEQUIVALENT(B{page.at},C{page.at},units))',
            ),
            (look.WHOLE, look.WHOLE, look.WHOLE, book.pick(look.WHOLE, look.TWO), look.TWO, look.ONE, look.ONE),
        )
        page.sheet.cell(row, FIRST).alignment = look.LEFT
    page.note(
        "Smallest first. Write the size you take on the first sheet. Round and rectangular duct of equal friction differ in speed. "
        "Oval: the round duct equal to a flat oval of these sizes (Heyt and Diaz), which is the smaller the flatter it is."
    )
    page.skip()


def _way_out(book: Book, page: Page) -> None:
    """What the way out is, with what it takes from the supply where its own inputs are blank."""
    length, loss, flow = book.unit(ROOM_LENGTH), book.unit(PRESSURE), book.unit(AIRFLOW)
    page.part(
        f'=IF({HAS_NO_BOX},"Lined transfer duct",IF({HAS_FAN},"Return duct with a fan of its own","Return duct"))',
        ResultRow("Airflow", f"=IF(AND({HAS_FAN},N(return_airflow)>0),return_airflow,airflow)", flow, "way_out_airflow", look.ONE),
        ResultRow("Length", "=IF(N(return_length)>0,return_length,duct_length)", length, "way_out_length", look.ONE),
        ResultRow("Elbows", '=IF(return_elbows="",elbow_count,return_elbows)', "", "way_out_elbows", look.WHOLE),
        ResultRow("Loss of each grille", '=IF(return_grille_loss="",grille_loss,return_grille_loss)', loss, "way_out_grille_loss", look.THREE),
        ResultRow("Collar of its fan", "=IF(N(return_fan_collar)>0,return_fan_collar,fan_collar)", book.unit(LENGTH), "way_out_collar", look.ONE),
        ResultRow("Baffle boxes, both ways", f"=IF({HAS_NO_BOX},1,2)", "", "baffle_boxes", look.WHOLE),
        ResultRow("Fans, both ways", f"=IF({HAS_FAN},2,1)", "", "fan_count", look.WHOLE),
    )


def _speeds(book: Book, page: Page, run: Drawing) -> None:
    speed, small = book.unit(AIR_SPEED), book.unit(LENGTH)
    digits = book.pick(look.WHOLE, look.TWO)
    page.heading("Air speed")
    table = Table(
        page,
        (
            Column("Where", key="where", words=True),
            Column(f"Speed, {speed}", key="speed", number_format=digits),
            Column("Quiet target", "quiet_speed", number_format=digits),
            Column("Highest", "most_speed", number_format=digits),
        ),
    )
    table.head()
    for label, formula, name in (
        ("Rectangular duct", "=STILL_DUCTVELOCITY(airflow,duct_width,duct_height,units)", "speed_duct"),
        (f'=IF({HAS_NO_BOX},"Transfer duct","Return duct")', "=STILL_DUCTVELOCITY(way_out_airflow,duct_width,duct_height,units)", "speed_return"),
        ("Round duct instead", '=STILL_DUCTVELOCITY(airflow,duct_round,"",units)', "speed_round"),
        ("Grille, free area", "=STILL_DUCTVELOCITY(MAX(airflow,way_out_airflow),grille_width,grille_height,units)/grille_free", "speed_grille"),
    ):
        table.row(label, formula, names={"speed": name})
    page.skip()
    page.part(
        "Outside the lining",
        ResultRow("Duct width, outside", "=STILL_DUCTOUTER(duct_width,duct_lining,units)", small, "duct_outer_width", look.ONE),
        ResultRow("Duct height, outside", "=STILL_DUCTOUTER(duct_height,duct_lining,units)", small, "duct_outer_height", look.ONE, key=True),
        ResultRow("Round duct of equal friction", "=STILL_DUCTEQUIVALENT(duct_width,duct_height,units)", small, "", look.ONE),
    )
    page.heading("The way of the air", "a diagram, not to scale; a dashed frame is faster than quiet")
    run.show(page, page.at)
    page.skip(13)
