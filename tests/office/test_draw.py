"""Drawings as files: read back by a library, they are full size, a layer for each trade, dimensions as dimensions."""

import math
from xml.etree import ElementTree

import ezdxf
import pytest

from stillbook.office.draw import draw
from stillbook.templates.shipped import template
from stillbook.workbook import WorkbookError
from stillbook.workbook.job.estimate import Job
from stillbook.workbook.job.lines import column

SIZES = {
    "US": {
        "room_length": 9.5,
        "room_width": 7,
        "room_height": 7.5,
        "space_length": 13,
        "space_width": 18,
        "space_height": 9.5,
    },
    "SI": {
        "room_length": 2.9,
        "room_width": 2.1,
        "room_height": 2.3,
        "space_length": 4,
        "space_width": 5.5,
        "space_height": 2.9,
    },
}
SMALL = {"US": (12, 1), "SI": (1000, 4)}
"""Small units in a large one, and the code of the small unit in the header of a DXF file: 1 inches, 4 millimetres."""


def typed(path, name, system, changes):
    """A template with inputs typed, saved without being calculated, which drawing it does."""
    job = Job.open(template(name).path(system))
    job.set(changes)
    path.write_bytes(job.package.to_bytes())
    return path


@pytest.fixture(
    scope="module", params=[(name, system) for name in ("quick-quote", "booth-estimate") for system in SIZES]
)
def drawn(request, tmp_path_factory):
    """A template with sizes, its unit system, and the folder of its drawings."""
    name, system = request.param
    folder = tmp_path_factory.mktemp("drawn")
    job = typed(folder / "job.xlsx", name, system, SIZES[system])
    draw(job, folder / "job.dxf")
    draw(job, folder / "job.svg")
    return system, folder


def box(entity):
    """Width and height of a polyline."""
    across, up = zip(*(point[:2] for point in entity.get_points()), strict=True)
    return max(across) - min(across), max(up) - min(up)


def test_it_is_full_size_in_small_units(drawn):
    system, folder = drawn
    small, unit = SMALL[system]
    document = ezdxf.readfile(folder / "job.dxf")
    assert document.units == unit
    size = SIZES[system]
    shell = [box(line) for line in document.modelspace().query('LWPOLYLINE[layer=="SHELL"]')]
    room = (size["room_length"] * small, size["room_width"] * small)
    assert any(found == pytest.approx(room, abs=1e-4) for found in shell), shell
    space = [box(line) for line in document.modelspace().query('LWPOLYLINE[layer=="SPACE"]')]
    assert any(
        found == pytest.approx((size["space_length"] * small, size["space_width"] * small), abs=1e-4) for found in space
    )


def test_its_dimensions_are_dimensions_and_measure_what_they_say(drawn):
    system, folder = drawn
    small, _ = SMALL[system]
    document = ezdxf.readfile(folder / "job.dxf")
    assert not document.audit().errors
    found = list(document.modelspace().query("DIMENSION"))
    assert len(found) >= 4
    for entity in found:
        number, unit = entity.dxf.text.split()[:2]
        each = small if unit in ("ft", "m") else 1
        assert entity.get_measurement() == pytest.approx(float(number) * each, abs=0.051 * each), entity.dxf.text


def test_each_trade_has_its_layer(drawn):
    _, folder = drawn
    document = ezdxf.readfile(folder / "job.dxf")
    used = {entity.dxf.layer for entity in document.modelspace()}
    assert {"SHELL", "WOOL", "DOORS", "AIR", "SPACE", "DIMENSIONS", "WORDS"} <= used


