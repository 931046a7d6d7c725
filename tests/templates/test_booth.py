"""The booth estimate: its numbers against plain arithmetic, its inputs, its checks, and the shipped files."""

import math

import openpyxl
import pytest

from stillbook.catalogue import call
from stillbook.quantities import SYSTEMS
from stillbook.templates import booth
from stillbook.templates.build import BUILDERS, build, settled
from stillbook.templates.shipped import folder, template
from stillbook.workbook.address import Area
from stillbook.workbook.inputs import InputError
from stillbook.workbook.job import Job
from stillbook.workbook.sheet import Change

JOB = {
    "client": "Invented client",
    "project": "Invented room",
    "estimate_date": "2026-03-02",
    "floor_capacity": "100 lb/ft²",
}


def shipped(system):
    return Job.open(template("booth-estimate").path(system))


def numbers(job):
    """Every named cell's value by name, after calculation."""
    job.calculate()
    found = {}
    for name in job.package.names:
        if name.cells and name.cells[1].rows == name.cells[1].columns == 1:
            sheet, area = name.cells
            found[name.name] = job.package.value(sheet, area.first_row, area.first_column)
    return found


@pytest.fixture(scope="module")
def us():
    return numbers(shipped("US"))


# A room of 8 × 6 × 7.5 ft inside, two layers of 5/8 in board (2.2 lb/ft², 5/8 in) on each of two frames of 3-1/2 in
# studs 1 in apart, on two layers of 3/4 in plywood. Arithmetic by hand; facts of the trade: common practice, no source.
SHELL = [
    ("inner_mass", 4.4),
    ("outer_mass", 4.4),
    ("deck_mass", 4.4),
    ("inner_thickness", 1.25),
    ("cavity", 2 * 3.5 + 1),
    ("shell_thickness", 1.25 + 8 + 1.25),
    ("outside_length", 8 + 2 * 10.5 / 12),
    ("outside_width", 6 + 2 * 10.5 / 12),
    ("outside_height", 7.5 + (10.5 + 1.5) / 12),
    ("room_volume", 8 * 6 * 7.5),
    ("door_area", 20.0),
    ("inner_wall_area", 2 * (8 + 6) * 7.5 - 20),
    ("outer_wall_area", 2 * (9.75 + 7.75) * 8.5 - 20),
    ("footprint", 9.75 * 7.75),
]
DOORS = [
    ("door_arrangement", "pair"),
    ("inner_door_least", math.ceil(4.4 * 20 * 1.05)),
    ("single_door_least", math.ceil(8.8 * 20 * 1.05)),
    ("inner_short", 93 - 60),
    ("single_short", 185 - 60),
    ("inner_door_mass", 60 + 2.2 * 20),
    ("doors_mass", 2 * (60 + 2.2 * 20)),
    ("pair_hinges", 3),
]
AIR = [
    ("airflow_people", 2 * 15),
    ("airflow_code", (10 * 2 + 0.06 * 48) / 0.8),
    ("airflow", 30.0),
    ("air_changes", 30 * 60 / 360),
    ("heat_gain", 2 * 245 + 190 * 3.412142),
    ("rise_air_alone", (2 * 245 + 190 * 3.412142) / (1.08 * 30)),
    ("cooling_airflow", (2 * 245 + 190 * 3.412142) / (1.08 * 12)),
]
DUCTS = [
    ("duct_area", 30 / 100 * 144),
    ("duct_round", 8.0),
    ("speed_duct", 30 / (8 * 6 / 144)),
    ("speed_round", 30 / (math.pi / 4 * (8 / 12) ** 2)),
    ("speed_grille", 30 / (14 * 8 / 144) / 0.7),
    ("duct_outer_width", 8 + 2 * 1.5),
    ("circuit_amps", 190 * 1.25 / 120),
    ("hole_size", math.sqrt(2 * 0.35**2 / 0.31)),
]


