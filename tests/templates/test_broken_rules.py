"""Booth and conversion: each rule broken fails and says what to do, and an input that cannot be is refused."""

from functools import cache

import pytest

from stillbook.workbook.job.inputs import InputError
from templates.columns import shipped
from templates.rules import advice_after, together_broken

BROKEN = {
    "booth-estimate": [
        (
            {
                "The shell fits the space: length": {"space_length": 9},
                "Baffle boxes and their service find room": {"space_height": 9.5, "box_place": "on top of the shell"},
                "Baffle boxes find place on the shell": {"baffle_length": 120},
                "Load over the footprint": {"floor_capacity": 50},
                "Door: inner door, or the single one, reaches its mass": {"slab_mass": 30},
                "Air: enough for the people inside": {"people": 6, "airflow_chosen": 30},
                "CO2 at the end of the longest session": {"people": 6, "airflow_chosen": 30},
                "Air speed in the duct": {"duct_width": 6},
                "Intake to return, apart": {"opening_distance": 3},
                "Duct lining": {"duct_lining": 1},
                "Fan at full speed against the airflow": {"filter_loss": 1.5},
                "Baffle box: loss of its shell over the leaf's it stands on": {"baffle_count_1": 1},
                "Air speed in the baffle box": {"baffle_width": 4},
                "Baffle box fits its space: height": {"baffle_most_height": 12},
                "Air speed anywhere": {"fan_collar": 3},
                "Door: clear width": {"door_width": 30},
                "Isolation of the room": {"stc_target": 60},
                "Hearing tests: level at the seat over the highest": {"hearing_tests": "ISO sound field"},
                "Treatment fits the walls and the ceiling: taken": {"ceiling_treatment": 60},
                "Boxes cut into an isolating leaf": {"leaf_boxes": 2},
                "Boxes fit the depth of the treatment wall": {"treatment_depth": 2},
                "Connectors: metal left between the holes of the plate": {"connector_pitch": 1},
                "Connectors: labels given twice or missing": {"line_label": "MIC"},
                "Power from audio and data": {"power_apart": 1},
                "Payments before completion, of the price": {"deposit_share": 0.8},
            },
            {
                "Baffle box fits its space: length",
                "CO2, highest of the day",
                "Condensation: dew point of the room below its supply air",
                "Cooling that the room needs, within the unit's",
                "Door: outer door reaches its mass",
                "Fan off: time to 5000 ppm",
                "Heard at the seat, air and outside together",
                "Heard inside from outside: worst octave over target",
                "Heard next door: worst octave over target",
                "Humidity of the room",
                "Sound through holes and boxes, of all",
            },
        ),
        (
            {
                "Working room round the shell": {"space_length": 13, "space_width": 11},
                "Cooling that the room needs, within the unit's": {"cooling_power": 0},
                "Air speed anywhere": {"duct_width": 3, "duct_height": 2},
                "Heard at the seat, air and outside together": {"fan_margin": 15},
                "Baffle box fits its space: width": {"baffle_passes": 5},
                "Baffle box fits its space: length": {"baffle_most_length": 48},
                "Recovery ventilator: no frost in its core": {
                    "air_source": "outdoors with recovery",
                    "outdoor_temperature": 0,
                },
                "CO2, highest of the day": {"day_people_1": 4},
                "Heard next door: worst octave over target": {"inside_source": "drums"},
                "Leaves of like mass: lighter over heavier": {"outer_count_1": 6},
            },
            {
                "Air speed in the duct",
                "Baffle boxes and their service find room",
                "Baffle boxes find place on the shell",
                "Heard outdoors: worst octave over target",
                "Outer door opens in the space left",
                "Sound through the doors, of all",
            },
        ),
        (
            {
                "Outer door opens in the space left": {"space_length": 14, "space_width": 12},
                "Condensation: dew point of the room below its supply air": {"space_humidity": 0.95},
                "Heard inside from outside: worst octave over target": {"nc_target": 15, "source_level": 110},
                "Heard outdoors: worst octave over target": {"inside_source": "amplified rock"},
                "Reverberation, 500 Hz and up": {"wall_treatment": 10, "ceiling_treatment": 0},
            },
            {
                "Baffle boxes and their service find room",
                "Cooling that the room needs, within the unit's",
                "Heard at the seat, air and outside together",
                "Heard next door: worst octave over target",
                "Humidity of the room",
            },
        ),
        (
            {
                "Baffle boxes and their service find room": {"space_length": 15, "space_width": 12},
                "Humidity of the room": {"space_humidity": 0.7},
                "Sound through holes and boxes, of all": {"hole_sealed": 0, "mic_connectors": 40},
                "Dip of the inner leaf": {"inner_material_1": "Plywood 3/4 in"},
            },
            {
                "Heard at the seat, air and outside together",
                "Heard inside from outside: worst octave over target",
                "Heard next door: worst octave over target",
                "Isolation of the room",
            },
        ),
        (
            {
                "Resonance of the leaves": {"inner_count_1": 1, "outer_count_1": 1, "frame_gap": 0.25, "stud_depth": 1},
                "Room modes: third octaves that are not even": {"room_width": 8, "room_height": 8},
            },
            {
                "Cavity between the leaves",
                "Door: heaviest door",
                "Heard at the seat, air and outside together",
                "Heard inside from outside: worst octave over target",
                "Heard next door: worst octave over target",
                "Isolation of the room",
                "Span of the ceiling joists",
            },
        ),
        (
            {
                "Circuit: current with the continuous factor": {"equipment_power": 3000},
            },
            {"Cooling that the room needs, within the unit's"},
        ),
        (
            {
                "Sound through the doors, of all": {"seal_share": 0.5},
            },
            {
                "Heard at the seat, air and outside together",
                "Heard inside from outside: worst octave over target",
                "Heard next door: worst octave over target",
                "Isolation of the room",
            },
        ),
        (
            {
                "Sound through holes and boxes, of all": {"leaf_boxes": 6, "hole_sealed": 0.5},
            },
            {
                "Boxes cut into an isolating leaf",
                "Heard at the seat, air and outside together",
                "Heard inside from outside: worst octave over target",
                "Heard next door: worst octave over target",
                "Isolation of the room",
            },
        ),
    ],
    "room-conversion": [
        (
            {
                "Room height left": {"existing_height": 7.5},
                "Share of the floor left": {"existing_length": 5, "existing_width": 5, "door_width": 24},
                "Load added to the floor": {"floor_capacity": 10},
                "Cavity behind the new wall leaf": {"wall_board": "stays", "stud_depth": 2},
                "Window: gap to the new pane": {"window_gap": 2},
                "Heard inside from outside: worst octave over target": {"nc_target": 15, "source_level": 110},
                "Payments before completion, of the price": {"deposit_share": 0.8},
                "Baffle boxes and their service find room": {"box_clear": 12},
            },
            {
                "Baffle boxes find place on a wall of the room",
                "Door: clear width",
                "Heard at the seat, air and outside together",
                "Heard next door: worst octave over target",
                "Resonance of the leaves",
                "Walls: lost to a middle cavity, 63 to 160 Hz",
            },
        ),
        (
            {
                "Load hung from the structure above": {"ceiling_fixing": "isolation clips", "ceiling_capacity": 0},
                "Outer door opens in the space before it": {"door_clear": 30},
                "Walls and ceiling left as they are": {"wall_d_plan": "as it is"},
                "Walls: lost to a middle cavity, 63 to 160 Hz": {"wall_board": "stays", "wall_fill": "filled"},
                "Window: its gap fits the depth of the walls": {"window_gap": 14},
                "Door: inner door, or the single one, reaches its mass": {"slab_mass": 30},
                "Air: enough for the people inside": {"people": 6, "airflow_chosen": 30},
                "Baffle boxes find place on a wall of the room": {"baffle_length": 200, "baffle_most_length": 240},
            },
            {
                "CO2 at the end of the longest session",
                "CO2, highest of the day",
                "Ceiling: lost to a middle cavity, 63 to 160 Hz",
                "Condensation: dew point of the room below its supply air",
                "Cooling that the room needs, within the unit's",
                "Heard at the seat, air and outside together",
                "Heard inside from outside: worst octave over target",
                "Heard next door: worst octave over target",
                "Humidity of the room",
                "Isolation of the room",
                "Resonance of the leaves",
            },
        ),
        (
            {
                "Door or window in a wall left as it is": {"wall_a_plan": "as it is"},
            },
            {
                "Heard at the seat, air and outside together",
                "Heard inside from outside: worst octave over target",
                "Heard next door: worst octave over target",
                "Isolation of the room",
                "Walls and ceiling left as they are",
            },
        ),
        (
            {
                "Ceiling: lost to a middle cavity, 63 to 160 Hz": {
                    "ceiling_fixing": "resilient channels",
                    "clip_depth": 0.5,
                },
                "Sound through the window, of all": {
                    "pane_far": "Glass 3 mm",
                    "pane_near": None,
                    "new_pane": "Glass 3 mm",
                    "window_gap": 1,
                    "window_width": 60,
                },
            },
            {
                "Heard at the seat, air and outside together",
                "Heard inside from outside: worst octave over target",
                "Heard next door: worst octave over target",
                "Isolation of the room",
                "Window: gap to the new pane",
            },
        ),
        (
            {
                "Converted against found, least gain 63 to 160 Hz": {
                    "wall_board": "stays",
                    "wall_fixing": "isolation clips",
                    "ceiling_fixing": "isolation clips",
                    "clip_depth": 2,
                    "wall_gap": 6,
                    "wall_near_count_1": 3,
                    "inner_material_1": "Gypsum board 1/2 in",
                    "inner_count_1": 1,
                },
            },
            {
                "Cavity behind the new wall leaf",
                "Ceiling: lost to a middle cavity, 63 to 160 Hz",
                "Door: heaviest door",
                "Heard at the seat, air and outside together",
                "Heard inside from outside: worst octave over target",
                "Heard next door: worst octave over target",
                "Isolation of the room",
                "Resonance of the leaves",
                "Walls: lost to a middle cavity, 63 to 160 Hz",
            },
        ),
        (
            {
                "Sound through the doors, of all": {"seal_share": 0, "door_gap": 0.5},
            },
            {
                "Heard at the seat, air and outside together",
                "Heard inside from outside: worst octave over target",
                "Heard next door: worst octave over target",
                "Isolation of the room",
            },
        ),
        (
            {
                "Sound through holes and boxes, of all": {"hole_sealed": 0, "mic_connectors": 40},
            },
            {
                "Heard at the seat, air and outside together",
                "Heard inside from outside: worst octave over target",
                "Heard next door: worst octave over target",
                "Isolation of the room",
            },
        ),
    ],
}
"""By template: rules with what breaks each, those of one workbook together, which have nothing to do with each other; and the rules that fail with them."""


