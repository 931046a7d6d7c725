"""The fan at work on its curve, and the room between the two ways: which airs meet in it and what pressure they leave."""

from __future__ import annotations

from typing import Final

from stillbook.quantities import AIRFLOW, FORCE, PRESSURE, SMALL_AREA
from stillbook.templates import look
from stillbook.templates.calls import answered
from stillbook.templates.page import FIRST, Book, Page, ResultRow
from stillbook.templates.parts.inputs import CURVE_POINTS
from stillbook.templates.parts.quiet_room.air_ways import FAN_IN, FAN_OUT, HAS_FAN
from stillbook.templates.parts.table import Column, Table

SET_CURVES: Final = ("fan_curve_as_set", "return_fan_curve_as_set")
"""Names of the curves of the supply fan and of that of the way out at the speeds they are set to."""


_DAMPING: Final = 0.05
"""Damping of rubber mounts as a share of the critical: common practice, no source."""


def at_work(book: Book, page: Page) -> None:
    """Where the curves meet the ways."""
    flow, loss = book.unit(AIRFLOW), book.unit(PRESSURE)
    digits = book.pick(look.THREE, look.ONE)
    coefficient = '=MAX(0.01,MIN(1000,{0}/STILL_FITTINGLOSS({1},grille_width,grille_height,"exit",1,units)))'
    page.part(
        "Fan at work",
        ResultRow(
            "Airflow at full speed, alone",
            "=" + _or_none("STILL_FANFLOW(fan_curve,{0},{1},units)", "airflow", "fan_system_loss"),
            flow,
            "fan_full_flow",
            key=True,
        ).noting("0 where the curve does not meet the paths: points are missing, or the fan would hunt."),
        ResultRow("Speed that gives the airflow", "=IF(fan_full_flow=0,0,airflow/fan_full_flow)", "of full", "fan_speed", look.PERCENT, key=True).noting(
            "Above 100 % the fan is too small; a large fan run slowly is the quiet one."
        ),
        ResultRow(
            "Fan of the way out, at full speed, alone",
            f"=IF({HAS_FAN},{_or_none('STILL_FANFLOW(return_fan_curve,{0},{1},units)', 'way_out_airflow', 'return_loss')},0)",
            flow,
            "return_fan_full_flow",
        ).noting('=IF(return_fan_alike=1,"Like the supply fan","By its own kind and curve")&"; 0 where there is none."'),
        ResultRow("Its speed", "=IF(return_fan_full_flow=0,0,way_out_airflow/return_fan_full_flow)", "of full", "return_fan_speed", look.PERCENT),
        ResultRow(
            "Pressure at the airflow, full speed", "=" + _or_none("STILL_FANPRESSURE(fan_curve,{0},units)", "airflow"), loss, "fan_pressure", digits
        ).noting("What the speed control throttles away, and what a clogged filter may take."),
        ResultRow(
            "Pressure at that speed",
            f'=IF(fan_speed=0,0,STILL_FANSCALED({_or_none("STILL_FANPRESSURE(fan_curve,{0},units)", "fan_full_flow")},"pressure",fan_speed))',
            loss,
            "fan_working_pressure",
            digits,
        ).noting("By the fan laws: what the paths take at the airflow."),
        ResultRow("Loss coefficient of the supply grille", coefficient.format("grille_loss", "airflow"), "", "grille_coefficient").noting(
            "The maker's loss over the velocity pressure at its face."
        ),
        ResultRow(
            "Loss coefficient of the grille out", coefficient.format("way_out_grille_loss", "way_out_airflow"), "", "way_out_grille_coefficient", look.ONE
        ),
        ResultRow("Density of the air here", "=STILL_DENSITYFACTOR(altitude,room_temperature,units)", "share", "air_density", look.PERCENT).noting(
            "Pressures are those of standard air; fan and paths shrink alike, the airflow stays."
        ),
        ResultRow(
            "Natural frequency on its mounts", '=IF(N(mount_deflection)=0,"not entered",STILL_MOUNTFREQUENCY(mount_deflection,units))', "Hz", "mount_frequency"
        ).noting("Of springs; rubber and cork are stiffer to vibration than to weight, by a tenth to a third."),
        ResultRow(
            "What they take off at its turning",
            f'=IF(OR(N(mount_deflection)=0,N(fan_rpm)*fan_speed=0),"not entered",STILL_MOUNTLOSS(fan_rpm*fan_speed/60,mount_frequency,{_DAMPING}))',
            "dB",
        ).noting("On stiff ground; on a light floor less. Ducts and wires joined to it by flexible pieces."),
        note="where its curve on the Inputs sheet meets the paths",
    )


