"""What holds for every shipped template: built again to the same bytes, values beside formulas, inputs in words."""

import hashlib
import os
import re
import subprocess
import sys
import zipfile
from pathlib import Path
from typing import NamedTuple

import openpyxl
import pytest
from lxml import etree
from openpyxl.cell.read_only import ReadOnlyCell

from stillbook.cautions import CAUTIONS
from stillbook.quantities import SYSTEMS
from stillbook.templates import look
from stillbook.templates.build import BUILDERS, build
from stillbook.templates.shipped import TEMPLATES, folder, template
from stillbook.trade.mass.materials import materials
from stillbook.workbook.file.address import split_reference
from stillbook.workbook.file.parts import CHART
from stillbook.workbook.job.checks import read_checks
from stillbook.workbook.job.estimate import Job
from stillbook.workbook.job.interface import interface

EVERY = [pytest.param((entry, system), id=f"{entry.name}-{system}") for entry in TEMPLATES for system in SYSTEMS]
EVERY_BUILDER = [pytest.param((name, system), id=f"{name}-{system}") for name in BUILDERS for system in SYSTEMS]


def test_each_builder_has_its_template_and_each_template_its_builder():
    assert {entry.name.replace("-", "_") for entry in TEMPLATES} == set(BUILDERS)


LONGEST_FORMULA = 8192
"""Letters that a formula may have in desktop Excel."""

KEPT = re.compile(rb"<v>(-?\d+(?:\.\d+)?(?:E[+-]?\d+)?)</v>", re.IGNORECASE)
"""A number kept beside a formula, or for a point of a chart."""


def digest(data: bytes) -> str:
    """A short stand-in for bytes, so that a difference is told at once."""
    return hashlib.sha256(data).hexdigest()


class Contents(NamedTuple):
    """What a workbook file holds.

    Args:
        parts: Name, time and packing of each part in their order.
        texts: A stand-in for each part but for the numbers kept in it, by its name.
        numbers: The numbers kept in each part.
    """

    parts: list[tuple[object, ...]]
    texts: dict[str, str]
    numbers: dict[str, list[float]]

    @classmethod
    def of(cls, path: Path) -> "Contents":
        with zipfile.ZipFile(path) as archive:
            parts = [
                (each.filename, each.date_time, each.compress_type, each.external_attr) for each in archive.infolist()
            ]
            held = {name: archive.read(name) for name in archive.namelist()}
        texts = {name: digest(KEPT.sub(b"<v/>", data)) for name, data in held.items()}
        return cls(
            parts, texts, {name: [float(number) for number in KEPT.findall(data)] for name, data in held.items()}
        )


@pytest.fixture(scope="module", params=EVERY_BUILDER)
def built(request, tmp_path_factory):
    """A template built anew: the name of its builder, its unit system, its path."""
    return *request.param, build(*request.param, tmp_path_factory.mktemp("built"))


def test_the_shipped_file_is_what_the_builder_builds(built):
    """Built again it is the same: the parts of the file, each byte in them, and the kept numbers to 1e-9.

    A number's last digit belongs to the processor: vector units take exponentials and logarithms each in their own way.
    """
    _, _, path = built
    again, once = Contents.of(path), Contents.of(folder() / path.name)
    assert again.parts == once.parts
    assert again.texts == once.texts
    for part, numbers in again.numbers.items():
        assert numbers == pytest.approx(once.numbers[part], rel=1e-9, abs=1e-12), part


