"""The rules that any quiet room has to keep: what each looks at, its limit, and what to do when it fails."""

from __future__ import annotations

from typing import Final

from stillbook.quantities import AIR_SPEED, AIRFLOW, FORCE, HEAT, LENGTH, MASS, ROOM_LENGTH, TEMPERATURE
from stillbook.templates import look
from stillbook.templates.calls import out_of_range
from stillbook.templates.page import Book
from stillbook.templates.parts import job_checks
from stillbook.templates.parts.check_sheet import AT_LEAST, AT_MOST, EXACTLY, CheckRow
from stillbook.templates.parts.inputs import NO_TESTS, OUTDOORS
from stillbook.templates.parts.quiet_room import door_limits
from stillbook.templates.parts.quiet_room.air import CONDUCTIVITY, SURFACE
from stillbook.templates.parts.quiet_room.air_ways import HAS_FAN, HAS_NO_BOX
from stillbook.templates.parts.quiet_room.alternates import BY_OTHERS, INCLUDED
from stillbook.templates.parts.quiet_room.door_limits import DoorLimit
from stillbook.templates.parts.quiet_room.own_lines import PLACES
from stillbook.templates.parts.quiet_room.silencer import TOLD as SILENCER_TOLD
from stillbook.trade.air.co2 import MOST_CO2


def boxes(book: Book, room: str, side: str, otherwise: str) -> tuple[CheckRow, CheckRow]:
    """The baffle boxes in the room that is there for them, and on what they hang on; what to do but take flatter ones is said ``otherwise``."""
    flattest = f"INT(MIN(baffle_outer_width,baffle_outer_height)-box_room_needed+N({room}))"
    found = f'IF({flattest}>0,"Boxes at most "&{flattest}&" {book.unit(LENGTH)} thick find room; or take ","No box finds room there: take ")'
    advice = f'=IF(N({room})=0,"Take flatter boxes, or ",{found})&"{otherwise}."'
    return (
        CheckRow("Baffle boxes and their service find room", f"={room}", AT_LEAST, "=box_room_needed")
        .measured_in(book.unit(LENGTH))
        .advising(advice)
        .named("check_fits_boxes"),
        CheckRow(f"Baffle boxes find place on {side}", "=box_overhang", AT_MOST, "=0")
        .measured_in(book.unit(LENGTH))
        .advising("Shorter or narrower boxes: they are longer, or together wider, than the side they hang on.")
        .named("check_fits_shell"),
    )


def joists(book: Book, span: str) -> CheckRow:
    """The joists of a new ceiling within the span that the Inputs sheet allows."""
    return (
        CheckRow("Span of the ceiling joists", span, AT_MOST, "=joist_most_span", look.TWO)
        .measured_in(book.unit(ROOM_LENGTH))
        .advising("Deeper joists, by the local code's span table or an engineer; then write what they may span.")
    )


def doors(book: Book) -> list[CheckRow]:
    """Mass, thickness and width of the doors."""
    clear, heaviest = book.pick("32", "813"), door_limits.heaviest(book)
    return [
        CheckRow("Door: arrangement suits the space", f'=IF(OR(door_arrangement="single",{door_limits.SUITS}),"yes","no")', EXACTLY, '="yes"', look.GENERAL)
        .advising("The inner door of a pair has no room to swing: take one heavy door that opens outward; a person lying behind an inward one blocks rescue.")
        .named("check_door_swings"),
        *(
            _door(f"Door: {which} reaches its mass", least, look.WHOLE)
            .measured_in(book.unit(MASS))
            .advising("Add sheets on the Inputs sheet; the Doors sheet lists ways.")
            .asked_where(asked)
            .named(name)
            for name, which, least, asked in (
                ("check_door_inner", "inner door, or the single one,", door_limits.INNER, door_limits.INNER.asked_of_job()),
                ("check_door_outer", "outer door", door_limits.OUTER, f'AND(door_arrangement="pair",{door_limits.OUTER.asked_of_job()})'),
            )
        ),
        _door("Door: added thickness", door_limits.ADDED, look.TWO)
        .measured_in(book.unit(LENGTH))
        .advising("Choose a denser sheet, such as limp sheet or steel, in fewer layers."),
        _door("Door: heaviest door", heaviest, look.WHOLE)
        .measured_in(book.unit(MASS))
        .advising("Fewer or lighter sheets on it, as long as it reaches its mass: the Doors sheet lists ways. Else a pair, where the inner one can swing."),
        CheckRow("Door: clear width", "=clear_width", AT_LEAST, f"={clear}")
        .measured_in(book.unit(LENGTH))
        .advising("Widen the door: this is the usual least for a way out; the local code decides.")
        .named("check_door_clear"),
    ]