def balance(book: Book, page: Page) -> None:
    """The room's airflows and pressure, as the fans are set and at full speed."""
    flow, loss = book.unit(AIRFLOW), book.unit(PRESSURE)
    opened = book.unit(SMALL_AREA)
    page.heading("The room between both ways", "with two fans, where their curves, the paths and the leaks come into balance")
    page.result(
        ResultRow(
            "Gaps left in the shell",
            f'=MAX({book.pick("0.01", "5")},door_leak/IF(door_arrangement="pair",SQRT(2),1)+holes_leak)',
            opened,
            "room_leak",
            look.TWO,
        ).noting("Of the door and the cable holes; two doors in a row pass 0.7 of one.")
    )
    table = Table(page, (Column("", key="what", words=True), Column("As set", key="set"), Column("", key="unit"), Column("Full speed", key="full")))
    table.head()
    first = page.at
    # Pressure over half the area of the door, as its handle is across from its hinges.
    push = f"=ABS({{}}{first + 2})*door_area*{book.pick('5.202', '1')}/2"
    full_loss = "return_loss*(fan_full_flow/airflow)^2"
    for label, values, unit, number_format, name in (
        ("Supply air", (_met(1, "airflow"), _met(1, "fan_full_flow", full=True)), flow, look.ONE, "room_supply"),
        ("Air out", (_met(2, "airflow"), _met(2, "fan_full_flow", full=True)), flow, look.ONE, "room_extract"),
        ("Room over its surroundings", (_met(3, "return_loss"), _met(3, full_loss, full=True)), loss, book.pick(look.THREE, look.ONE), "room_pressure"),
        ("Push on the handle of the door", (push.format("C"), push.format("E")), book.unit(FORCE), look.ONE, "door_push"),
    ):
        row = table.row(label, values[0], None, values[1], number_format=number_format, names={"set": name})
        page.put(row, table.places["unit"], unit, font=look.QUIET, align=look.UNIT, border=look.ROW)
    page.note(
        "One fan alone presses the room up by what the way out takes. With two fans a tight room evens their air out, and what is "
        "left between them is the room's pressure: it pushes on the door and through every leak."
    )
    page.skip()


def _or_none(call: str, *given: str) -> str:
    """A call with what it is ``given``, 0 where it has no answer to these numbers."""
    return answered(call.format(*given), "0", ",".join(given), len(given))


def _met(place: int, alone: str, *, full: bool = False) -> str:
    """Supply air, air out or the room's pressure, where the fans meet the ways, at ``full`` speed or as they are set.

    ``alone`` is what it is where one fan alone moves the air.
    """
    supply, out = ("fan_curve", "return_fan_curve") if full else (SET_CURVES[0], SET_CURVES[1])
    both = f"INDEX(STILL_FANBALANCE({supply},{{0}},{{1}},{out},{{2}},{{3}},{{4}},units),1,{place})"
    return f"=IF({HAS_FAN},{_or_none(both, 'airflow', 'path_loss', 'way_out_airflow', 'return_loss', 'room_leak')},{alone})"


def curves_as_set(book: Book, page: Page) -> None:
    """The curves of both fans at the speeds they are set to, point by point."""
    flow, loss = book.unit(AIRFLOW), book.unit(PRESSURE)
    page.heading("Fan curves at the speeds set", "of the supply fan, and of that of the way out")
    page.head_row(("Point", flow, loss, flow, loss))
    first = page.at
    for number in range(1, CURVE_POINTS + 1):
        values = [
            f'=IF(INDEX({fan.curve},{number},{column})="","",INDEX({fan.curve},{number},{column})*{fan.speed}{power})'
            for fan in (FAN_IN, FAN_OUT)
            for column, power in ((1, ""), (2, "^2"))
        ]
        page.row((f"Point {number}", *values), ("text", *[look.ONE, look.THREE] * 2))
    for name, column in zip(SET_CURVES, (FIRST + 1, FIRST + 3), strict=True):
        page.name(name, first, column, page.at - 1, column + 1)
    page.skip()


def fan_out(book: Book, page: Page) -> None:
    """The fan of the way out: what is typed of it, and what it has of the supply fan where that is blank."""
    flow, loss = book.unit(AIRFLOW), book.unit(PRESSURE)
    page.heading("Fan of the way out", "as typed, or as the supply fan")
    for label, name, formula in (
        ("Like the supply fan", "return_fan_alike", '=IF(AND(COUNT(return_fan_curve_typed)=0,OR(return_fan_type="",return_fan_type=fan_type)),1,0)'),
        ("Its kind", FAN_OUT.kind, '=IF(return_fan_type="",fan_type,return_fan_type)'),
        ("Efficiency over its best", FAN_OUT.share, '=IF(return_fan_share="",fan_share,return_fan_share)'),
        ("Margin on its sound", FAN_OUT.margin, '=IF(return_fan_margin="",fan_margin,return_fan_margin)'),
    ):
        page.row((label, formula), ("text", look.GENERAL), names=("", name))
    page.head_row(("Point", flow, loss))
    first = page.at
    for number in range(1, CURVE_POINTS + 1):
        typed, other = (f"INDEX({curve},{number},{{0}})" for curve in ("return_fan_curve_typed", "fan_curve"))
        known = 'IF({0}="","",{0})'
        cell = f"=IF(COUNT(return_fan_curve_typed)=0,{known.format(other)},{known.format(typed)})"
        page.row((f"Point {number}", *(cell.format(column) for column in (1, 2))), ("text", look.ONE, look.THREE))
    page.name(FAN_OUT.curve, first, FIRST + 1, page.at - 1, FIRST + 2)
    page.skip()
