"""The air schedule: its columns against plain arithmetic, blank rows, rows in error, the fan, what each row passes, one
room shown element by element, and what readers outside are shown."""

import math

import pytest

from stillbook.catalogue import call
from stillbook.cautions import CAUTIONS
from stillbook.quantities import SYSTEMS
from stillbook.share.copies import share
from stillbook.templates.air_schedule.rooms import EXAMPLES
from stillbook.templates.parts.examples import examples
from stillbook.workbook import WorkbookError
from stillbook.workbook.file.address import Area
from stillbook.workbook.file.package import Package
from stillbook.workbook.file.sheet import Change
from stillbook.workbook.job.audience import AUDIENCES
from stillbook.workbook.job.draft import DraftError
from stillbook.workbook.job.lines import column
from templates.columns import put, results, shipped, together, values
from templates.rules import assert_second_row

NAME = "air-schedule"
OCTAVES = (63, 125, 250, 500, 1000, 2000, 4000, 8000)
ROOMS = examples(EXAMPLES, "US")
MARKS = [row[0] for row in ROOMS]


@pytest.fixture(scope="module")
def us():
    job = shipped(NAME, "US")
    job.calculate()
    return job


# A voice room of 8 × 6 × 7.5 ft with two people and 190 W; a control room of 18 × 14 × 9 ft with four. Rates of the
# breathing-zone procedure: 10 cfm a person and 0.06 cfm/ft² over an effectiveness of 0.8; 15 cfm a person, 30 cfm at
# least, 250 Btu/h a person who talks and 1.08 Btu/h per cfm and °F: common practice and standard air.
FACTS = [
    ("floor_areas", 0, 48),
    ("volumes", 0, 360),
    ("airflows_people", 0, 30),
    ("airflows_code", 0, (10 * 2 + 0.06 * 48) / 0.8),
    ("airflows", 0, 30),
    ("airflows_people", 3, 60),
    ("airflows_code", 3, (10 * 4 + 0.06 * 252) / 0.8),
    ("airflows", 3, (10 * 4 + 0.06 * 252) / 0.8),
    ("airflows", 2, 110),
    ("air_changes", 0, 30 * 60 / 360),
    ("heats", 0, 2 * 250 + 190 * 3.412142),
    ("rises", 0, (2 * 250 + 190 * 3.412142) / (1.08 * 30 + (2 * (8 * 6 + 14 * 7.5)) / 16)),
    ("cooling_airflows", 0, (2 * 250 + 190 * 3.412142) / (1.08 * 12)),
    ("least_areas", 0, 30 / 100 * 144),
    ("round_sizes", 0, 8),
    ("duct_speeds", 0, 30 / (8 * 6 / 144)),
    ("grille_speeds", 0, 30 / (14 * 8 / 144) / 0.7),
    ("duct_areas", 0, 48),
    ("surfaces", 0, 2 * (8 * 6 + 8 * 7.5 + 6 * 7.5)),
]


@pytest.mark.parametrize(("name", "row", "value"), FACTS)
def test_a_number_is_what_plain_arithmetic_gives(us, name, row, value):
    assert values(us, name)[row] == pytest.approx(value, rel=1e-6)


def test_metric_rooms_get_the_printed_metric_rates():
    job = shipped(NAME, "SI")
    job.calculate()
    assert values(job, "airflows_code")[0] == pytest.approx((5 * 2 + 0.3 * 2.4 * 1.8) / 0.8)
    assert values(job, "airflows")[0] == pytest.approx(2 * 7.1)


def test_rows_are_set_by_name_with_units_of_their_own():
    job = shipped(NAME, "US")
    job.set({"rooms": ["A", "B"], "lengths": ["3 m", 10], "heights_1": "8'-0\"", "airflows_chosen_2": "50 L/s"})
    job.calculate()
    assert values(job, "rooms")[:3] == ["A", "B", None]
    assert values(job, "volumes")[0] == pytest.approx(3 / 0.3048 * 6 * 8)
    assert values(job, "airflows")[1] == pytest.approx(50 / 0.47194745)


