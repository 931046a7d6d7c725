"""Checks: each rule of the trade as a row that passes, fails with what to do, waits for an input, or is an error.

A page that promises what a rule can deny looks at the rule's state, by the name of its cell.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from openpyxl.utils import get_column_letter

from stillbook.quantities import LENGTH
from stillbook.templates import look
from stillbook.templates.calls import out_of_range
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.parts.inputs import OUTDOORS
from stillbook.templates.parts.quiet_room.air_ways import HAS_FAN, HAS_NO_BOX
from stillbook.trade.air.co2 import MOST_CO2
from stillbook.workbook.job.notes import CHECKS_NOTE

FIRST_SHEET = "the first sheet"
"""Where booth and conversion ask whose job it is."""

AT_MOST, AT_LEAST, EXACTLY = "{v}<={l}", "{v}>={l}", "{v}={l}"
"""Conditions on a value and its limit."""


@dataclass(frozen=True)
class CheckRow:
    """A rule: the value it looks at, the condition on it and its limit, and what to do when it fails."""

    rule: str
    value: str
    holds: str = "TRUE"
    limit: str = ""
    number_format: str = look.ONE
    advice: str = ""
    name: str = ""
    """The name of the cell of its state, where a page looks at it."""

    def advising(self, advice: str) -> CheckRow:
        """The same rule with what to do when it fails."""
        return replace(self, advice=advice)

    def named(self, name: str) -> CheckRow:
        """The same rule with a name for the cell of its state."""
        return replace(self, name=name)


RULE, STATE, ADVICE = "1", "COLUMNS(checks)-1", "COLUMNS(checks)"
"""Where rule, state and advice stand in a row of the block of checks, as formulas."""


def worst(*names: str) -> str:
    """The state of several named rules together, as a formula without its sign."""
    stands = '"Passes"'
    for word in ("Waits", "Fails", "Error"):
        stands = f'IF(OR({",".join(f"{name}={chr(34)}{word}{chr(34)}" for name in names)}),"{word}",{stands})'
    return stands


def state(value: str, limit: str, holds: str) -> str:
    """The formula of a state: what is blank or #N/A waits, any other error is one, whatever else is amiss."""
    wrong = f"ISERR({value})" + (f",ISERR({limit})" if limit else "")
    waits = f"ISNA({value})" + (f",ISNA({limit})" if limit else "")
    blank = f'IF({limit}="","",{value})' if limit else value
    return f'=IF(OR({wrong}),"Error",IF(OR({waits}),"Waits",IF({blank}="","Waits",IFERROR(IF({holds},"Passes","Fails"),"Error"))))'


def passes(*names: str) -> str:
    """Whether all of some named rules pass, as a condition of a formula."""
    return "AND(" + ",".join(f'{name}="Passes"' for name in names) + ")"


def denies(*names: str) -> str:
    """Whether any of some named rules fails or is an error, as a condition of a formula."""
    return "OR(" + ",".join(f'{name}="Fails",{name}="Error"' for name in names) + ")"


def row_state(holds: str) -> str:
    """The formula of a state in one row of a schedule, without its sign."""
    return f'IF(ISERR({holds}),"Error",IFERROR(IF({holds},"Passes","Fails"),"Waits"))'


