"""Checks: each rule of the trade as a row that passes, fails with what to do, or waits for an input."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from openpyxl.utils import get_column_letter

from stillbook.templates import look
from stillbook.templates.booth.inputs import OUTDOORS
from stillbook.templates.booth.paths import HAS_FAN, HAS_NO_BOX
from stillbook.templates.calls import out_of_range
from stillbook.templates.page import FIRST, Book, Page
from stillbook.trade.air.co2 import MOST_CO2
from stillbook.workbook.job.inputs import CHECKS_NOTE


@dataclass(frozen=True)
class Check:
    """A rule: the value it looks at, the limit, the condition on both, and what to do when it fails."""

    rule: str
    value: str
    limit: str
    holds: str
    advice: str
    number_format: str = look.ONE


def write(book: Book, rules: Sequence[Check]) -> Page:
    """Write the sheet."""
    page = book.page(
        "Checks",
        "Each row passes, fails with what to do, or waits for an input. A pass is not an approval: codes and engineers decide.",
        (54, 11, 11, 9, 84),
        wide=True,
    )
    page.sheet.page_setup.fitToHeight = 2
    page.head_row(("Rule", "Value", "Limit", "State", "What to do if it fails"), words=(0, 3, 4))
    first = page.at
    for check in rules:
        row = page.at
        value, limit = (f"{get_column_letter(FIRST + offset)}{row}" for offset in (1, 2))
        holds = check.holds.format(v=value, l=limit)
        given = f'IF({limit}="","",{value})' if check.limit else value
        known = f'IF(OR(ISERROR({value}),ISERROR({limit})),"",{given})'
        state = f'=IF({known}="","Waits",IF({holds},"Passes","Fails"))'
        page.row(
            (check.rule, check.value, check.limit or None, state, check.advice),
            ("text", check.number_format, check.number_format, "text", "text"),
        )
    last = page.at - 1
    column = get_column_letter(FIRST + 3)
    page.states(f"${column}${first}:${column}${last}")
    book.name("checks", page, first, FIRST, last=f"${get_column_letter(page.last_column)}${last}", comment=CHECKS_NOTE)
    page.skip()
    for label, word, name in (
        ("Fails", "Fails", "checks_failed"),
        ("Waits for an input", "Waits", "checks_waiting"),
        ("Passes", "Passes", "checks_passed"),
    ):
        page.put(page.at, FIRST, label, border=look.ROW)
        cell = f'=COUNTIF({column}{first}:{column}{last},"{word}")'
        page.put(page.at, FIRST + 1, cell, number_format=look.WHOLE, border=look.ROW)
        book.name(name, page, page.at, FIRST + 1)
        page.at += 1
    page.finish()
    page.sheet.print_title_rows = f"1:{first - 1}"
    return page


def checks(book: Book) -> list[Check]:
    """The rules, in the order of the sheets they look at."""
    return [*job(), *shell(book), *doors(book), *leaves(), *heard(), *inside(book), *services(book)]


MOST = "{v}<={l}"


def job() -> list[Check]:
    """What any job must say of itself."""
    return [
        Check("Client, project and date are filled in", '=IF(OR(client="",project="",N(estimate_date)=0),"","yes")', "",
              "TRUE", "Fill them in on the Inputs sheet.", look.GENERAL),
    ]  # fmt: skip


def shell(book: Book) -> list[Check]:
    """The shell in its space, and on its floor."""
    most = MOST
    return [
        Check("The shell fits the space: length", "=outside_length", "=space_length", most,
              "Shorten the room, thin the cavity, or choose another space.", look.TWO),
        Check("The shell fits the space: width", "=outside_width", "=space_width", most,
              "Narrow the room, thin the cavity, or choose another space.", look.TWO),
        Check("The shell fits the space: height", "=outside_height", "=space_height", most,
              "Lower the room or thin its ceiling or deck.", look.TWO),
        Check("Load over the footprint", "=floor_load", '=IF(N(floor_capacity)=0,"",floor_capacity)', most,
              "Stop: ask a structural engineer before going on. Spread the load, or move to a floor on the ground."),
        Check("Leaves of like mass: lighter over heavier", "=MIN(inner_mass,outer_mass)/MAX(inner_mass,outer_mass)", "=0.5",
              "{v}>={l}", "Put the same number of sheets on both leaves; the light one limits the wall.", look.PERCENT),
        Check("Cavity between the leaves", "=cavity", f"={book.pick('4', '100')}", "{v}>={l}",
              "Deepen the frames or the gap: a thin cavity lets low sound through."),
    ]  # fmt: skip


def doors(book: Book) -> list[Check]:
    """Mass, thickness and width of the doors."""
    heavy, clear = book.pick("200", "90"), book.pick("32", "813")
    most, door = MOST, 'IF(door_arrangement="pair",{0},{1})'
    return [
        Check("Door: arrangement suits the space", '=IF(OR(door_arrangement="single",door_suggestion="pair"),1,0)', "=1",
              "{v}={l}", "The inner door of a pair has no room to swing: take one heavy door that opens outward; a person lying behind an inward one blocks rescue.", look.WHOLE),
        Check("Door: inner door, or the single one, reaches its mass", "=" + door.format("inner_door_mass", "single_door_mass"),
              "=" + door.format("inner_door_least", "single_door_least"), "{v}>={l}",
              "Add sheets on the Inputs sheet; the Doors sheet lists ways.", look.WHOLE),
        Check("Door: outer door reaches its mass", "=" + door.format("outer_door_mass", "single_door_mass"),
              "=" + door.format("outer_door_least", "single_door_least"), "{v}>={l}",
              "Add sheets on the Inputs sheet; the Doors sheet lists ways.", look.WHOLE),
        Check("Door: added thickness", "=" + door.format("pair_added_thickness", "single_added_thickness"), "=makeup_most", most,
              "Choose a denser sheet, such as limp sheet or steel, in fewer layers.", look.TWO),
        Check("Door: heaviest door", "=" + door.format("MAX(inner_door_mass,outer_door_mass)", "single_door_mass"), f"={heavy}",
              most, "Heavy bearing hinges, a frame fixed to structure, a crew to hang it; consider a pair.", look.WHOLE),
        Check("Door: clear width", "=clear_width", f"={clear}", "{v}>={l}",
              "Widen the door: this is the usual least for a way out; the local code decides."),
    ]  # fmt: skip


def leaves() -> list[Check]:
    """Resonance and coincidence of the leaves."""
    most = MOST
    return [
        Check("Resonance of the leaves, Hz", "=leaf_resonance", "=80", most,
              "Heavier leaves or a deeper cavity: near the resonance the wall does less than one leaf.", look.WHOLE),
        Check("Dip of the inner leaf, Hz", "=leaf_dip", "=2000", "{v}>={l}",
              "Two thinner boards, screwed and not glued, instead of one thick stiff one.", look.WHOLE),
    ]  # fmt: skip


def heard() -> list[Check]:
    """Weak parts of the shell, and what is heard."""
    most = MOST
    return [
        Check("Sound through holes and boxes, share of all", "=holes_share/(wall_share+doors_share+holes_share)", "=0.1", most,
              "Fewer or smaller holes, sealed full depth: they undo the wall.", look.PERCENT),
        Check("Sound through the doors, share of all", "=doors_share/(wall_share+doors_share+holes_share)", "=0.7", most,
              "Better seals or heavier doors: more board on the walls will not be heard.", look.PERCENT),
        Check("Heard inside over the target, dB", "=over_target", "=0", most,
              "See what does better on the Isolation sheet; mind the weakest element first."),
        Check("Laboratory figures name their report", '=IF(AND(lab_used=1,lab_report=""),"","yes")', "", "TRUE",
              "Write the report's number on the Inputs sheet.", look.GENERAL),
    ]  # fmt: skip


def inside(book: Book) -> list[Check]:
    """Reverberation, treatment and modes of the room, and the boxes in its treatment walls."""
    return [
        Check("Reverberation, 500 Hz and up, over the target, s", "=longest_time", "=target_time", MOST,
              "More treatment: the Room sheet says how much.", look.TWO),
        Check("Treatment fits the walls and the ceiling, share",
              "=MAX(wall_treatment/inner_wall_area,ceiling_treatment/floor_area)", "=1", MOST,
              "There is not that much surface: thicker treatment, less of it.", look.PERCENT),
        Check("Room modes: third octaves that are not even", "=uneven_bands", "=0", MOST,
              "Change one side a little and look again; no side equal to another or twice it.", look.WHOLE),
        Check("Boxes cut into an isolating leaf", "=leaf_boxes", "=0", MOST,
              "Move them into the treatment wall: each is a leak, and lighter than the board it replaces.", look.WHOLE),
        Check("Boxes fit the depth of the treatment wall", "=IF(wall_boxes>0,box_depth,0)", "=treatment_depth", MOST,
              "Deepen the treatment wall, take shallow boxes, or surface boxes.", look.TWO),
        Check("Holes: power apart from audio and data", "=hole_count",
              "=IF(cable_count=0,0,(power_connectors+socket_count+light_count>0)+(audio_connectors+data_connectors>0))", "{v}>={l}",
              "Give power a hole of its own through each leaf.", look.WHOLE),
        Check("Power from audio and data", "=power_apart", f"={book.pick('2', '50')}", "{v}>={l}",
              "Move them apart, or a barrier: a licensed electrician and the local code decide.", look.WHOLE),
    ]  # fmt: skip


def services(book: Book) -> list[Check]:
    """Air, ducts, wiring and price."""
    most, apart = MOST, book.pick("6", "1.8")
    speed = book.pick(look.WHOLE, look.TWO)
    lining = book.pick(("1.5", "2"), ("38", "50"))
    return [
        Check("Air: at least the people's", "=airflow", "=airflow_people", "{v}>={l}", "Raise or clear the chosen airflow."),
        Check("Air: outdoor air in it, at least the outdoor air table's", "=outdoor_airflow", "=airflow_code", "{v}>={l}",
              "More air, or from outdoors: a neighbouring room's counts by its fresh share. The building's engineer and the code decide."),
        Check("CO2 at the end of the longest session", f"=IF({out_of_range('co2_session')},{MOST_CO2:.0f},co2_session)", "=co2_limit", most,
              "More air, fewer people, or shorter sessions with the door open between.", look.WHOLE),
        Check("Fan off: minutes to 5000 ppm", "=fan_off_minutes", "=15", "{v}>={l}",
              "Very little time to notice: alarm, and the door must open at once. Fewer people or a larger room."),
        Check("Heat left after the air, within the cooling", "=heat_left", "=cooling_power", most,
              "Add cooling, take equipment out of the room, or move far more air.", look.WHOLE),
        Check("Air speed in the duct", "=MAX(speed_duct,speed_return)", "=quiet_speed", "{v}<={l}*1.0000001", "Take a larger duct from the Ducts sheet.",
              speed),
        Check("Air speed at the grille", "=speed_grille", "=quiet_speed", "{v}<={l}*1.0000001", "Take a larger grille.", speed),
        Check("Air speed in the baffle box", "=speed_box", "=quiet_speed", "{v}<={l}*1.0000001",
              "A wider or higher passage: see the boxes on the Air path sheet.", speed),
        Check("Air speed anywhere", "=MAX(speed_duct,speed_return,speed_round,speed_grille,speed_collar)", "=most_speed", most,
              "Larger ducts: above this the air is heard whatever lines the duct.", speed),
        Check("Fan at full speed against the airflow", "=fan_full_flow", "=airflow", "{v}>={l}",
              "A stronger fan run slowly, larger ducts, fewer elbows, or a curve with all its points.", look.ONE),
        Check("Two fans: supply air left when both run", f"=IF({HAS_FAN},room_supply,airflow)", "=airflow", "{v}>={l}*0.999",
              "Set both fans to the same air, or give their curve more points."),
        Check("Push of the room's air on its door", "=door_push", f"={book.pick('5', '22')}", most,
              "Ease the way out, or set two fans to the same air; local codes limit the force."),
        Check("Way out less the shell, 250 to 4000 Hz, dB", "=way_out_less", "=0", "{v}>={l}",
              "More elbows, length or lining on the way out, or a return duct with a box."),
        Check("Recovery ventilator: the return goes through it", f'=IF(AND(air_source="{OUTDOORS}",{HAS_NO_BOX}),1,0)', "=0", "{v}={l}",
              "A transfer duct leaves it nothing to recover from: take a return duct.", look.WHOLE),
        Check("Heard at the seat, air and outside together, NC", "=nc_all", "=nc_target", "{v}<={l}*1.0000001",
              "See what to change first on the Air path sheet: a longer box, a larger duct, a slower fan."),
        Check("Baffle box: shell less the leaf it stands on, dB", "=baffle_shell_less", "=0", "{v}>={l}",
              "More or heavier boards on the box: it must not be weaker than the leaf it stands on."),
        Check("Baffle box fits its space: length", "=baffle_length", "=baffle_most_length", most, "A shorter box with more passes."),
        Check("Baffle box fits its space: width", "=baffle_outer_width", "=baffle_most_width", most, "Fewer passes or a narrower passage."),
        Check("Baffle box fits its space: height", "=baffle_outer_height", "=baffle_most_height", most, "A lower, wider passage."),
        Check("Recovery ventilator: no frost in its core", '=IF(condensation="frost",1,0)', "=0", "{v}={l}",
              "Preheat the outdoor air, or take the neighbouring room's. A core that only gets wet needs its drain.", look.WHOLE),
        Check("Condensation: dew point of the room below its supply air", "=room_dew_point", "=supply_temperature", "{v}<{l}",
              "Insulate and vapour-seal ducts and boxes, or bring drier or warmer air: they would get wet."),
        Check("Humidity of the room", "=room_humidity", "=humidity_limit", most,
              "More air, drier air, or a unit that dries the air: wet lining feeds mould.", look.PERCENT),
        Check("CO2, highest of the day", f"=IF({out_of_range('co2_day')},{MOST_CO2:.0f},co2_day)", "=co2_limit", most,
              "More air, fewer people, or longer breaks.", look.WHOLE),
        Check("Intake to return, apart", "=opening_distance", f"={apart}", "{v}>={l}",
              "Move them apart, or stale air goes round.", look.ONE),
        Check("Duct lining", "=duct_lining", f"={lining[0]}", f"AND({{v}}>={{l}},{{v}}<={lining[1]})",
              f"Usual lining is {lining[0]} to {lining[1]} {book.pick('in', 'mm')}; thinner does little at low frequency.", look.TWO),
        Check("Circuit: amps with the continuous factor", "=circuit_amps", "=breaker_amps", most,
              "Another circuit. A licensed electrician decides.", look.ONE),
        Check("Payments add up to no more than the price", "=deposit_share+shell_share", "=1", most,
              "Lower the first two payments.", look.PERCENT),
        Check("Allowances and alternates are filled in whole", "=unfinished_sums", "=0", most,
              "Say what each is for; give each allowance its amount. See the Inputs sheet.", look.WHOLE),
        Check("Revisions have a number, a date and what changed", "=unfinished_revisions", "=0", most,
              "Fill in the rest of the row on the Inputs sheet.", look.WHOLE),
        Check("Every line has a price", "=price", "=0", "{v}>{l}", "A code is missing on the Prices sheet: see the Price sheet.",
              look.MONEY),
    ]  # fmt: skip
