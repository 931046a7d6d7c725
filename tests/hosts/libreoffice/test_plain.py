"""Workbooks in a LibreOffice that has never heard of the formulas, as one who got them by mail opens them: every value is there."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from hosts.libreoffice.calc import Calc, own_office, running
from stillbook.cells import Cell
from stillbook.quantities import SYSTEMS, System
from stillbook.share.copies import share
from stillbook.templates.demo import values as demo_values
from stillbook.templates.shipped import TEMPLATES, template
from stillbook.workbook.file.address import place
from stillbook.workbook.file.package import Package
from stillbook.workbook.job.estimate import Job
from stillbook.workbook.job.kept import lost
from workbook import books

pytestmark = pytest.mark.host

SHIPPED = [pytest.param(entry.path(system), id=f"{entry.name}-{system}") for entry in TEMPLATES for system in SYSTEMS]


@pytest.fixture(scope="module")
def plain(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Calc]:
    """One LibreOffice with a profile that did not exist before."""
    folder = tmp_path_factory.mktemp("plain")
    with running(own_office(folder), folder) as calc:
        yield calc


def shown(calc: Calc, path: Path) -> dict[str, Cell]:
    """What each formula cell shows as the file is opened; of an error its name."""
    found: dict[str, Cell] = {}
    for sheet in calc.open(path):
        for row, column, value in calc.ask("formula_cells", sheet):
            found[place(sheet, row, column)] = value["shown"] if isinstance(value, dict) else value
    return found


def kept(path: Path) -> dict[str, Cell]:
    """What the file keeps beside each formula."""
    package = Package.open(path)
    return {
        place(sheet, *at): package.value(sheet, *at) for sheet in package.sheets for at in package.sheet(sheet).formulas
    }


def unlike(calc: Calc, path: Path) -> dict[str, tuple[Cell, Cell]]:
    """The cells that show another value than the file keeps."""
    wanted, found = kept(path), shown(calc, path)
    assert wanted.keys() == found.keys()
    return {
        at: (value, found[at])
        for at, value in wanted.items()
        if found[at] != (pytest.approx(value, rel=1e-12) if isinstance(value, float) else value)
    }


@pytest.mark.parametrize("path", SHIPPED)
def test_a_shipped_workbook_shows_every_value_it_keeps(plain: Calc, path: Path) -> None:
    assert unlike(plain, path) == {}


JOBS = [("booth-estimate", "US", "client"), ("booth-estimate", "SI", "contractor"), ("air-schedule", "US", "client")]


@pytest.mark.parametrize(("name", "system", "reader"), JOBS)
def test_a_job_and_its_shared_copy_show_every_value_they_keep(
    plain: Calc, tmp_path: Path, name: str, system: System, reader: str
) -> None:
    """What a shipped workbook shows as it is, the test above tells."""
    mine = template(name).path(system)
    if name == "booth-estimate" and system == "US":
        job = Job.open(mine)
        job.set(demo_values())
        mine = job.save(tmp_path / "job.xlsx")
        assert unlike(plain, mine) == {}
    assert list(lost(Package.open(mine))) == []
    share(mine, tmp_path / "copy.xlsx", reader)
    assert unlike(plain, tmp_path / "copy.xlsx") == {}


DOOR = 'STILL_DOORMASS(A1,1,"36 in","80 in")'


def test_what_is_told_to_be_lost_is_lost_and_nothing_else(plain: Calc, tmp_path: Path) -> None:
    cells = {
        "A1": 4.4,
        "B1": f"={DOOR}",
        "B2": f"=INDEX({DOOR},1,1)",
        "B3": f'=IF({DOOR}>0,"yes","no")',
        "B4": books.array("B4", "=SUM(A1:A1*2)"),
        "B5": "=A1>0",
        "C1": books.array("C1", f"={DOOR}"),
        "C2": f"={DOOR}>0",
        "C3": "=C1*2",
    }
    path = tmp_path / "mine.xlsx"
    path.write_bytes(books.book({"S": cells}))
    job = Job.open(path)
    report = job.calculate()
    job.save()
    assert report.lost == ("S!C1", "S!C2")
    assert {at for at, value in shown(plain, path).items() if value == "#NAME?"} == set(report.lost)