@cache
def advice(name, group):
    """What each check that fails advises once all of a group are broken, by its rule: calculated once for both tests."""
    breached, _ = BROKEN[name][group]
    return advice_after(name, together_broken(breached))


GROUPS = [(name, group) for name, groups in BROKEN.items() for group in range(len(groups))]


@pytest.mark.parametrize(
    ("name", "group", "rule"), [(name, group, rule) for name, group in GROUPS for rule in BROKEN[name][group][0]]
)
def test_a_rule_broken_fails_and_says_what_to_do(name, group, rule):
    assert advice(name, group)[rule]


@pytest.mark.parametrize(("name", "group"), GROUPS)
def test_no_rule_fails_but_those_that_are_broken(name, group):
    breached, beside = BROKEN[name][group]
    assert advice(name, group).keys() == {*breached, *beside}


REFUSED = {
    "booth-estimate": [
        ({"room_length": -8}, "room_length is -8 ft: give 3 to 60 ft"),
        ({"room_length": "8 lb"}, "is a mass where a room length is needed"),
        ({"people": 1.5}, "whole number"),
        ({"slab_mass": "3 lb/ft2"}, "is a mass per area where a mass is needed"),
        ({"door_choice": "double"}, "double"),
        ({"nonsense": 1}, "nonsense"),
    ],
    "room-conversion": [
        ({"existing_length": 2}, "existing_length is 2 ft: give 4 to 100 ft"),
        ({"window_gap": "6 lb"}, "is a mass where"),
        ({"wall_board": "gone"}, "gone"),
        ({"door_wall": "E"}, "E"),
    ],
}
"""By template: an input that cannot be, and what is said of it."""


@pytest.mark.parametrize(
    ("name", "changes", "message"), [(name, *refused) for name, rows in REFUSED.items() for refused in rows]
)
def test_a_bad_input_is_refused_in_words(name, changes, message):
    with pytest.raises(InputError, match=message):
        shipped(name, "US").set(changes)