def write(book: Book, rules: Sequence[CheckRow]) -> Page:
    """Write the sheet."""
    page = book.page(
        "Checks",
        "Each row passes, fails with what to do, waits for an input, or is an error. A pass is not an approval: codes and engineers decide.",
        (54, 11, 11, 9, 84),
        wide=True,
    )
    page.sheet.page_setup.fitToHeight = 2
    page.head_row(("Rule", "Value", "Limit", "State", "What to do if it fails"), words=(0, 3, 4))
    first = page.at
    for check in rules:
        row = page.at
        value, limit = (f"{get_column_letter(FIRST + offset)}{row}" for offset in (1, 2))
        stands = state(value, limit if check.limit else "", check.holds.format(v=value, l=limit))
        page.row(
            (check.rule, check.value, check.limit or None, stands, check.advice),
            ("text", check.number_format, check.number_format, "text", "text"),
            names=("", "", "", check.name, ""),
        )
    last = page.at - 1
    column = get_column_letter(FIRST + 3)
    page.states(f"${column}${first}:${column}${last}")
    book.name("checks", page, first, FIRST, last=f"${get_column_letter(page.last_column)}${last}", comment=CHECKS_NOTE)
    page.skip()
    counted = f'=COUNTIF({column}{first}:{column}{last},"{{}}")'
    for label, formula, name in (
        ("Fails", counted.format("Fails"), "checks_failed"),
        ("Is an error: its formula is broken", counted.format("Error"), "checks_in_error"),
        ("Waits for an input", counted.format("Waits"), "checks_waiting"),
        ("Passes", counted.format("Passes"), "checks_passed"),
        ("Denies what it looks at: fails or is an error", "=checks_failed+checks_in_error", "checks_denied"),
    ):
        page.put(page.at, FIRST, label, border=look.ROW)
        page.put(page.at, FIRST + 1, formula, number_format=look.WHOLE, border=look.ROW)
        book.name(name, page, page.at, FIRST + 1)
        page.at += 1
    page.finish()
    page.sheet.print_title_rows = f"1:{first - 1}"
    return page


def checks(book: Book) -> list[CheckRow]:
    """The rules, in the order of the sheets they look at."""
    return [*job(FIRST_SHEET), *shell(book), *doors(book), *door_fits(book), *leaves(), *heard(), *inside(book), *services(book)]


def job(where: str = "the Inputs sheet") -> list[CheckRow]:
    """What any job must say of itself, and where."""
    return [
        CheckRow("Client, project and date are filled in", '=IF(OR(client="",project="",N(estimate_date)=0),"","yes")', number_format=look.GENERAL).advising(
            f"Fill them in on {where}."
        )
    ]


def shell(book: Book) -> list[CheckRow]:
    """The shell in its space, and on its floor."""
    return [
        *(
            CheckRow(f"The shell fits the space: {side}", f"=outside_{side}", AT_MOST, f'=IF(N(space_{side})=0,"",space_{side})', look.TWO)
            .advising(advice)
            .named(f"check_fits_{side}")
            for side, advice in (
                ("length", "Shorten the room, thin the cavity, or choose another space."),
                ("width", "Narrow the room, thin the cavity, or choose another space."),
                ("height", "Lower the room or thin its ceiling or deck."),
            )
        ),
        CheckRow("Working room round the shell", "=room_round", AT_LEAST, "=working_room")
        .advising("Boards are fixed and joints sealed from outside: a smaller room, or another space.")
        .named("check_fits_working"),
        CheckRow("Outer door opens in the space left", "=room_before_door", AT_LEAST, "=door_width")
        .advising("It cannot open far enough to leave by: a smaller room, a narrower door, or another space.")
        .named("check_fits_door"),
        *boxes("=box_room", "the shell", "Choose where they stand on the first sheet, take flatter boxes, or another space."),
        CheckRow("Load over the footprint", "=floor_load", AT_MOST, '=IF(N(floor_capacity)=0,"",floor_capacity)')
        .advising("Stop: ask a structural engineer before going on. Spread the load, or move to a floor on the ground.")
        .named("check_floor"),
        CheckRow(
            "Leaves of like mass: lighter over heavier", "=MIN(inner_mass,outer_mass)/MAX(inner_mass,outer_mass)", AT_LEAST, "=0.5", look.PERCENT
        ).advising("Put the same number of sheets on both leaves; the light one limits the wall."),
        joists("=MAX(joist_span_inner,joist_span_outer)"),
        CheckRow("Cavity between the leaves", "=cavity", AT_LEAST, f"={book.pick('4', '100')}").advising(
            "Deepen the frames or the gap: a thin cavity lets low sound through."
        ),
    ]