def test_the_plates_of_a_booth_have_their_holes_full_size(tmp_path):
    changes = {**SIZES["SI"], "mic_connectors": 10, "mic_hole": 30, "power_connectors": 2}
    draw(typed(tmp_path / "job.xlsx", "booth-estimate", "SI", changes), tmp_path / "job.dxf")
    space = ezdxf.readfile(tmp_path / "job.dxf").modelspace()
    sizes = [box(line) for line in space.query('LWPOLYLINE[layer=="PANELS"]')]
    flat = math.cos(math.pi / 8)  # eight sides for a circle, a flat one on each hand
    assert sum(size == pytest.approx((30 * flat, 30 * flat), abs=0.02) for size in sizes) == 10
    assert sum(size == pytest.approx((24 * flat, 24 * flat), abs=0.02) for size in sizes) == 2 + 2 + 1 + 1 + 2
    assert any(size == pytest.approx((9 * 32, 3.5 * 32), abs=0.02) for size in sizes), "a plate of two rows of eight"
    words = {entity.dxf.text for entity in space.query("TEXT")}
    assert {"MIC 1", "MIC 10", "LINE 2", "DISP 1", "PWR 2"} <= words
    assert not {"MIC 11", "PWR 3"} & words


@pytest.mark.parametrize(
    ("wall", "outer", "inner"),
    [
        ("Three boards on each frame, filled", "3 × Gypsum board 5/8 in type X", "3 × Gypsum board 5/8 in type X"),
        (None, "1 × Plywood 3/4 in", "2 × Gypsum board 1/2 in"),
    ],
)
def test_a_wall_is_drawn_with_the_boards_that_count(tmp_path, wall, outer, inner):
    job = Job.open(template("booth-estimate").path("US"))
    own = {"inner_material_1": "Gypsum board 1/2 in", "inner_count_1": 2, "outer_material_1": "Plywood 3/4 in"}
    job.set({"wall": wall, **({} if wall else own | {"outer_count_1": 1})})
    job.calculate()
    thickness = job.package.value(*cell(job, "shell_thickness"))
    job.save(tmp_path / "job.xlsx")
    views = {view.name: view for view in draw(tmp_path / "job.xlsx", tmp_path / "job.dxf")}
    words = {line.what: line.words for line in views["wall"].lines if line.words}
    assert (words["Outer leaf, layer 1, name"], words["Inner leaf, layer 1, name"]) == (outer, inner)
    assert float(words["Wall, all together"].removesuffix(" in")) == pytest.approx(thickness, abs=0.051)


def test_the_page_is_svg_with_lines(drawn):
    _, folder = drawn
    root = ElementTree.parse(folder / "job.svg").getroot()
    assert root.tag.endswith("svg")
    assert len(list(root.iter("{http://www.w3.org/2000/svg}path"))) > 5


def test_a_job_with_a_failing_check_is_drawn_as_a_draft(tmp_path):
    job = Job.open(template("quick-quote").path("US"))
    job.set({**SIZES["US"], "stc_target": 80})
    denied = len(job.calculate().denied)
    job.save(tmp_path / "job.xlsx")
    draw(tmp_path / "job.xlsx", tmp_path / "job.dxf")
    words = [entity.dxf.text for entity in ezdxf.readfile(tmp_path / "job.dxf").modelspace().query("TEXT")]
    assert denied > 1
    assert f"DRAFT: {denied} checks fail" in words


@pytest.mark.parametrize(("system", "small"), [("US", 12), ("SI", 1000)])
def test_the_conversion_is_drawn_with_its_window_and_its_wall(tmp_path, system, small):
    job = Job.open(template("room-conversion").path(system))
    length, width = (job.package.value(*cell(job, name)) for name in ("room_length", "room_width"))
    views = {view.name: view for view in draw(job.path, tmp_path / "job.dxf")}
    assert set(views) == {"plan", "section", "wall", "ducts", "plate"}
    document = ezdxf.readfile(tmp_path / "job.dxf")
    assert not document.audit().errors
    used = {entity.dxf.layer for entity in document.modelspace()}
    assert {"SHELL", "WOOL", "DOORS", "AIR", "SPACE", "WINDOWS", "FRAMING", "DIMENSIONS", "WORDS"} <= used
    shell = [box(line) for line in document.modelspace().query('LWPOLYLINE[layer=="SHELL"]')]
    room = (length * small, width * small)
    assert any(found == pytest.approx(room, abs=1e-4) for found in shell)
    words = {line.what: line.words for line in views["wall"].lines if line.words}
    assert {"Outside", "Inside", "New leaf, layer 1, name", "Far leaf as found, layer 1, name"} <= set(words)