def _door(rule: str, limit: DoorLimit, number_format: str) -> CheckRow:
    """A rule that the doors of the job keep one of their limits."""
    value, most_or_least = limit.of_job()
    return CheckRow(rule, value, limit.holds, most_or_least, number_format)


def leaves(walls: str = "", any_leaf: str = "") -> list[CheckRow]:
    """Resonance and coincidence of the leaves, where a job need not have them on condition of their walls, and of any leaf."""
    return [
        CheckRow("Resonance of the leaves", "=leaf_resonance", AT_MOST, "=80", look.WHOLE)
        .measured_in("Hz")
        .advising("Heavier leaves or a deeper cavity: near the resonance the wall does less than one leaf.")
        .asked_where(walls),
        CheckRow("Dip of the inner leaf", "=leaf_dip", AT_LEAST, "=2000", look.WHOLE)
        .measured_in("Hz")
        .advising("Two thinner boards, screwed and not glued, instead of one thick stiff one.")
        .asked_where(any_leaf),
    ]


def heard() -> list[CheckRow]:
    """Weak parts of the shell, and what is heard."""
    return [
        CheckRow("Sound through holes and boxes, of all", "=holes_share/(wall_share+doors_share+holes_share)", AT_MOST, "=0.1", look.PERCENT)
        .measured_in("%")
        .advising("Fewer or smaller holes, sealed full depth: they undo the wall.")
        .named("check_holes"),
        CheckRow("Sound through the doors, of all", "=doors_share/(wall_share+doors_share+holes_share)", AT_MOST, "=0.7", look.PERCENT)
        .measured_in("%")
        .advising("Better seals or heavier doors: more board on the walls will not be heard.")
        .named("check_doors_heard"),
        CheckRow("Isolation of the room", "=room_stc", AT_LEAST, '=IF(OR(N(stc_target)=0,lab_used<0),"",stc_target)', look.WHOLE)
        .measured_in("STC")
        .advising("See what does better on the Isolation sheet, the weakest element first; the range reaches lower.")
        .named("check_isolation"),
        CheckRow("Heard inside from outside: worst octave over target", "=over_target", AT_MOST, "=0")
        .measured_in("dB")
        .advising("See what does better on the Isolation sheet; mind the weakest element first.")
        .named("check_heard"),
        CheckRow("Heard next door: worst octave over target", "=next_over", AT_MOST, "=0")
        .measured_in("dB")
        .advising(_too_loud("next", "the weakest of shell, doors and ducts first; or a quieter source"))
        .named("check_next"),
        CheckRow("Isolation to next door, as a test finds it", "=next_dntw", AT_LEAST, "=dntw_target", look.WHOLE)
        .measured_in("DnT,w")
        .advising("See what does better on the Isolation sheet, the weakest element first; the range reaches lower.")
        .asked_where("N(dntw_target)>0")
        .named("check_tested"),
        CheckRow("Speech privacy next door: low end of its range", "=speech_privacy_low", AT_LEAST, "=privacy_target", look.WHOLE)
        .measured_in("SPC")
        .advising("The weakest of shell, doors and ducts first: the Isolation sheet. What must stay secret is for a specialist.")
        .asked_where("N(privacy_target)>0")
        .named("check_privacy"),
        CheckRow("Heard outdoors: worst octave over target", "=outdoor_over", AT_MOST, "=0")
        .measured_in("dB")
        .advising(_too_loud("outdoor", "the weakest of shell, doors and ducts first. Local rules on noise decide"))
        .named("check_outdoors"),
        CheckRow("Laboratory figures name their report", '=IF(lab_report="","","yes")', number_format=look.GENERAL)
        .advising("Write the report's number on the Inputs sheet.")
        .asked_where("lab_used=1"),
    ]


_SPEEDS: Final = {"speed_collar": "collar of the fan", "speed_outlet": "collar of the way out", "speed_grille": "grille"}
"""Where else than in a duct the air may be fastest, by the name of its speed."""

_MOST_SPEED: Final = f"MAX(speed_duct,speed_return,speed_round,{','.join(_SPEEDS)})"