def boxes(room: str, side: str, advice: str) -> tuple[CheckRow, CheckRow]:
    """The baffle boxes in the room that is there for them, and on what they hang on."""
    return (
        CheckRow("Baffle boxes and their service find room", room, AT_LEAST, "=box_room_needed").advising(advice).named("check_fits_boxes"),
        CheckRow(f"Baffle boxes find place on {side}", "=box_overhang", AT_MOST, "=0")
        .advising("Shorter or narrower boxes: they are longer, or together wider, than the side they hang on.")
        .named("check_fits_shell"),
    )


def joists(span: str) -> CheckRow:
    """The joists of a new ceiling within the span that the Inputs sheet allows."""
    return CheckRow("Span of the ceiling joists", span, AT_MOST, "=joist_most_span", look.TWO).advising(
        "Deeper joists, by the local code's span table or an engineer; then write what they may span on the Inputs sheet."
    )


def doors(book: Book) -> list[CheckRow]:
    """Mass, thickness and width of the doors."""
    heavy, clear = book.pick("200", "90"), book.pick("32", "813")
    door = 'IF(door_arrangement="pair",{0},{1})'
    return [
        CheckRow("Door: arrangement suits the space", '=IF(OR(door_arrangement="single",door_suggestion="pair"),1,0)', EXACTLY, "=1", look.WHOLE)
        .advising("The inner door of a pair has no room to swing: take one heavy door that opens outward; a person lying behind an inward one blocks rescue.")
        .named("check_door_swings"),
        *(
            CheckRow(
                f"Door: {which} reaches its mass",
                "=" + door.format(f"{side}_door_mass", "single_door_mass"),
                AT_LEAST,
                "=" + door.format(f"{side}_door_least", "single_door_least"),
                look.WHOLE,
            )
            .advising("Add sheets on the Inputs sheet; the Doors sheet lists ways.")
            .named(f"check_door_{side}")
            for side, which in (("inner", "inner door, or the single one,"), ("outer", "outer door"))
        ),
        CheckRow("Door: added thickness", "=" + door.format("pair_added_thickness", "single_added_thickness"), AT_MOST, "=makeup_most", look.TWO).advising(
            "Choose a denser sheet, such as limp sheet or steel, in fewer layers."
        ),
        CheckRow(
            "Door: heaviest door", "=" + door.format("MAX(inner_door_mass,outer_door_mass)", "single_door_mass"), AT_MOST, f"={heavy}", look.WHOLE
        ).advising("Heavy bearing hinges, a frame fixed to structure, a crew to hang it; consider a pair."),
        CheckRow("Door: clear width", "=clear_width", AT_LEAST, f"={clear}").advising(
            "Widen the door: this is the usual least for a way out; the local code decides."
        ),
    ]


def door_fits(book: Book) -> list[CheckRow]:
    """The door in the wall it stands in."""
    each, frame = book.pick((12, 4), (1000, 100))
    return [
        CheckRow("Door: under the ceiling of the room", "=door_height", AT_MOST, f"=room_height*{each}", look.WHOLE).advising(
            "A lower door, as far as the local code allows for a way out; or a higher room."
        ),
        CheckRow("Door: in the longer wall, with its frame", f"=door_width+{frame}", AT_MOST, f"=MAX(room_length,room_width)*{each}", look.WHOLE).advising(
            "A narrower door, as far as the local code allows for a way out; or a larger room."
        ),
    ]


def leaves() -> list[CheckRow]:
    """Resonance and coincidence of the leaves."""
    return [
        CheckRow("Resonance of the leaves, Hz", "=leaf_resonance", AT_MOST, "=80", look.WHOLE).advising(
            "Heavier leaves or a deeper cavity: near the resonance the wall does less than one leaf."
        ),
        CheckRow("Dip of the inner leaf, Hz", "=leaf_dip", AT_LEAST, "=2000", look.WHOLE).advising(
            "Two thinner boards, screwed and not glued, instead of one thick stiff one."
        ),
    ]