@pytest.mark.parametrize("wall", ["A", "B", "C", "D"])
def test_the_window_and_the_door_stand_in_their_walls(tmp_path, wall):
    job = typed(tmp_path / "job.xlsx", "room-conversion", "US", {"window_wall": wall, "door_wall": wall})
    plan = next(view for view in draw(job, tmp_path / "job.dxf") if view.name == "plan")
    room = next(line.points for line in plan.lines if line.what == "Walls as found, inside")
    edges = {"A": (1, min), "C": (1, max), "B": (0, max), "D": (0, min)}
    axis, end = edges[wall]
    inner = end(point[axis] for point in room)
    sign = 1 if end is max else -1
    for what, outward in (
        ("Window, pane as found", 1),
        ("Window, new pane", -1),
        ("Outer door", 1),
        ("Inner door", -1),
    ):
        places = next(line.points for line in plan.lines if line.what == what)
        assert all((point[axis] - inner) * sign * outward > 0 for point in places), what


def test_a_single_door_has_no_second_leaf_and_a_box_without_a_place_is_marked(tmp_path):
    changes = {"door_choice": "single", "box_clear": 6, "window_width": 0}
    job = typed(tmp_path / "job.xlsx", "room-conversion", "US", changes)
    plan = next(view for view in draw(job, tmp_path / "job.dxf") if view.name == "plan")
    seen = {line.what for line in plan.lines if line.seen}
    assert "Air boxes without a place" in seen
    assert not {"Air boxes", "Inner door", "Window, new pane"} & seen


@pytest.mark.parametrize("system", SIZES)
def test_one_door_of_a_schedule_is_drawn_full_size(tmp_path, system):
    job = Job.open(template("door-schedule").path(system))
    job.set({"drawn_mark": "D02"})
    job.calculate()
    width, height = (job.package.value(*cell(job, name)) for name in ("drawn_width", "drawn_height"))
    job.save(tmp_path / "job.xlsx")
    (view,) = draw(tmp_path / "job.xlsx", tmp_path / "job.dxf")
    document = ezdxf.readfile(tmp_path / "job.dxf")
    leaves = [box(line) for line in document.modelspace().query('LWPOLYLINE[layer=="DOORS"]')]
    assert any(found == pytest.approx((width, height), abs=1e-4) for found in leaves)
    assert [line.words for line in view.lines if line.what == "Slab, name"]


def cell(job, name):
    """Sheet, row and column of a named cell."""
    sheet, area = column(job.package, name)
    return sheet, area.first_row, area.first_column


def test_words_stand_beside_lines_and_not_on_them(drawn):
    """No word of a drawing begins or is centred on the line it is said of, but in its box or between two plates."""
    _, folder = drawn
    document = ezdxf.readfile(folder / "job.dxf")
    words = [entity for entity in document.modelspace().query("TEXT") if not entity.dxf.text.startswith("DRAFT")]
    placed = {entity.dxf.text: entity.get_placement()[0].name for entity in words}
    centred = {text for text, align in placed.items() if align == "MIDDLE_CENTER"}
    assert {text for text in centred if not text.endswith("apart at least")} <= {"air", "room"}


@pytest.mark.parametrize(
    ("name", "target", "says"),
    [
        ("air-schedule", "x.dxf", "this workbook has no drawing"),
        ("booth-estimate", "x.pdf", "give a file name that ends in .dxf or .svg"),
    ],
)
def test_what_cannot_be_drawn_is_told(tmp_path, name, target, says):
    with pytest.raises(WorkbookError, match=says):
        draw(template(name).path("US"), tmp_path / target)
    assert not list(tmp_path.iterdir())


def test_a_file_that_is_there_stays(tmp_path):
    (tmp_path / "x.dxf").write_text("mine")
    with pytest.raises(WorkbookError):
        draw(template("quick-quote").path("US"), tmp_path / "x.dxf")
    assert (tmp_path / "x.dxf").read_text() == "mine"
