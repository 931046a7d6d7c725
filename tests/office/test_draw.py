"""Drawings as files: read back by a library, they are full size, a layer for each trade, dimensions as dimensions."""

import math
from xml.etree import ElementTree

import ezdxf
import pytest

from stillbook.office.draw import draw
from stillbook.templates.shipped import template
from stillbook.workbook import WorkbookError
from stillbook.workbook.job.estimate import Job

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


@pytest.fixture(
    scope="module", params=[(name, system) for name in ("quick-quote", "booth-estimate") for system in SIZES]
)
def drawn(request, tmp_path_factory):
    """A template with sizes, its unit system, and the folder of its drawings."""
    name, system = request.param
    folder = tmp_path_factory.mktemp("drawn")
    job = Job.open(template(name).path(system))
    job.set(SIZES[system])
    job.calculate()
    job.save(folder / "job.xlsx")
    draw(folder / "job.xlsx", folder / "job.dxf")
    draw(folder / "job.xlsx", folder / "job.svg")
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
    _, folder = drawn
    document = ezdxf.readfile(folder / "job.dxf")
    assert not document.audit().errors
    found = list(document.modelspace().query("DIMENSION"))
    assert len(found) >= 4
    for entity in found:
        said, unit = entity.dxf.text.split()[:2]
        small = {"in": 1, "ft": 12, "mm": 1, "m": 1000}[unit]
        assert entity.get_measurement() == pytest.approx(float(said) * small, abs=0.05 * small), entity.dxf.text


def test_each_trade_has_its_layer(drawn):
    _, folder = drawn
    document = ezdxf.readfile(folder / "job.dxf")
    used = {entity.dxf.layer for entity in document.modelspace()}
    assert {"SHELL", "WOOL", "DOORS", "AIR", "SPACE", "DIMENSIONS", "WORDS"} <= used


def test_the_plates_of_a_booth_have_their_holes_full_size(tmp_path):
    job = Job.open(template("booth-estimate").path("SI"))
    job.set({**SIZES["SI"], "mic_connectors": 10, "mic_hole": 30, "power_connectors": 2})
    job.save(tmp_path / "job.xlsx")
    draw(tmp_path / "job.xlsx", tmp_path / "job.dxf")
    space = ezdxf.readfile(tmp_path / "job.dxf").modelspace()
    sizes = [box(line) for line in space.query('LWPOLYLINE[layer=="PANELS"]')]
    flat = math.cos(math.pi / 8)  # eight sides for a circle, a flat one on each hand
    assert sum(size == pytest.approx((30 * flat, 30 * flat), abs=0.02) for size in sizes) == 10
    assert sum(size == pytest.approx((24 * flat, 24 * flat), abs=0.02) for size in sizes) == 2 + 2 + 1 + 1 + 2
    assert any(size == pytest.approx((9 * 32, 3.5 * 32), abs=0.02) for size in sizes), "a plate of two rows of eight"
    words = {entity.dxf.text for entity in space.query("TEXT")}
    assert {"MIC 1", "MIC 10", "LINE 2", "DISP 1", "PWR 2"} <= words
    assert not {"MIC 11", "PWR 3"} & words


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


@pytest.mark.parametrize(
    ("name", "target", "says"),
    [
        ("door-schedule", "x.dxf", "this workbook has no drawing"),
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
