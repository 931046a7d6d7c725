"""Booth and conversion: each rule broken fails and says what to do, and an input that cannot be is refused."""

import pytest

from stillbook.workbook.job.inputs import InputError
from templates.columns import shipped
from templates.rules import advice_after

BROKEN = {
    "booth-estimate": [
        ({"space_length": 9}, "The shell fits the space: length"),
        ({"space_length": 13, "space_width": 11}, "Working room round the shell"),
        ({"space_length": 14, "space_width": 12}, "Outer door opens in the space left"),
        ({"space_length": 15, "space_width": 12}, "Baffle boxes and their service find room"),
        ({"space_height": 9.5, "box_place": "on top of the shell"}, "Baffle boxes and their service find room"),
        ({"baffle_length": 120}, "Baffle boxes find place on the shell"),
        ({"floor_capacity": 50}, "Load over the footprint"),
        ({"slab_mass": 30}, "Door: inner door, or the single one, reaches its mass"),
        ({"people": 6, "airflow_chosen": 30}, "Air: enough for the people inside"),
        ({"people": 6, "airflow_chosen": 30}, "CO2 at the end of the longest session"),
        ({"cooling_power": 0}, "Cooling that the room needs, within the unit's"),
        ({"duct_width": 6}, "Air speed in the duct"),
        ({"duct_width": 3, "duct_height": 2}, "Air speed anywhere"),
        ({"opening_distance": 3}, "Intake to return, apart"),
        ({"duct_lining": 1}, "Duct lining"),
        ({"filter_loss": 1.5}, "Fan at full speed against the airflow"),
        ({"fan_margin": 15}, "Heard at the seat, air and outside together"),
        ({"baffle_count_1": 1}, "Baffle box: loss of its shell over the leaf's it stands on"),
        ({"baffle_width": 4}, "Air speed in the baffle box"),
        ({"baffle_passes": 5}, "Baffle box fits its space: width"),
        ({"baffle_most_length": 48}, "Baffle box fits its space: length"),
        ({"baffle_most_height": 12}, "Baffle box fits its space: height"),
        (
            {"air_source": "outdoors with recovery", "outdoor_temperature": 0},
            "Recovery ventilator: no frost in its core",
        ),
        ({"space_humidity": 0.95}, "Condensation: dew point of the room below its supply air"),
        ({"space_humidity": 0.7}, "Humidity of the room"),
        ({"day_people_1": 4}, "CO2, highest of the day"),
        ({"fan_collar": 3}, "Air speed anywhere"),
        ({"equipment_power": 3000}, "Circuit: current with the continuous factor"),
        ({"door_width": 30}, "Door: clear width"),
        ({"nc_target": 15, "source_level": 110}, "Heard inside from outside: worst octave over target"),
        ({"stc_target": 60}, "Isolation of the room"),
        ({"inside_source": "drums"}, "Heard next door: worst octave over target"),
        ({"inside_source": "amplified rock"}, "Heard outdoors: worst octave over target"),
        ({"hearing_tests": "ISO sound field"}, "Hearing tests: level at the seat over the highest"),
        ({"inner_count_1": 1, "outer_count_1": 1, "frame_gap": 0.25, "stud_depth": 1}, "Resonance of the leaves"),
        ({"hole_sealed": 0, "mic_connectors": 40}, "Sound through holes and boxes, of all"),
        ({"seal_share": 0.5}, "Sound through the doors, of all"),
        ({"inner_material_1": "Plywood 3/4 in"}, "Dip of the inner leaf"),
        ({"outer_count_1": 6}, "Leaves of like mass: lighter over heavier"),
        ({"wall_treatment": 10, "ceiling_treatment": 0}, "Reverberation, 500 Hz and up"),
        ({"ceiling_treatment": 60}, "Treatment fits the walls and the ceiling: taken"),
        ({"room_width": 8, "room_height": 8}, "Room modes: third octaves that are not even"),
        ({"leaf_boxes": 2}, "Boxes cut into an isolating leaf"),
        ({"leaf_boxes": 6, "hole_sealed": 0.5}, "Sound through holes and boxes, of all"),
        ({"treatment_depth": 2}, "Boxes fit the depth of the treatment wall"),
        ({"connector_pitch": 1}, "Connectors: metal left between the holes of the plate"),
        ({"line_label": "MIC"}, "Connectors: labels given twice or missing"),
        ({"power_apart": 1}, "Power from audio and data"),
        ({"deposit_share": 0.8}, "Payments before completion, of the price"),
    ],
    "room-conversion": [
        ({"existing_height": 7.5}, "Room height left"),
        ({"existing_length": 5, "existing_width": 5, "door_width": 24}, "Share of the floor left"),
        ({"floor_capacity": 10}, "Load added to the floor"),
        ({"ceiling_fixing": "isolation clips", "ceiling_capacity": 0}, "Load hung from the structure above"),
        ({"door_clear": 30}, "Outer door opens in the space before it"),
        ({"wall_d_plan": "as it is"}, "Walls and ceiling left as they are"),
        ({"wall_a_plan": "as it is"}, "Door or window in a wall left as it is"),
        ({"wall_board": "stays", "stud_depth": 2}, "Cavity behind the new wall leaf"),
        ({"wall_board": "stays", "wall_fill": "filled"}, "Walls: lost to a middle cavity, 63 to 160 Hz"),
        (
            {"ceiling_fixing": "resilient channels", "clip_depth": 0.5},
            "Ceiling: lost to a middle cavity, 63 to 160 Hz",
        ),
        (
            {
                "wall_board": "stays",
                "wall_fixing": "isolation clips",
                "ceiling_fixing": "isolation clips",
                "clip_depth": 2,
                "wall_gap": 6,
                "wall_near_count_1": 3,
                "inner_material_1": "Gypsum board 1/2 in",
                "inner_count_1": 1,
            },
            "Converted against found, least gain 63 to 160 Hz",
        ),
        ({"window_gap": 2}, "Window: gap to the new pane"),
        ({"window_gap": 14}, "Window: its gap fits the depth of the walls"),
        (
            {
                "pane_far": "Glass 3 mm",
                "pane_near": None,
                "new_pane": "Glass 3 mm",
                "window_gap": 1,
                "window_width": 60,
            },
            "Sound through the window, of all",
        ),
        ({"slab_mass": 30}, "Door: inner door, or the single one, reaches its mass"),
        ({"seal_share": 0, "door_gap": 0.5}, "Sound through the doors, of all"),
        ({"hole_sealed": 0, "mic_connectors": 40}, "Sound through holes and boxes, of all"),
        ({"nc_target": 15, "source_level": 110}, "Heard inside from outside: worst octave over target"),
        ({"people": 6, "airflow_chosen": 30}, "Air: enough for the people inside"),
        ({"deposit_share": 0.8}, "Payments before completion, of the price"),
        ({"box_clear": 12}, "Baffle boxes and their service find room"),
        ({"baffle_length": 200, "baffle_most_length": 240}, "Baffle boxes find place on a wall of the room"),
    ],
}
"""By template: inputs changed, and the rule that they break."""


@pytest.mark.parametrize(
    ("name", "changes", "rule"), [(name, *broken) for name, rows in BROKEN.items() for broken in rows]
)
def test_a_rule_broken_fails_and_says_what_to_do(name, changes, rule):
    assert advice_after(name, changes)[rule]


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