_FASTEST: Final = (
    '="Fastest in the "&'
    + "".join(f'IF({name}={_MOST_SPEED},"{where}",' for name, where in _SPEEDS.items())
    + '"ducts"'
    + ")" * len(_SPEEDS)
    + '&": make that larger. Above this the air is heard whatever lines the duct."'
)
"""What to do about air that is too fast, and where, as a formula."""


def _too_loud(place: str, what: str) -> str:
    """What to do about what is heard outside, with the octave that is worst, and the rating against that of the target."""
    against = f'IF(COUNT({place}_noise)>0," against what is there already"," against a target of NC "&{place}_target)'
    return f'="Worst at "&{place}_worst&" Hz, NC "&IF(ISNUMBER(nc_{place}),TEXT(nc_{place},"0.0"),nc_{place})&{against}&": {what}."'


def inside(book: Book) -> list[CheckRow]:
    """Reverberation and treatment of the room, and the boxes in its treatment walls."""
    return [
        CheckRow("Reverberation, 500 Hz and up", "=longest_time", AT_MOST, "=target_time", look.TWO)
        .measured_in("s")
        .advising("More treatment: the Room sheet says how much.")
        .named("check_time"),
        CheckRow(
            "Treatment fits the walls and the ceiling: taken", "=MAX(wall_treated/inner_wall_area,ceiling_treated/floor_area)", AT_MOST, "=1", look.PERCENT
        )
        .measured_in("%")
        .advising("There is not that much surface: thicker treatment, less of it.")
        .named("check_treatment"),
        CheckRow("Boxes cut into an isolating leaf", "=leaf_boxes", AT_MOST, "=0", look.WHOLE)
        .measured_in("boxes")
        .advising("Move them into the treatment wall: each is a leak, and lighter than the board it replaces."),
        CheckRow("Boxes fit the depth of the treatment wall", "=box_depth", AT_MOST, "=treatment_depth", look.TWO)
        .measured_in(book.unit(LENGTH))
        .advising("Deepen the treatment wall, take shallow boxes, or surface boxes.")
        .asked_where("wall_boxes>0"),
        CheckRow(
            "Connectors: metal left between the holes of the plate",
            "=connector_pitch-largest_connector_hole",
            AT_LEAST,
            f"={book.pick('0.125', '3')}",
            look.THREE,
        )
        .measured_in(book.unit(LENGTH))
        .advising("Set the connectors further apart, or take smaller ones.")
        .asked_where("SUM(connector_counts)>0"),
        CheckRow("Connectors: labels given twice or missing", "=connector_label_faults", AT_MOST, "=0", look.WHOLE)
        .measured_in("labels")
        .advising("Give each kind of connector on the Wiring sheet a label of its own."),
        CheckRow("Power from audio and data", "=power_apart", AT_LEAST, f"={book.pick('2', '50')}", look.WHOLE)
        .measured_in(book.unit(LENGTH))
        .advising("Move them apart, or a barrier: a licensed electrician and the local code decide."),
    ]


def modes() -> CheckRow:
    """The modes of a room whose sides are the designer's choice."""
    return (
        CheckRow("Room modes: third octaves that are not even", "=uneven_bands", AT_MOST, "=0", look.WHOLE)
        .measured_in("bands")
        .advising("Change one side a little and look again; no side equal to another or twice it.")
    )


def services(book: Book) -> list[CheckRow]:
    """Air, ducts, wiring and price."""
    return [*air(book), *ways(book), *climate(book), circuit(), *money(book)]


_CO2: Final = f"=IF({out_of_range('{0}')},{MOST_CO2:.0f},{{0}})"
"""A level of CO2, that of the range of the formula where it is beyond it."""


def air(book: Book) -> list[CheckRow]:
    """What the people inside need of the air, and what the heat does."""
    return [
        CheckRow("Air: enough for the people inside", "=airflow", AT_LEAST, "=airflow_people")
        .measured_in(book.unit(AIRFLOW))
        .advising("Raise or clear the chosen airflow.")
        .named("check_air_people"),
        CheckRow("Air: outdoor air in it, at least the outdoor air table's", "=outdoor_airflow", AT_LEAST, "=airflow_code")
        .measured_in(book.unit(AIRFLOW))
        .advising("More air, or from outdoors: a neighbouring room's counts by its fresh share. The code decides.")
        .named("check_air_code"),
        CheckRow("CO2 at the end of the longest session", _CO2.format("co2_session"), AT_MOST, "=co2_limit", look.WHOLE)
        .measured_in("ppm")
        .advising("More air, fewer people, or shorter sessions with the door open between.")
        .named("check_co2"),
        CheckRow("Fan off: time to 5000 ppm", "=fan_off_minutes", AT_LEAST, "=15")
        .measured_in("min")
        .advising("Very little time to notice: alarm, and the door must open at once. Fewer people or a larger room.")
        .named("check_fan_off"),
        CheckRow("Cooling that the room needs, within the unit's", "=cooling_needed", AT_MOST, "=cooling_power", look.WHOLE)
        .measured_in(book.unit(HEAT))
        .advising("Add cooling, take equipment out of the room, or move far more air.")
        .named("check_cooling"),
    ]