def test_co2_and_the_time_without_a_fan_are_those_of_the_formulas(us):
    end = call("CO2LEVEL", 2, 30, 360, 90, "talking", 420)
    assert values(us, "co2_ends")[0] == pytest.approx(end)
    assert values(us, "co2_settled")[0] == pytest.approx(call("CO2LEVEL", 2, 30, 360, None, "talking", 420))
    assert values(us, "fan_off_minutes")[0] == pytest.approx(call("CO2MINUTES", 2, 0, 360, 5000, "talking", 420, end))


def test_the_pressure_of_a_branch_is_the_sum_of_its_parts(us):
    friction = call("DUCTLOSS", 30, 8, 6, 14, "lined")
    fittings = [
        call("FITTINGLOSS", 30, 8, 6, kind, count, "lined")
        for kind, count in (("square elbow", 2), ("entrance", 1), ("exit", 1))
    ]
    assert values(us, "branch_losses")[0] == pytest.approx(friction + sum(fittings))


def heard(fan, box, room, areas, grille, end, split=None):
    """Level at the seat of room R01 by octave: losses take off, powers add up, 50 dB at most is kept back in all.

    What the air makes at the ``split`` is the sound of an elbow unless given.
    """
    airflow, width, height, elbows = room
    lined, turned = call("LINEDDUCTLOSS", width, height, 14, 1.5)[0], call("ELBOWLOSS", width, 1.5, elbows)[0]
    straight, bend = (call("AIRFLOWNOISE", airflow, width, height, kind)[0] for kind in ("duct", "square elbow"))
    opening = call("ENDREFLECTION", *grille, end)[0]
    share = -10 * math.log10(width * height / sum(areas))
    effect = call("ROOMLOSS", 4, 360, 306 * 0.35)[0]
    levels = []
    for n in range(8):
        after_split = turned[n] + opening[n]
        whole = box[n] + share + lined[n] + after_split
        made = together(
            (split or bend)[n] - lined[n] - turned[n], straight[n] - turned[n], bend[n] + 10 * math.log10(elbows)
        )
        levels.append(together(fan[n] - whole, fan[n] - 50, made - opening[n]) - effect[n])
    return levels


def areas(job):
    return [area for area in values(job, "duct_areas") if area != ""]


def test_the_noise_is_the_fan_less_its_way(us):
    fan, box = values(us, "fan_sound")[0], values(us, "box_loss")[0]
    assert fan == pytest.approx(call("FANSOUND", results(us)["fan_airflow"], 0.3, "tube axial", 0.85)[0])
    assert box == pytest.approx(call("BAFFLEBOXLOSS", 60, 36, 30, 128, 128, 2, 10)[0])
    expected = heard(fan, box, (30, 8, 6, 2), areas(us), (14, 8), "diffuser")
    assert values(us, "heard")[0] == pytest.approx(expected, abs=1e-3)
    assert values(us, "nc_heard")[0] == pytest.approx(call("NCRATING", [expected]), abs=1e-3)
    over = [level - curve for level, curve in zip(expected, call("NCCURVE", 25)[0], strict=True)]
    assert values(us, "overs")[0] == pytest.approx(max(over), abs=1e-3)
    assert values(us, "worst_octaves")[0] == OCTAVES[over.index(max(over))]


def test_a_take_off_of_a_stated_edge_is_heard_as_a_junction(us):
    """VDI 2081 Part 1:2001, eq. 18: by the branch's air and that of the whole fan in the main duct of 16 × 8 in."""
    job = shipped(NAME, "US")
    job.set({"takeoff_edge": 0.05})
    job.calculate()
    fan, box = values(job, "fan_sound")[0], values(job, "box_loss")[0]
    split = call("JUNCTIONNOISE", 30, 8, 6, results(job)["fan_airflow"], 16, 8, 0.05)[0]
    expected = heard(fan, box, (30, 8, 6, 2), areas(job), (14, 8), "diffuser", split)
    assert values(job, "heard")[0] == pytest.approx(expected, abs=1e-3)
    assert values(us, "heard")[0] != values(job, "heard")[0]
    assert values(job, "one_noises")[1] == pytest.approx(
        call(
            "JUNCTIONNOISE",
            *(one(job, f"one_{what}") for what in ("airflow", "duct_width", "duct_height")),
            results(job)["fan_airflow"],
            16,
            8,
            0.05,
        )[0]
    )
    assert one(job, "one_differences") == [0] * 8