# Absorption by hand at 500 Hz: 62 ft² of 0.86, 146 + 30 of 0.06, 48 of 0.57, 20 of 0.06; Sabine with 0.049 s/ft is
# 0.04908 at 343.2 m/s. Boxes: 7 of 4 × 4 × 2-1/8 in, 50 in² each, one pad of 7-1/4 in each. NEC 314.16(B): 8 × 2.25 in³.
MIDDLE = 62 * 0.86 + (146 + 30) * 0.06 + 48 * 0.57 + 20 * 0.06
INSIDE = [
    ("longest_time", 0.161020 * 0.3048 * 360 / MIDDLE),
    ("more_treatment", 0.0),
    ("modal_limit", 2000 * math.sqrt(0.161020 * 0.3048 * 360 / MIDDLE / (360 * 0.3048**3))),
    ("floor_left", (8 - 8 / 12) * (6 - 8 / 12)),
    ("uneven_bands", 0.0),
    ("box_count", 7.0),
    ("putty_count", 7.0),
    ("box_needs", 18.0),
    ("boxes_leak", 0.0),
]


@pytest.mark.parametrize(("name", "value"), SHELL + DOORS + AIR + DUCTS + INSIDE)
def test_a_number_is_what_plain_arithmetic_gives(us, name, value):
    assert us[name] == (value if isinstance(value, str) else pytest.approx(value, rel=1e-6))


def test_the_weight_on_the_floor_adds_up(us):
    skins = us["inner_wall_area"] + 48 + us["outer_wall_area"] + us["footprint"]
    boards = 4.4 * (skins + us["footprint"])
    wool, frames = skins * 0.624, skins * 1.2
    inside = 208 + 160 + 200 + 2 * 175 + 1.5 * (44 + 18)
    assert us["total_mass"] == pytest.approx(boards + wool + frames + inside, rel=1e-3)
    assert us["floor_load"] == pytest.approx(us["total_mass"] / us["footprint"])


def lines(job):
    """Rows of the Price sheet's lines as dictionaries by heading."""
    rows = job.package.rows("Price", Area(1, 2, 200, 12))
    head = next(index for index, row in enumerate(rows) if "Line cost" in row)
    titles = rows[head]
    return [
        dict(zip(titles, row, strict=True))
        for row in rows[head + 1 :]
        if isinstance(row[titles.index("Line cost")], float)
    ]


@pytest.mark.parametrize("system", SYSTEMS)
def test_the_price_follows_from_its_lines(system):
    job = shipped(system)
    values = numbers(job)
    counted = [line for line in lines(job) if line["Counts"] == 1]
    for line in counted:
        assert line["Material"] == pytest.approx(line["Quantity"] * line["Unit cost"])
        assert line["Line cost"] == pytest.approx(line["Material"] + line["Labour"])
    direct = sum(line["Line cost"] for line in counted)
    cost = direct * 1.12 * 1.05
    assert values["direct_cost"] == pytest.approx(direct)
    assert values["total_cost"] == pytest.approx(cost)
    assert values["price_before_tax"] == pytest.approx(cost / (1 - 0.2))
    assert values["price"] == pytest.approx(cost / 0.8 * (1 if system == "US" else 1.2))
    assert values["margin_amount"] == pytest.approx(values["price_before_tax"] * 0.2)
    assert values["material_cost"] + values["labour_cost"] == pytest.approx(direct)
    assert values["price_pair"] == pytest.approx(values["price"])
    assert values["price_single"] != values["price"]


# Whole sheets of 4 × 8 ft: area × layers × 1.15 / 32, rounded up.
ORDERS = [
    ("Gypsum board 5/8 in type X", 0, math.ceil(238 * 2 * 1.15 / 32)),
    ("Gypsum board 5/8 in type X", 1, math.ceil((277.5 + 9.75 * 7.75) * 2 * 1.15 / 32)),
    ("Plywood 3/4 in", 0, math.ceil(9.75 * 7.75 * 2 * 1.15 / 32)),
    ("SLAB", 0, 2),
    ("HINGE", 0, 6),
    ("DUCT", 0, math.ceil(24 * 1.1)),
    ("SLEEVE", 0, 4),
]


@pytest.mark.parametrize(("code", "which", "quantity"), ORDERS)
def test_the_order_is_in_whole_pieces(code, which, quantity):
    job = shipped("US")
    job.calculate()
    assert [line["Quantity"] for line in lines(job) if line["Code"] == code][which] == quantity