def ways(book: Book) -> list[CheckRow]:
    """Both ways of the air: speeds, fans, doors, what is heard, and the boxes in their places."""
    speed = book.pick(look.WHOLE, look.TWO)
    return [
        CheckRow("Air speed in the duct", "=MAX(speed_duct,speed_return)", "{v}<={l}*1.0000001", "=quiet_speed", speed)
        .measured_in(book.unit(AIR_SPEED))
        .advising("Take a larger duct from the Ducts sheet.")
        .named("check_speed_duct"),
        CheckRow("Air speed at the grille", "=speed_grille", "{v}<={l}*1.0000001", "=quiet_speed", speed)
        .measured_in(book.unit(AIR_SPEED))
        .advising("Take a larger grille.")
        .named("check_speed_grille"),
        CheckRow("Air speed in the baffle box", "=speed_box", "{v}<={l}*1.0000001", "=quiet_speed", speed)
        .measured_in(book.unit(AIR_SPEED))
        .advising("A wider or higher passage: see the boxes on the Air path sheet.")
        .named("check_speed_box"),
        CheckRow("Air speed anywhere", f"={_MOST_SPEED}", AT_MOST, "=most_speed", speed)
        .measured_in(book.unit(AIR_SPEED))
        .advising(_FASTEST)
        .named("check_speed_most"),
        CheckRow("Fan at full speed against the airflow", "=fan_full_flow", AT_LEAST, "=airflow")
        .measured_in(book.unit(AIRFLOW))
        .advising("A stronger fan run slowly, larger ducts, fewer elbows, or a curve with all its points.")
        .named("check_fan"),
        CheckRow("Fan of the way out at full speed against its airflow", "=return_fan_full_flow", AT_LEAST, "=way_out_airflow")
        .measured_in(book.unit(AIRFLOW))
        .advising("A stronger fan run slowly, larger ducts, fewer elbows, or a curve with all its points.")
        .asked_where(HAS_FAN)
        .named("check_fan_out"),
        CheckRow("Two fans: supply air left when both run", "=room_supply", "{v}>={l}*0.999", "=airflow")
        .measured_in(book.unit(AIRFLOW))
        .advising("Set both fans to the same air, or give their curve more points.")
        .asked_where(HAS_FAN)
        .named("check_fans"),
        CheckRow(
            "Fan on its mounts: natural frequency over its turning",
            '=IF(N(fan_rpm)*fan_speed=0,"",mount_frequency*60/(fan_rpm*fan_speed))',
            AT_MOST,
            "=1/3",
            look.TWO,
        )
        .advising("Softer mounts, which its weight presses down more: near that frequency they add to what they should take off.")
        .asked_where("N(mount_deflection)>0"),
        CheckRow("Push of the room's air on its door", "=door_push", AT_MOST, f"={book.pick('5', '22')}")
        .measured_in(book.unit(FORCE))
        .advising("Ease the way out, or set two fans to the same air; local codes limit the force.")
        .named("check_push"),
        CheckRow("Way out of the air: loss over the shell's, 250 to 4000 Hz", "=way_out_less", AT_LEAST, "=0")
        .measured_in("dB")
        .advising("More elbows, length or lining on the way out, or a return duct with a box."),
        CheckRow("Silencer: all that it needs is told", '=IF(silencer_counts=1,"yes","no")', EXACTLY, '="yes"', look.GENERAL)
        .advising('="Not counted so far. On the Inputs sheet give "&silencer_lacks&", from its maker."')
        .asked_where(SILENCER_TOLD)
        .named("check_silencer"),
        CheckRow("Recovery ventilator: the return goes through it", f'=IF({HAS_NO_BOX},"no","yes")', EXACTLY, '="yes"', look.GENERAL)
        .advising("A transfer duct leaves it nothing to recover from: take a return duct.")
        .asked_where(f'air_source="{OUTDOORS}"'),
        CheckRow("Heard at the seat, air and outside together", "=nc_all", "{v}<={l}*1.0000001", "=nc_target")
        .measured_in("NC")
        .advising("See what to change first on the Air path sheet: a longer box, a larger duct, a slower fan.")
        .named("check_air_heard"),
        CheckRow("Hearing tests: level at the seat over the highest", "=test_over", AT_MOST, "=0")
        .measured_in("dB")
        .advising('="Worst at "&test_worst&" Hz: see what to change first on the Air path sheet. A licensed professional measures and certifies the room."')
        .asked_where(f'hearing_tests<>"{NO_TESTS}"')
        .named("check_hearing_tests"),
        CheckRow("Baffle box: loss of its shell over the leaf's it stands on", "=baffle_shell_less", AT_LEAST, "=0")
        .measured_in("dB")
        .advising("More or heavier boards on the box: it must not be weaker than the leaf it stands on.")
        .asked_where(door_limits.BOXED_LEAF),
        CheckRow("Baffle box fits its space: length", "=baffle_length", AT_MOST, "=baffle_most_length")
        .measured_in(book.unit(LENGTH))
        .advising("A shorter box with more passes."),
        CheckRow("Baffle box fits its space: width", "=baffle_outer_width", AT_MOST, "=baffle_most_width")
        .measured_in(book.unit(LENGTH))
        .advising("Fewer passes or a narrower passage."),
        CheckRow("Baffle box fits its space: height", "=baffle_outer_height", AT_MOST, "=baffle_most_height")
        .measured_in(book.unit(LENGTH))
        .advising("A lower, wider passage."),
    ]