def test_fast_air_is_heard_and_an_open_end_takes_off():
    job = shipped(NAME, "US")
    put(job, "airflows_chosen", 0, 200)
    job.set({"open_end": "flush"})
    job.calculate()
    fan, box = values(job, "fan_sound")[0], values(job, "box_loss")[0]
    expected = heard(fan, box, (200, 8, 6, 2), areas(job), (14, 8), "flush")
    assert values(job, "heard")[0] == pytest.approx(expected, abs=1e-3)
    assert expected[1] < heard(fan, box, (200, 8, 6, 2), areas(job), (14, 8), "diffuser")[1]
    assert expected[2] > heard(fan, box, (30, 8, 6, 2), areas(job), (14, 8), "flush")[2]


def test_the_maker_s_levels_come_before_the_prediction():
    job = shipped(NAME, "US")
    sheet, area = column(job.package, "fan_sound")
    levels = [60.0, 58, 55, 52, 50, 46, 42, 38]
    row = {(area.first_row - 1, area.first_column + n): Change(level) for n, level in enumerate(levels)}
    job.package.write({sheet: row})
    job.calculate()
    assert values(job, "fan_sound")[0] == levels


def test_the_maker_s_levels_wait_for_their_other_octaves():
    job = shipped(NAME, "US")
    sheet, area = column(job.package, "fan_sound")
    job.package.write({sheet: {(area.first_row - 1, area.first_column): Change(60.0)}})
    job.calculate()
    assert set(values(job, "row_states")) == {"Waits", ""}


def test_no_box_loses_nothing():
    job = shipped(NAME, "US")
    job.set({"box_length": None})
    job.calculate()
    assert values(job, "box_loss")[0] == [0] * 8


def test_the_fan_moves_the_air_of_all_rooms_against_the_worst_branch(us):
    found = results(us)
    rooms = [flow for flow in values(us, "airflows") if flow != ""]
    branches = [loss for loss in values(us, "branch_losses") if loss != ""]
    assert found["total_airflow"] == pytest.approx(sum(rooms))
    assert found["fan_airflow"] == pytest.approx(sum(rooms) * 1.05)
    assert found["fan_pressure_needed"] == pytest.approx(0.15 + max(branches))
    assert found["people_count"] == sum(row[3] for row in ROOMS)
    assert found["room_count"] == len(ROOMS)


@pytest.mark.parametrize(
    ("column", "value", "state"),
    [
        ("people", None, "Waits"),
        ("people", "two", "Error"),
        # Arithmetic takes a blank for 0, and a room of no length for one that its people use up at once.
        *((column, None, "Waits") for column in ("lengths", "widths", "heights", "duct_widths", "duct_heights")),
    ],
)
def test_a_row_waits_for_what_is_blank_and_is_an_error_for_the_rest(column, value, state):
    job = shipped(NAME, "US")
    put(job, column, 1, value)
    report = job.calculate()
    assert_second_row(state, job, report)
    waits = next(check for check in report.checks if check.rule == "Every row has its inputs").waits_for
    assert waits == ((f"{column}_2",) if state == "Waits" else ())


@pytest.mark.parametrize("pressure", [0.1, 0.05, 0.01])
def test_a_weak_fan_fails_for_itself_alone(pressure):
    """A fan so weak makes sound below 0 dB in the high octaves, which two ways of adding up give unlike."""
    job = shipped(NAME, "US")
    job.set({"fan_pressure": pressure})
    assert {check.rule for check in job.calculate().failed} == {"Fan against the pressure needed"}


# --- one room ---------------------------------------------------------------------------------------------------------


def shown(mark, system="US", **inputs):
    """A job with the room of that mark on the One room sheet, calculated."""
    job = shipped(NAME, system)
    job.set({"one_room": mark, **inputs})
    job.calculate()
    return job


def one(job, name):
    """The value of a named cell, or the values of a named row."""
    return values(job, name)[0]


def test_without_a_mark_the_room_most_over_its_nc_is_shown(us):
    over = values(us, "overs")[: len(MARKS)]
    assert one(us, "one_row") == over.index(max(over)) + 1 == 4
    assert one(us, "one_name") == "R04 Control room"