def test_another_process_builds_the_same_bytes(tmp_path):
    """Also where sets and dicts are gone through in another order."""
    command = (
        "import sys; from pathlib import Path; from stillbook.templates.build import build;"
        "print(build('quick_quote', 'SI', Path(sys.argv[1])))"
    )
    digests = set()
    for seed in "12":
        (tmp_path / seed).mkdir()
        done = subprocess.run(
            [sys.executable, "-c", command, tmp_path / seed],
            env={**os.environ, "PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
        )
        digests.add(digest(Path(done.stdout.strip()).read_bytes()))
    assert len(digests) == 1


@pytest.fixture(scope="module", params=EVERY)
def shipped(request):
    """A shipped template: what is known of it, its unit system, its sheets with their formulas."""
    entry, system = request.param
    return entry, system, openpyxl.load_workbook(entry.path(system))


@pytest.fixture(scope="module")
def values(shipped):
    """What the same workbook keeps beside its formulas: the cells of each sheet by row and column."""
    entry, system, _ = shipped
    book = openpyxl.load_workbook(entry.path(system), data_only=True, read_only=True)
    cells = ((sheet.title, cell) for sheet in book for row in sheet.iter_rows() for cell in row)
    kept = {sheet: {} for sheet in book.sheetnames}
    for sheet, cell in cells:
        if isinstance(cell, ReadOnlyCell):
            kept[sheet][cell.row, cell.column] = cell
    book.close()
    return kept


@pytest.fixture(scope="module")
def job(shipped):
    """The same workbook as a job, with what it keeps."""
    entry, system, _ = shipped
    return Job.open(entry.path(system))


def test_every_formula_cell_has_its_value_beside_it(shipped, values):
    _, _, formulas = shipped
    seen = 0
    for sheet in formulas:
        for row in sheet.iter_rows():
            for cell in row:
                if cell.data_type != "f":
                    continue
                seen += 1
                assert len(cell.value) < LONGEST_FORMULA
                shown = values[sheet.title][cell.row, cell.column]
                # The reader gives a kept text without letters as nothing, and its kind alone tells of it.
                assert shown.value is not None or shown.data_type == "str", f"{sheet.title}!{cell.coordinate}"
                assert not (isinstance(shown.value, str) and shown.value.startswith("#")), (
                    f"{sheet.title}!{cell.coordinate}"
                )
                assert cell.protection.locked or cell.fill.fgColor.rgb.endswith(look.INPUT_FILL)
    assert seen > 600


def test_no_cell_is_of_a_kind_whose_value_other_programs_drop(job):
    """Nor is one an error."""
    for sheet in job.package.sheets:
        part = job.package.sheet(sheet)
        assert {formula.kind for formula in part.formulas.values()} <= {"normal"}
        assert not {kind for kind, _ in part.stored.values()} & {"b", "e"}


def remembered(data):
    """Reference, kind and values remembered of each reference in a chart."""
    for reference in etree.fromstring(data).iter(f"{{{CHART}}}numRef", f"{{{CHART}}}strRef"):
        kind = etree.QName(reference).localname
        cells = reference.findtext(f"{{{CHART}}}f")
        cache = reference.find(f"{{{CHART}}}{kind[:3]}Cache")
        points = {int(p.get("idx")): p.findtext(f"{{{CHART}}}v") for p in cache.iter(f"{{{CHART}}}pt")}
        yield cells, kind, [points.get(n) for n in range(int(cache.find(f"{{{CHART}}}ptCount").get("val")))]


def test_every_chart_remembers_what_its_cells_hold(shipped, values):
    entry, system, _ = shipped
    charts = seen = 0
    with zipfile.ZipFile(entry.path(system)) as package:
        for name in package.namelist():
            if not name.startswith("xl/charts/chart"):
                continue
            charts += 1
            for cells, kind, points in remembered(package.read(name)):
                sheet, area = split_reference(cells)
                held = [values[sheet][at].value if at in values[sheet] else None for at in area.cells()]
                seen += sum(value is not None for value in held)
                for value, point in zip(held, points, strict=True):
                    if kind == "strRef":
                        assert point == (None if value is None else str(value)), (name, cells)
                    elif isinstance(value, int | float):
                        assert float(point) == value, (name, cells)
                    else:
                        assert point is None, (name, cells)
    assert seen
    assert charts


def test_every_input_says_what_it_takes(job):
    for name, found in job.inputs.items():
        spec = found.spec
        assert spec.help, name
        assert spec.unit or spec.choices or spec.least is not None or found.offers, name
        assert spec.default in (None, "") or spec.read(spec.default) == found.value, name


def test_a_layer_with_a_thickness_of_its_own_is_offered_every_material(job):
    """All other cells are offered those alone that have a usual one."""
    every = {material.name: material.surface_mass for material in materials().values()}
    usual = {name for name, mass in every.items() if mass is not None}
    for name, found in job.inputs.items():
        if found.spec.material:
            leaf, layer, number = name.partition("_material_")
            own = layer and f"{leaf}_thickness_{number}" in job.inputs
            assert set(found.offers) == every.keys() if own else set(found.offers) <= usual, name


def test_nothing_is_wrong_in_it_and_the_cautions_are_in_view(shipped, job):
    _, _, formulas = shipped
    checks = read_checks(job.package, job.checks, job.inputs, {}) if job.checks else ()
    assert not {check.rule for check in checks if check.denies}
    assert set(CAUTIONS) <= {cell.value for row in formulas.worksheets[0].iter_rows() for cell in row}


def test_no_two_results_are_told_by_the_same_words(job):
    labels = [spec.label or spec.name for spec, *_ in interface(job.package).results]
    assert len(set(labels)) == len(labels)


def test_every_page_prints_on_the_paper_of_its_units(shipped):
    _, system, formulas = shipped
    for sheet in formulas:
        assert int(sheet.page_setup.paperSize) == (1 if system == "US" else 9)
        assert sheet.print_area
        assert sheet.page_setup.fitToWidth in (None, 1)
        assert sheet.sheet_properties.pageSetUpPr.fitToPage or sheet.page_setup.scale < 100


@pytest.mark.parametrize("name", ["booth-estimate", "room-conversion", "air-schedule"])
def test_a_rise_of_temperature_is_a_difference(name):
    job = Job.open(template(name).path("US"))
    job.set({"rise_limit": "10 °C"})
    assert job.inputs["rise_limit"].value == 18