def climate(book: Book) -> list[CheckRow]:
    """The state of the air, where it comes from, and what lines the ducts."""
    apart = book.pick("6", "1.8")
    lining = book.pick(("1.5", "2"), ("38", "50"))
    return [
        CheckRow("Recovery ventilator: no frost in its core", '=IF(condensation="frost","no","yes")', EXACTLY, '="yes"', look.GENERAL)
        .advising("Preheat the outdoor air, or take the neighbouring room's. A core that only gets wet needs its drain.")
        .asked_where(f'air_source="{OUTDOORS}"'),
        CheckRow("Condensation: dew point of the room below its supply air", "=room_dew_point", "{v}<{l}", "=supply_temperature")
        .measured_in(book.unit(TEMPERATURE))
        .advising("Insulate and vapour-seal ducts and boxes, or bring drier or warmer air: they would get wet."),
        CheckRow(
            "Intake duct: outside of its insulation over the dew point",
            f'=STILL_INSULATEDSURFACE(outdoor_temperature,space_temperature,intake_cover,"{CONDUCTIVITY}","{SURFACE}","",units)',
            AT_LEAST,
            "=STILL_DEWPOINT(space_temperature,space_humidity,units)",
        )
        .measured_in(book.unit(TEMPERATURE))
        .advising(f'="It sweats: insulate it with "&IFERROR(TEXT(ROUNDUP(intake_insulation,1),"0.0")&" {book.unit(LENGTH)}","more")&" or more, vapour-tight."')
        .asked_where(f'AND(air_source="{OUTDOORS}",intake_cover<>"")')
        .named("check_intake_dry"),
        CheckRow("Humidity of the room", "=room_humidity", AT_MOST, "=humidity_limit", look.PERCENT).measured_in("%").advising(_too_damp(book)),
        CheckRow("CO2, highest of the day", _CO2.format("co2_day"), AT_MOST, "=co2_limit", look.WHOLE)
        .measured_in("ppm")
        .advising("More air, fewer people, or longer breaks.")
        .named("check_co2_day"),
        CheckRow("Intake to return, apart", "=opening_distance", AT_LEAST, f"={apart}")
        .measured_in(book.unit(ROOM_LENGTH))
        .advising("Move them apart, or stale air goes round."),
        CheckRow("Duct lining", "=duct_lining", f"AND({{v}}>={{l}},{{v}}<={lining[1]})", f"={lining[0]}", look.TWO, up_to=lining[1])
        .measured_in(book.unit(LENGTH))
        .advising(f"Usual lining is {lining[0]} to {lining[1]} {book.unit(LENGTH)}; thinner does little at low frequency."),
    ]