def test_without_any_nc_wanted_the_loudest_room_is_shown():
    job = shipped(NAME, "US")
    for row in range(len(MARKS)):
        put(job, "nc_wanted", row, None)
    job.calculate()
    rated = values(job, "nc_heard")[: len(MARKS)]
    assert one(job, "one_row") == rated.index(max(rated)) + 1
    assert one(job, "one_verdict") == "no NC set"
    assert set(values(job, "noise_said")[: len(MARKS)]) == {"no NC set"}


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("mark", ["R01", "R03", "R07"])
def test_the_room_shown_agrees_with_its_row(mark, system):
    job, row = shown(mark, system), MARKS.index(mark)
    assert one(job, "one_row") == row + 1
    assert one(job, "one_heard") == pytest.approx(values(job, "heard")[row], abs=1e-3)
    assert one(job, "one_nc") == pytest.approx(values(job, "nc_heard")[row], abs=1e-3)
    assert one(job, "one_branch_loss") == pytest.approx(values(job, "branch_losses")[row], rel=1e-9)
    shared = job.inputs["trunk_loss"].value
    assert one(job, "one_pressure") == pytest.approx(shared + values(job, "branch_losses")[row], rel=1e-9)
    assert one(job, "one_co2") == values(job, "co2_ends")[row]
    assert one(job, "one_differences") == [0] * 8


def test_what_each_element_takes_off():
    """Room R02: 22 ft of 8 × 6 in with two elbows, 48 in² of all the ducts' area."""
    job = shown("R02", open_end="flush")
    losses = values(job, "one_losses")
    assert losses[0] == pytest.approx(call("BAFFLEBOXLOSS", 60, 36, 30, 128, 128, 2, 10)[0])
    assert losses[1] == pytest.approx([-10 * math.log10(48 / sum(areas(job)))] * 8)
    assert losses[2] == pytest.approx(call("LINEDDUCTLOSS", 8, 6, 22, 1.5)[0])
    assert losses[3] == pytest.approx(call("ELBOWLOSS", 8, 1.5, 2)[0])
    assert losses[4] == pytest.approx(call("ENDREFLECTION", 14, 8, "flush")[0])


def test_what_to_change_first_is_heard_most_in_the_worst_octave():
    job = shipped(NAME, "US")
    put(job, "nc_wanted", 1, 15)
    job.set({"one_room": "R02"})
    job.calculate()
    over = [a - b for a, b in zip(one(job, "one_heard"), call("NCCURVE", 15)[0], strict=True)]
    assert one(job, "one_verdict") == "over"
    assert one(job, "one_change_octave") == OCTAVES[over.index(max(over))]
    assert one(job, "one_change") == "Fan, through box and branch"
    assert values(job, "noise_said")[1] == "over"


def with_larger_duct(job):
    put(job, "duct_widths", 1, 10)
    put(job, "duct_heights", 1, 8)


def with_longer_box(job):
    job.set({"box_length": 84})


def with_slower_fan(job):
    """At 0.8 of the speed: 0.8 of the air, and 50 log10 of it off the sound (AMCA practice, from memory)."""
    fan = one(shown("R02"), "fan_sound")
    sheet, area = column(job.package, "fan_sound")
    row = {(area.first_row - 1, area.first_column + n): Change(fan[n] + 50 * math.log10(0.8)) for n in range(8)}
    job.package.write({sheet: row})
    put(job, "airflows_chosen", 1, 24)


# Each change, made in the schedule itself, must give what the sheet foretells; more sheet by plain arithmetic: 22 ft of
# a girth 8 in longer; 24 in of a box 40 × 34 in with its linings.
CHANGES = [
    ("one_larger_duct", with_larger_duct, 22 * 8 / 12),
    ("one_longer_box", with_longer_box, 2 * (36 + 30 + 4 * 2) / 12 * 24 / 12),
    ("one_slower_fan", with_slower_fan, 0),
]