def test_choosing_one_heavy_door_gives_its_price_and_its_mass():
    job = shipped("US")
    before = numbers(job)
    job.set({"door_choice": "single"})
    after = numbers(job)
    assert after["price"] == pytest.approx(before["price_single"])
    assert after["price_pair"] == pytest.approx(before["price"])
    assert after["doors_mass"] == pytest.approx(60 + 3 * 2.926 * 20, rel=1e-3)


CHANGES = [
    ({"people": 4}, "airflow", 60.0),
    ({"room_length": "10 ft"}, "outside_length", 11.75),
    ({"room_length": "3 m"}, "outside_length", 3 / 0.3048 + 1.75),
    ({"inner_count_1": 3}, "inner_mass", 6.6),
    ({"inner_material_2": "2.5 lb/ft²", "inner_count_2": 1, "inner_thickness_2": 0.1}, "inner_mass", 6.9),
    ({"door_width": 30}, "inner_door_least", math.ceil(4.4 * 30 * 80 / 144 * 1.05)),
    ({"airflow_chosen": "20 L/s"}, "airflow", 20 / 0.4719474432),
    ({"margin": "25%"}, "margin_amount", None),
]


@pytest.mark.parametrize(("changes", "name", "value"), CHANGES)
def test_an_input_changed_moves_what_depends_on_it(us, changes, name, value):
    job = shipped("US")
    job.set(changes)
    found = numbers(job)
    if value is None:
        assert found["price_before_tax"] == pytest.approx(us["total_cost"] / 0.75)
    else:
        assert found[name] == pytest.approx(value, rel=1e-9)


REFUSED = [
    ({"room_length": -8}, "room_length is -8 ft: give 3 to 60 ft"),
    ({"room_length": "8 lb"}, "is a mass where a room length is needed"),
    ({"people": 1.5}, "whole number"),
    ({"slab_mass": "3 lb/ft2"}, "is a mass per area where a mass is needed"),
    ({"door_choice": "double"}, "double"),
    ({"nonsense": 1}, "nonsense"),
]


@pytest.mark.parametrize(("changes", "message"), REFUSED)
def test_a_bad_input_is_refused_in_words(changes, message):
    job = shipped("US")
    with pytest.raises(InputError, match=message):
        job.set(changes)


def test_an_unknown_material_is_an_error_with_its_reason_and_no_price():
    job = shipped("US")
    job.set({"inner_material_1": "Gypsum bord 5/8 in"})
    report = job.calculate()
    assert any("is not in the table" in error.reason for error in report.errors)
    price = next(result for result in report.results if result.name == "price")
    assert not isinstance(price.value, float)


FAILS = [
    ({"space_length": 9}, "The shell fits the space: length"),
    ({"floor_capacity": 50}, "Load over the footprint"),
    ({"slab_mass": 30}, "Door: inner door, or the single one, reaches its mass"),
    ({"people": 6, "airflow_chosen": 30}, "Air: at least the people's"),
    ({"people": 6, "airflow_chosen": 30}, "CO2 at the end of the longest session"),
    ({"cooling_power": 0}, "Heat left after the air, within the cooling"),
    ({"duct_width": 6}, "Air speed in the duct"),
    ({"duct_width": 3, "duct_height": 2}, "Air speed anywhere"),
    ({"opening_distance": 3}, "Intake to return, apart"),
    ({"duct_lining": 1}, "Duct lining"),
    ({"fan_pressure": 0.05}, "Fan against the pressure of the way"),
    ({"equipment_power": 3000}, "Circuit: amps with the continuous factor"),
    ({"door_width": 30}, "Door: clear width"),
    ({"nc_target": 15, "source_level": 110}, "Heard inside over the target, dB"),
    ({"inner_count_1": 1, "outer_count_1": 1, "frame_gap": 0.25, "stud_depth": 1}, "Resonance of the leaves, Hz"),
    ({"hole_sealed": 0, "hole_count": 4}, "Sound through holes and boxes, share of all"),
    ({"seal_share": 0.5}, "Sound through the doors, share of all"),
    ({"inner_material_1": "Plywood 3/4 in"}, "Dip of the inner leaf, Hz"),
    ({"outer_count_1": 6}, "Leaves of like mass: lighter over heavier"),
    ({"wall_treatment": 10, "ceiling_treatment": 0}, "Reverberation, 500 Hz and up, over the target, s"),
    ({"ceiling_treatment": 60}, "Treatment fits the walls and the ceiling, share"),
    ({"room_width": 8, "room_height": 8}, "Room modes: third octaves that are not even"),
    ({"leaf_boxes": 2}, "Boxes cut into an isolating leaf"),
    ({"leaf_boxes": 6, "hole_sealed": 0.5}, "Sound through holes and boxes, share of all"),
    ({"treatment_depth": 2}, "Boxes fit the depth of the treatment wall"),
    ({"hole_count": 1}, "Holes: power apart from audio and data"),
    ({"power_apart": 1}, "Power from audio and data"),
    ({"deposit_share": 0.8}, "Payments add up to no more than the price"),
]