def _too_damp(book: Book) -> str:
    """What to do about a room that is too damp: more air only helps where it holds less moisture than the room may."""
    dew = "STILL_DEWPOINT({0},{1},units)"
    helps = f"{dew.format('supply_temperature', 'supply_humidity')}<{dew.format('room_temperature', 'humidity_limit')}"
    share = "INT((cooling_load-cooling_moisture)/cooling_load*100)/100"
    moisture = f'TEXT(cooling_moisture,"#,##0")&" {book.unit(HEAT)} of moisture at "&TEXT(exhaust_humidity,"0%")'
    unit = f'"a cooling unit with drain for "&{moisture}&": its sensible share told, at most "&TEXT({share},"0.00")'
    unit = f'IF(ISNUMBER(cooling_load),{unit},"a unit that dries the air")'
    air = f'IF({helps},"More air, drier air","Not more air: it brings in more moisture than that. Drier air")'
    return f'={air}&", or "&{unit}&". Wet lining feeds mould."'


def circuit() -> CheckRow:
    """The power that the room takes of its circuit."""
    return (
        CheckRow("Circuit: current with the continuous factor", "=circuit_amps", AT_MOST, "=breaker_amps")
        .measured_in("A")
        .advising("Another circuit. A licensed electrician decides.")
        .named("check_circuit")
    )


def money(book: Book) -> list[CheckRow]:
    """Payments, allowances, lines of one's own, and the price."""
    return [
        CheckRow("Payments before completion, of the price", "=deposit_share+shell_share", AT_MOST, "=1", look.PERCENT)
        .measured_in("%")
        .advising("Lower the first two payments.")
        .named("check_payments"),
        CheckRow("Allowances and alternates are filled in whole", "=unfinished_sums", AT_MOST, "=0", look.WHOLE)
        .measured_in("rows")
        .advising("Say what each is for; give each its amount or cost, an alternate that changes none a 0. See the Inputs sheet."),
        CheckRow("Revisions have a number, a date and what changed", "=unfinished_revisions", AT_MOST, "=0", look.WHOLE)
        .measured_in("rows")
        .advising("Fill in the rest of the row on the Inputs sheet."),
        *own(),
        job_checks.priced(),
        CheckRow("Every line has a price", "=price", "{v}>{l}", "=0", look.MONEY)
        .measured_in(book.currency)
        .advising("A code is missing on the Unit costs sheet: see the Job price sheet.")
        .named("check_price"),
        CheckRow("Price within the client's budget", "=price", AT_MOST, "=budget", look.MONEY)
        .measured_in(book.currency)
        .advising("Fewer boards, a smaller room or less treatment; the Job price sheet says where the money goes.")
        .asked_where("N(budget)>0")
        .named("check_budget"),
    ]


def own() -> tuple[CheckRow, ...]:
    """Lines of one's own and lines switched off: each is found, and each finds its place."""
    off = 'COUNTIF(off_faults,"?*")'
    some = '((own_codes<>"")+(own_texts<>"")>0)'
    typed_in = '((own_quantities<>"")+(own_costs<>"")+(own_hours<>"")>0)'
    left_out = f'SUMPRODUCT({some}*1)-COUNTIF(own_places,"?*")+SUMPRODUCT((1-{some}*1)*{typed_in})'
    too_many = f"MAX(0,MAX(told_included)-{INCLUDED})+MAX(0,MAX(told_by_others)-{BY_OTHERS})"
    # A line in error is counted as one that stands there: its quantity follows hours that are not known.
    on_scope = 'COUNTIF(line_numbers,">0")+SUMPRODUCT(ISERROR(line_numbers)*1)'
    return (
        CheckRow("Lines switched off: without a reason, or not found", f"={off}", AT_MOST, "=0", look.WHOLE)
        .measured_in("lines")
        .advising(f'="See the Own lines sheet"&IF({off}=0,".",": "&INDEX(off_faults,MATCH("?*",off_faults,0))&".")'),
        CheckRow("Lines of your own: nameless, or with no place", f"={left_out}+{too_many}+MAX(0,{on_scope}-ROWS(scope_places))", AT_MOST, "=0", look.WHOLE)
        .measured_in("lines")
        .advising(
            f"Give each a code or a description. There are {PLACES} places in the price, {INCLUDED} on the proposal and {BY_OTHERS} for work by others, "
            "and on the scope as many as it has rows."
        ),
    )