@pytest.mark.parametrize(("name", "change", "sheet"), CHANGES)
def test_a_change_foretold_is_what_the_schedule_gives(name, change, sheet):
    before, after = shown("R02"), shipped(NAME, "US")
    change(after)
    after.calculate()
    assert one(before, f"{name}_heard") == pytest.approx(values(after, "heard")[1], abs=2e-3)
    assert one(before, f"{name}_nc") == pytest.approx(values(after, "nc_heard")[1], abs=2e-3)
    assert one(before, f"{name}_airflow") == pytest.approx(values(after, "airflows")[1])
    assert one(before, f"{name}_sheet") == pytest.approx(sheet)
    if name == "one_slower_fan":
        assert one(before, f"{name}_loss") == pytest.approx(one(before, "one_pressure") * 0.8**2)
    else:
        assert one(before, f"{name}_loss") == pytest.approx(0.15 + values(after, "branch_losses")[1])


def test_co2_over_the_session_and_when_the_fan_stops_half_way():
    """Room R01: two people talking in 360 ft³ for 90 minutes with 30 cfm."""
    job = shown("R01")
    minutes = [9 * step for step in range(11)]
    assert one(job, "one_minutes") == pytest.approx(minutes)
    on = [420] + [call("CO2LEVEL", 2, 30, 360, minute, "talking", 420) for minute in minutes[1:]]
    assert one(job, "one_co2_fan_on") == pytest.approx(on)
    half = call("CO2LEVEL", 2, 30, 360, 45, "talking", 420)
    stopped = [call("CO2LEVEL", 2, 0, 360, minute - 45, "talking", 420, half) for minute in minutes[6:]]
    assert one(job, "one_co2_fan_stops") == pytest.approx([*on[:6], *stopped])


def test_a_session_of_no_stated_length_is_shown_for_eight_hours():
    job = shipped(NAME, "US")
    put(job, "sessions", 0, None)
    job.set({"one_room": "R01"})
    assert job.calculate().errors == ()
    assert one(job, "one_minutes")[-1] == 480
    assert one(job, "one_co2_fan_on")[-1] == pytest.approx(call("CO2LEVEL", 2, 30, 360, 480, "talking", 420))
    assert one(job, "one_co2") == pytest.approx(call("CO2LEVEL", 2, 30, 360, None, "talking", 420))


# R01: 8 × 6 in, at most 12 in high, 30 cfm for two people, 30 cfm at least by practice; R03: 110 cfm for three, 52 needed.
SAID = [
    ("R01", {}, ["Duct of 10 × 8", "Lined box 84 in long", "Fan at 80% of its speed: too little air"]),
    ("R01", {"alt_duct_more": 8}, ["Duct of 16 × 14: too high"]),
    ("R01", {"box_length": None}, ["Lined box 24 in long"]),
    ("R03", {}, ["Fan at 80% of its speed"]),
]


@pytest.mark.parametrize(("mark", "inputs", "texts"), SAID)
def test_a_change_says_what_it_is_and_what_stands_against_it(mark, inputs, texts):
    job = shown(mark, **inputs)
    said = [row[0] for row in job.package.rows("One room", Area(1, 2, 100, 2))]
    assert set(texts) <= set(said)


@pytest.mark.parametrize(("mark", "typed"), [(103, 103), (103, "103"), ("103", 103)])
def test_a_mark_that_is_a_number_is_found(mark, typed):
    job = shipped(NAME, "US")
    put(job, "rooms", 2, mark)
    put(job, "one_room", 0, typed)
    job.calculate()
    assert one(job, "one_row") == 3
    assert one(job, "one_name") == "103 Drum room"


def test_a_room_that_is_not_there_shows_nothing():
    job = shown("R05")
    put(job, "rooms", 4, "R55")
    report = job.calculate()
    assert report.errors == ()
    assert one(job, "one_row") == one(job, "one_name") == one(job, "one_nc") == ""
    assert set(one(job, "one_heard")) == {""}


def test_a_room_without_elbows_or_box_is_shown():
    job = shipped(NAME, "US")
    put(job, "elbow_counts", 0, 0)
    job.set({"one_room": "R01", "box_length": None})
    report = job.calculate()
    assert report.errors == ()
    losses = values(job, "one_losses")
    assert losses[0] == losses[3] == [0] * 8
    assert one(job, "one_heard") == pytest.approx(values(job, "heard")[0], abs=1e-3)


