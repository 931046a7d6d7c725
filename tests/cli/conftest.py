"""A command line to run in a folder of its own, and the workbooks that the commands are given."""

import shutil

import pytest
from openpyxl import Workbook, load_workbook

from cli.command_line import only_line
from stillbook import __version__
from stillbook.cli import stillbook
from stillbook.cli.failures import guarded
from stillbook.hosts import discovery
from stillbook.hosts.libreoffice import office
from stillbook.workbook.job.inputs import InputSpec
from stillbook.workbook.job.notes import keep_note
from stillbook.workbook.job.results import ResultSpec
from templates.conftest import sheets_are_read_once
from workbook import books, jobs

__all__ = ["sheets_are_read_once"]

INPUTS = [
    InputSpec("client", "Name on the proposal.", "text"),
    InputSpec("door", "A pair or one heavy door.", "text", choices=("pair", "single")),
    InputSpec("surface_mass", "Of one side of the wall.", "lb/ft²", 0.5, 200, 4.4),
    InputSpec("doors", "How many.", "doors", 1, 40, 1, whole=True),
    InputSpec("day", "Date of the estimate.", "date", optional=True),
    InputSpec("remark", "Anything.", "text", optional=True),
]
HELD = ["Example", "pair", 4.4, 1, None, None]


@pytest.fixture(autouse=True)
def here(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.setenv("STILLBOOK_HOME", str(tmp_path / "home"))
    return tmp_path


@pytest.fixture
def run(capsys):
    """Run a command line; gives exit code, output and error output."""

    def run(*arguments):
        code = guarded(stillbook, [str(argument) for argument in arguments])
        out, err = capsys.readouterr()
        return code, out, err

    return run


@pytest.fixture
def refused(run):
    """Run a command line that must fail as wrong input; gives the one line it says."""

    def refused(*arguments, code=2):
        found, out, err = run(*arguments)
        assert (found, out) == (code, "")
        return only_line(err)

    return refused


@pytest.fixture(scope="session")
def made(tmp_path_factory):
    """The workbooks that the commands are given, made once: each test works on copies."""
    folder = tmp_path_factory.mktemp("made")
    save_small(folder)
    jobs.saved(jobs.estimate(), folder / "job.xlsx")
    jobs.saved(jobs.estimate(), folder / "revised.xlsx", {"wall_area": 640, "doors": 3})
    listed = (("BOARD", "Gypsum board", "sheet", 21.5, "Shell", 2), ("STUD", "Stud", "bundle", 50, "Shell", 7))
    (folder / "book.xlsx").write_bytes(books.saved(jobs.estimate(prices=listed)))
    return folder


def save_small(folder):
    book = Workbook()
    sheet = book.active
    sheet.title = "Door"
    for row, (spec, value) in enumerate(zip(INPUTS, HELD, strict=True), start=1):
        sheet.cell(row, 1, value)
        keep_note(book, spec.name, f"Door!$A${row}", spec.comment())
    sheet["B1"] = '=STILL_DOORTARGETMASS(surface_mass,"36 in","80 in",door)'
    sheet["B2"] = "=B1*doors"
    keep_note(book, "each", "Door!$B$1", ResultSpec("each", "Mass of a door", "lb").comment())
    keep_note(book, "every", "Door!$B$2", ResultSpec("every", "Mass of all", "lb").comment())
    book.save(folder / "small.xlsx")


def copied(file, folder):
    shutil.copy(file, folder)
    return file.name


@pytest.fixture
def small(made, here):
    """A template of a few cells: a door's mass from inputs, and the mass of all doors."""
    return copied(made / "small.xlsx", here)


@pytest.fixture
def faulty(small):
    """The small template with a total mass where a mass per area belongs, in a formula."""
    book = load_workbook(small)
    book.active["B1"] = '=STILL_DOORTARGETMASS("88 lb",36,80)'
    book.active["A1"] = None
    book.save("faulty.xlsx")
    return "faulty.xlsx"


@pytest.fixture
def job(made, here):
    """A priced job: 10 boards, 40 studs and a door."""
    return copied(made / "job.xlsx", here)


@pytest.fixture
def revised(job, made, here):
    """The same job with twice the wall and three doors, one more than its check allows."""
    return copied(made / "revised.xlsx", here)


@pytest.fixture
def prices(made, here):
    """A price book in which boards cost more, studs come by the bundle and doors are gone."""
    return copied(made / "book.xlsx", here)


@pytest.fixture
def no_office(monkeypatch):
    """As on a computer without LibreOffice."""
    monkeypatch.setattr(office, "find", lambda: None)


@pytest.fixture
def service_home(here):
    """A place of the service's own, where none runs."""
    return here / "home"


@pytest.fixture
def running(service_home, monkeypatch):
    """Let a service be found at an address, as if it answered."""

    def running(address, version=__version__):
        service = discovery.Service(address, "a-token", 4711, version)
        discovery.publish(service)
        monkeypatch.setattr(discovery, "answers", lambda asked: asked == service)
        return service

    return running