@pytest.mark.parametrize(("changes", "rule"), FAILS)
def test_a_rule_broken_fails_and_says_what_to_do(changes, rule):
    job = shipped("US")
    job.set(changes)
    failed = {check.rule: check.advice for check in job.calculate().failed}
    assert failed[rule]


@pytest.mark.parametrize("system", SYSTEMS)
def test_the_shipped_estimate_waits_for_its_client_and_fails_nothing(system):
    job = shipped(system)
    report = job.calculate()
    assert report.errors == ()
    waiting = {check.rule: check.state for check in report.checks if check.state != "passes"}
    assert waiting == {"Client, project and date are filled in": "waits", "Load over the footprint": "waits"}
    job.set(JOB)
    assert {check.state for check in job.calculate().checks} == {"passes"}


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("name", BUILDERS)
def test_the_shipped_file_is_what_the_builder_builds(tmp_path, name, system):
    built = build(name, system, tmp_path)
    assert built.read_bytes() == (folder() / built.name).read_bytes()


@pytest.mark.parametrize("system", SYSTEMS)
def test_building_twice_gives_the_same_bytes(system):
    assert settled(booth.build(system)) == settled(booth.build(system))


@pytest.mark.parametrize("system", SYSTEMS)
def test_every_formula_cell_has_its_value_beside_it(system):
    path = template("booth-estimate").path(system)
    formulas = openpyxl.load_workbook(path)
    values = openpyxl.load_workbook(path, data_only=True)
    seen = 0
    for sheet in formulas:
        for row in sheet.iter_rows():
            for cell in row:
                if cell.data_type == "f":
                    seen += 1
                    value = values[sheet.title][cell.coordinate].value
                    assert not (isinstance(value, str) and value.startswith("#")), f"{sheet.title}!{cell.coordinate}"
                    assert cell.protection.locked
    assert seen > 1000


@pytest.mark.parametrize("system", SYSTEMS)
def test_every_input_says_what_it_takes(system):
    for name, entry in shipped(system).inputs.items():
        spec = entry.spec
        assert spec.help, name
        assert spec.unit or spec.choices or spec.least is not None or entry.offers, name
        assert spec.default in (None, "") or spec.read(spec.default) == entry.value, name


def test_the_rating_is_what_the_formulas_give_on_the_inputs(us):
    wall = call("WALLTL", 4.4, 4.4, 8, "filled", "separate frames", None, "STC", us["outer_wall_area"])[0]
    assert 50 < us["room_stc"] < call("STCRATING", wall)
    assert us["stc_from_to"] == f"{us['room_stc'] - us['stc_range']:.0f} to {us['room_stc'] + us['stc_range']:.0f}"


def test_a_laboratory_figure_replaces_the_prediction(tmp_path):
    path = tmp_path / "lab.xlsx"
    path.write_bytes(template("booth-estimate").path("US").read_bytes())
    job = Job.open(path)
    row = next(r for r in range(1, 60) if job.package.value("Isolation", r, 2) == "Shell, laboratory figure")
    job.package.write({"Isolation": {(row, 3 + band): Change(40.0) for band in range(16)}})
    report = job.calculate()
    values = numbers(job)
    assert values["lab_used"] == 1
    assert values["wall_stc"] == 40
    waiting = {check.rule for check in report.checks if check.state == "waits"}
    assert "Laboratory figures name their report" in waiting