# --- readers outside --------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def copies(tmp_path_factory):
    """What a client and a contractor are given of the same schedule, as the texts and numbers of its only sheet."""
    folder = tmp_path_factory.mktemp("shared")
    job = shipped(NAME, "US")
    job.set({"client": "Quibberdunk Ltd", "project": "Seven rooms"})
    job.calculate()
    job.save(folder / "job.xlsx")
    found = {}
    for audience in AUDIENCES:
        copy = share(folder / "job.xlsx", folder / f"{audience}.xlsx", audience)
        package = Package.open(copy.path)
        cells = {place: package.value(copy.sheets[0], *place) for place in package.sheet(copy.sheets[0]).stored}
        found[audience] = copy, cells
    return found


@pytest.mark.parametrize(("audience", "sheets"), [("client", ("Report",)), ("contractor", ("Scope",))])
def test_a_reader_outside_sees_one_sheet_with_a_row_for_each_room(copies, audience, sheets):
    copy, cells = copies[audience]
    assert copy.sheets == sheets
    assert copy.left_out == copy.fixed == ()
    assert copy.formulas == 0
    assert [value for (_, place), value in sorted(cells.items()) if place == 2 and value in MARKS] == MARKS


def test_a_client_sees_air_and_noise_and_no_ducts(copies):
    """A drum room of 16 × 12 × 9 ft with 110 cfm; numbers with the digits that the page shows."""
    _, cells = copies["client"]
    row = next(row for (row, place), value in cells.items() if (place, value) == (2, "R03"))
    co2 = call("CO2LEVEL", 3, 110, 1728, 60, "drumming", 420)
    minutes = call("CO2MINUTES", 3, 0, 1728, 5000, "drumming", 420, co2)
    assert [cells[row, place] for place in range(3, 13)] == [
        "Drum room", 3, 110, pytest.approx(110 * 60 / 1728, abs=0.051), pytest.approx(co2, abs=0.51),
        pytest.approx(minutes, abs=0.51), "enough", 22, 25, "within",
    ]  # fmt: skip
    assert "Quibberdunk Ltd" in cells.values()
    assert not any("16 × 10" in str(value) for value in cells.values())


def test_a_contractor_sees_what_to_build_and_not_for_whom(copies):
    _, cells = copies["contractor"]
    row = next(row for (row, place), value in cells.items() if (place, value) == (2, "R03"))
    assert [cells[row, place] for place in range(3, 12)] == [
        "Drum room", 110, "16 × 10", 19, 13, 30, 3, pytest.approx(99, abs=0.6), "24 × 12",
    ]  # fmt: skip
    texts = " ".join(str(value) for value in cells.values())
    assert "36 × 30 × 60 in inside" in texts and "16 × 8 in inside" in texts and "512 cfm" in texts
    assert "68, 67, 69, 73, 72, 71, 63, 60 dB" in texts
    assert "Quibberdunk" not in texts


def test_both_see_the_cautions(copies):
    for _, cells in copies.values():
        assert set(CAUTIONS) <= set(cells.values())


def test_a_schedule_with_an_error_is_not_given_away(tmp_path):
    job = shipped(NAME, "US")
    put(job, "people", 1, None)
    job.calculate()
    job.save(tmp_path / "job.xlsx")
    with pytest.raises(DraftError, match="is #N/A"):
        share(tmp_path / "job.xlsx", tmp_path / "copy.xlsx", "client")
    with pytest.raises(WorkbookError, match="hold errors"):
        share(tmp_path / "job.xlsx", tmp_path / "copy.xlsx", "client", draft=True)
    assert not (tmp_path / "copy.xlsx").exists()


@pytest.mark.parametrize(
    ("changes", "column", "said"),
    [
        ({"fan_pressure": 0.05}, "air_said", "fan too weak"),
        ({"quiet_speed": 40}, "noise_said", "air too fast"),
    ],
)
def test_the_report_promises_nothing_that_a_check_denies(changes, column, said):
    job = shipped(NAME, "US")
    job.set(changes)
    job.calculate()
    assert values(job, column)[0] == said


def test_the_report_says_where_air_is_short():
    job = shipped(NAME, "US")
    put(job, "airflows_chosen", 0, 20)
    job.calculate()
    assert values(job, "air_said")[:3] == ["too little", "enough", "enough"]