def heard() -> list[CheckRow]:
    """Weak parts of the shell, and what is heard."""
    return [
        CheckRow("Sound through holes and boxes, share of all", "=holes_share/(wall_share+doors_share+holes_share)", AT_MOST, "=0.1", look.PERCENT)
        .advising("Fewer or smaller holes, sealed full depth: they undo the wall.")
        .named("check_holes"),
        CheckRow("Sound through the doors, share of all", "=doors_share/(wall_share+doors_share+holes_share)", AT_MOST, "=0.7", look.PERCENT).advising(
            "Better seals or heavier doors: more board on the walls will not be heard."
        ),
        CheckRow("Heard inside over the target, dB", "=over_target", AT_MOST, "=0")
        .advising("See what does better on the Isolation sheet; mind the weakest element first.")
        .named("check_heard"),
        CheckRow("Isolation of the room, STC", "=room_stc", f"OR(N(stc_target)=0,{AT_LEAST})", '=IF(N(stc_target)=0,"none asked",stc_target)', look.WHOLE)
        .advising("See what does better on the Isolation sheet: the weakest of shell, doors and holes counts.")
        .named("check_isolation"),
        CheckRow("Laboratory figures name their report", '=IF(AND(lab_used=1,lab_report=""),"","yes")', number_format=look.GENERAL).advising(
            "Write the report's number on the Inputs sheet."
        ),
    ]


def inside(book: Book) -> list[CheckRow]:
    """Reverberation, treatment and modes of the room, and the boxes in its treatment walls."""
    return [
        CheckRow("Reverberation, 500 Hz and up, over the target, s", "=longest_time", AT_MOST, "=target_time", look.TWO)
        .advising("More treatment: the Room sheet says how much.")
        .named("check_time"),
        CheckRow(
            "Treatment fits the walls and the ceiling, share", "=MAX(wall_treatment/inner_wall_area,ceiling_treatment/floor_area)", AT_MOST, "=1", look.PERCENT
        )
        .advising("There is not that much surface: thicker treatment, less of it.")
        .named("check_treatment"),
        CheckRow("Room modes: third octaves that are not even", "=uneven_bands", AT_MOST, "=0", look.WHOLE).advising(
            "Change one side a little and look again; no side equal to another or twice it."
        ),
        CheckRow("Boxes cut into an isolating leaf", "=leaf_boxes", AT_MOST, "=0", look.WHOLE).advising(
            "Move them into the treatment wall: each is a leak, and lighter than the board it replaces."
        ),
        CheckRow("Boxes fit the depth of the treatment wall", "=IF(wall_boxes>0,box_depth,0)", AT_MOST, "=treatment_depth", look.TWO).advising(
            "Deepen the treatment wall, take shallow boxes, or surface boxes."
        ),
        CheckRow(
            "Holes: power apart from audio and data",
            "=hole_count",
            AT_LEAST,
            "=IF(cable_count=0,0,(power_connectors+socket_count+light_count>0)+(audio_connectors+data_connectors>0))",
            look.WHOLE,
        ).advising("Give power a hole of its own through each leaf."),
        CheckRow("Power from audio and data", "=power_apart", AT_LEAST, f"={book.pick('2', '50')}", look.WHOLE).advising(
            "Move them apart, or a barrier: a licensed electrician and the local code decide."
        ),
    ]