ABSORPTION = [62 * a + 176 * b + 48 * c + 20 * d for a, b, c, d in zip(
    (0.23, 0.59, 0.86, 0.86, 0.86, 0.86), (0.15, 0.10, 0.06, 0.04, 0.04, 0.05),
    (0.08, 0.24, 0.57, 0.69, 0.71, 0.73), (0.14, 0.10, 0.06, 0.08, 0.10, 0.10), strict=True)]  # fmt: skip


def row_of(job, sheet, label, last=90):
    """The cells of the row with this label, after calculation."""
    return next(row[1:] for row in job.package.rows(sheet, Area(1, 2, last, 10)) if row[0] == label)


def test_what_the_room_absorbs_decides_what_is_heard_inside():
    job = shipped("US")
    job.calculate()
    assert row_of(job, "Room", "Absorption area, ft²")[2:] == pytest.approx(ABSORPTION)
    heard = row_of(job, "Isolation", "Absorption inside, ft²")
    assert heard == pytest.approx([ABSORPTION[0], *ABSORPTION, ABSORPTION[-1]])
    job.set({"room_alpha": 0.2})
    job.calculate()
    assert row_of(job, "Isolation", "Absorption inside, ft²") == pytest.approx([0.2 * 306] * 8)


def test_a_laboratory_s_figures_replace_those_of_the_treatment(tmp_path):
    path = tmp_path / "treated.xlsx"
    path.write_bytes(template("booth-estimate").path("US").read_bytes())
    job = Job.open(path)
    row = next(r for r in range(1, 60) if job.package.value("Room", r, 2) == "Treatment, laboratory figures")
    job.package.write({"Room": {(row, 5 + band): Change(0.5) for band in range(6)}})
    job.calculate()
    treatment = row_of(job, "Room", "Treatment on walls and ceiling")
    assert treatment[0] == "laboratory figures"
    assert list(treatment[2:]) == [0.5] * 6


def test_boxes_in_a_leaf_leak():
    job = shipped("US")
    before = numbers(job)
    job.set({"leaf_boxes": 2})
    after = numbers(job)
    ring = 2 * ((4 + 0.25) ** 2 - 4**2) * 0.02
    assert after["holes_leak"] - before["holes_leak"] == pytest.approx(ring)
    assert after["wall_boxes"] == before["wall_boxes"] - 2


SIZES = [
    {
        "room_length": 60,
        "room_width": 60,
        "room_height": 20,
        "space_length": 300,
        "space_width": 300,
        "space_height": 60,
    },
    {"room_length": 60, "room_width": 4, "room_height": 6.5, "space_length": 300},
    {
        "room_length": 4,
        "room_width": 3.5,
        "room_height": 6,
        "door_width": 28,
        "door_height": 66,
        "treatment_walls_width": 1,
    },
]


@pytest.mark.parametrize("changes", SIZES)
def test_a_room_of_any_size_has_its_modes(changes):
    job = shipped("US")
    job.set(changes)
    report = job.calculate()
    assert [error for error in report.errors if error.sheet == "Room"] == []
    rows = job.package.rows("Room", Area(1, 2, 90, 10))
    listed = [row for row in rows if str(row[0]).startswith(("axial", "tangential", "oblique"))]
    assert len(listed) == 20
    assert [row[1] for row in listed] == sorted(row[1] for row in listed)
    assert [row[4] for row in listed if isinstance(row[4], float)][-1] == 200


def test_text_typed_by_people_never_becomes_a_formula(tmp_path):
    job = shipped("US")
    job.set({"client": "=1+1", "project": "@SUM(A1)", "reference": "-3", "prepared_by": "+x"})
    job.calculate()
    job.save(tmp_path / "typed.xlsx")
    sheet = openpyxl.load_workbook(tmp_path / "typed.xlsx", data_only=True)["Proposal"]
    shown = {cell.value for row in sheet.iter_rows() for cell in row}
    assert {"=1+1", "@SUM(A1)", "-3", "+x"} <= shown