def services(book: Book) -> list[CheckRow]:
    """Air, ducts, wiring and price."""
    apart = book.pick("6", "1.8")
    speed = book.pick(look.WHOLE, look.TWO)
    lining = book.pick(("1.5", "2"), ("38", "50"))
    co2 = f"=IF({out_of_range('{0}')},{MOST_CO2:.0f},{{0}})"
    return [
        CheckRow("Air: at least the people's", "=airflow", AT_LEAST, "=airflow_people")
        .advising("Raise or clear the chosen airflow.")
        .named("check_air_people"),
        CheckRow("Air: outdoor air in it, at least the outdoor air table's", "=outdoor_airflow", AT_LEAST, "=airflow_code")
        .advising("More air, or from outdoors: a neighbouring room's counts by its fresh share. The building's engineer and the code decide.")
        .named("check_air_code"),
        CheckRow("CO2 at the end of the longest session", co2.format("co2_session"), AT_MOST, "=co2_limit", look.WHOLE)
        .advising("More air, fewer people, or shorter sessions with the door open between.")
        .named("check_co2"),
        CheckRow("Fan off: minutes to 5000 ppm", "=fan_off_minutes", AT_LEAST, "=15")
        .advising("Very little time to notice: alarm, and the door must open at once. Fewer people or a larger room.")
        .named("check_fan_off"),
        CheckRow("Heat left after the air, within the cooling", "=heat_left", AT_MOST, "=cooling_power", look.WHOLE)
        .advising("Add cooling, take equipment out of the room, or move far more air.")
        .named("check_cooling"),
        CheckRow("Air speed in the duct", "=MAX(speed_duct,speed_return)", "{v}<={l}*1.0000001", "=quiet_speed", speed)
        .advising("Take a larger duct from the Ducts sheet.")
        .named("check_speed_duct"),
        CheckRow("Air speed at the grille", "=speed_grille", "{v}<={l}*1.0000001", "=quiet_speed", speed)
        .advising("Take a larger grille.")
        .named("check_speed_grille"),
        CheckRow("Air speed in the baffle box", "=speed_box", "{v}<={l}*1.0000001", "=quiet_speed", speed)
        .advising("A wider or higher passage: see the boxes on the Air path sheet.")
        .named("check_speed_box"),
        CheckRow("Air speed anywhere", "=MAX(speed_duct,speed_return,speed_round,speed_grille,speed_collar)", AT_MOST, "=most_speed", speed)
        .advising("Larger ducts: above this the air is heard whatever lines the duct.")
        .named("check_speed_most"),
        CheckRow("Fan at full speed against the airflow", "=fan_full_flow", AT_LEAST, "=airflow")
        .advising("A stronger fan run slowly, larger ducts, fewer elbows, or a curve with all its points.")
        .named("check_fan"),
        CheckRow("Two fans: supply air left when both run", f"=IF({HAS_FAN},room_supply,airflow)", "{v}>={l}*0.999", "=airflow")
        .advising("Set both fans to the same air, or give their curve more points.")
        .named("check_fans"),
        CheckRow("Push of the room's air on its door", "=door_push", AT_MOST, f"={book.pick('5', '22')}")
        .advising("Ease the way out, or set two fans to the same air; local codes limit the force.")
        .named("check_push"),
        CheckRow("Way out less the shell, 250 to 4000 Hz, dB", "=way_out_less", AT_LEAST, "=0").advising(
            "More elbows, length or lining on the way out, or a return duct with a box."
        ),
        CheckRow("Recovery ventilator: the return goes through it", f'=IF(AND(air_source="{OUTDOORS}",{HAS_NO_BOX}),1,0)', EXACTLY, "=0", look.WHOLE).advising(
            "A transfer duct leaves it nothing to recover from: take a return duct."
        ),
        CheckRow("Heard at the seat, air and outside together, NC", "=nc_all", "{v}<={l}*1.0000001", "=nc_target")
        .advising("See what to change first on the Air path sheet: a longer box, a larger duct, a slower fan.")
        .named("check_air_heard"),
        CheckRow("Baffle box: shell less the leaf it stands on, dB", "=baffle_shell_less", AT_LEAST, "=0").advising(
            "More or heavier boards on the box: it must not be weaker than the leaf it stands on."
        ),
        CheckRow("Baffle box fits its space: length", "=baffle_length", AT_MOST, "=baffle_most_length").advising("A shorter box with more passes."),
        CheckRow("Baffle box fits its space: width", "=baffle_outer_width", AT_MOST, "=baffle_most_width").advising("Fewer passes or a narrower passage."),
        CheckRow("Baffle box fits its space: height", "=baffle_outer_height", AT_MOST, "=baffle_most_height").advising("A lower, wider passage."),
        CheckRow("Recovery ventilator: no frost in its core", '=IF(condensation="frost",1,0)', EXACTLY, "=0", look.WHOLE).advising(
            "Preheat the outdoor air, or take the neighbouring room's. A core that only gets wet needs its drain."
        ),
        CheckRow("Condensation: dew point of the room below its supply air", "=room_dew_point", "{v}<{l}", "=supply_temperature").advising(
            "Insulate and vapour-seal ducts and boxes, or bring drier or warmer air: they would get wet."
        ),
        CheckRow("Humidity of the room", "=room_humidity", AT_MOST, "=humidity_limit", look.PERCENT).advising(
            "More air, drier air, or a unit that dries the air: wet lining feeds mould."
        ),
        CheckRow("CO2, highest of the day", co2.format("co2_day"), AT_MOST, "=co2_limit", look.WHOLE)
        .advising("More air, fewer people, or longer breaks.")
        .named("check_co2_day"),
        CheckRow("Intake to return, apart", "=opening_distance", AT_LEAST, f"={apart}").advising("Move them apart, or stale air goes round."),
        CheckRow("Duct lining", "=duct_lining", f"AND({{v}}>={{l}},{{v}}<={lining[1]})", f"={lining[0]}", look.TWO).advising(
            f"Usual lining is {lining[0]} to {lining[1]} {book.unit(LENGTH)}; thinner does little at low frequency."
        ),
        CheckRow("Circuit: amps with the continuous factor", "=circuit_amps", AT_MOST, "=breaker_amps")
        .advising("Another circuit. A licensed electrician decides.")
        .named("check_circuit"),
        CheckRow("Payments add up to no more than the price", "=deposit_share+shell_share", AT_MOST, "=1", look.PERCENT)
        .advising("Lower the first two payments.")
        .named("check_payments"),
        CheckRow("Allowances and alternates are filled in whole", "=unfinished_sums", AT_MOST, "=0", look.WHOLE).advising(
            "Say what each is for; give each allowance its amount. See the Inputs sheet."
        ),
        CheckRow("Revisions have a number, a date and what changed", "=unfinished_revisions", AT_MOST, "=0", look.WHOLE).advising(
            "Fill in the rest of the row on the Inputs sheet."
        ),
        priced(),
        CheckRow("Every line has a price", "=price", "{v}>{l}", "=0", look.MONEY)
        .advising("A code is missing on the Prices sheet: see the Price sheet.")
        .named("check_price"),
        CheckRow("Price within the client's budget", "=price", f"OR(N(budget)=0,{AT_MOST})", '=IF(N(budget)=0,"none told",budget)', look.MONEY)
        .advising("Fewer boards, a smaller room or less treatment; the Price sheet says where the money goes.")
        .named("check_budget"),
    ]


def priced() -> CheckRow:
    """Every line that is ordered has its cost, its rate of work and its hour, each once and more than nothing."""
    count = 'COUNTIF(line_faults,"?*")'
    first = 'MATCH("?*",line_faults,0)'
    told = f'INDEX(line_codes,{first})&": "&INDEX(line_faults,{first})&IF({count}>1,", and "&({count}-1)&" more","")'
    return CheckRow("Lines whose price is to be mended", f"={count}", AT_MOST, "=0", look.WHOLE).advising(
        f'="Mend it on the Prices sheet"&IF({count}=0,".",": "&{told}&".")'
    )
