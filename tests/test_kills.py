"""Every command that writes, killed at random moments: the old file or the new one, always whole.

``STILLBOOK_KILLS`` says how many kills each command gets, ``STILLBOOK_SEED`` where chance starts.
"""

import concurrent.futures
import os
import shutil
import sys
from pathlib import Path

import pytest
from openpyxl import load_workbook

from chance import drawn
from stillbook.office import batch as batches
from stillbook.templates import demo
from stillbook.workbook.calculation.respelled import respelled
from stillbook.workbook.calculation.spelling import Spelling
from workbook import books, choices, jobs
from workbook.kills import Command, Killed, Office, run

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="this system does not fork processes")

KILLS = int(os.environ.get("STILLBOOK_KILLS", "3"))

COMMANDS = {
    "new": Command(["new", "small", "new.xlsx", "--set", "wall_area=400"], ["new.xlsx"]),
    "new from another job": Command(["new", "small", "new.xlsx", "--from", "job.xlsx"], ["new.xlsx"]),
    "demo": Command(["demo"], ["demo-estimate.xlsx"], numbered=True),
    "set": Command(["set", "raw.xlsx", "wall_area=400"], ["raw.xlsx"], again=True),
    "calc": Command(["calc", "raw.xlsx"], ["raw.xlsx"], again=True),
    "calc of several": Command(["calc", "raw.xlsx", "jobs/a.xlsx"], ["raw.xlsx", "jobs/a.xlsx"], again=True),
    "share with a client": Command(["share", "job.xlsx", "copy.xlsx", "--for", "client"], ["copy.xlsx"]),
    "share with a contractor": Command(["share", "job.xlsx", "copy.xlsx", "--for", "contractor"], ["copy.xlsx"]),
    "compare": Command(["compare", "job.xlsx", "other.xlsx", "--out", "differences.xlsx"], ["differences.xlsx"]),
    "carry": Command(["carry", "job.xlsx", "carried.xlsx", "--to", "small"], ["carried.xlsx"]),
    "reprice": Command(["reprice", "job.xlsx", "--prices", "book.xlsx"], ["job.xlsx"], again=True),
    "bids": Command(["bids", "one.xlsx", "two.xlsx", "--job", "job.xlsx", "bids.xlsx"], ["bids.xlsx"]),
    "convert": Command(["convert", "booth.xlsx", "calc.xlsx", "--for", "libreoffice"], ["calc.xlsx"]),
    "convert in place": Command(["convert", "booth.xlsx", "booth.xlsx", "--for", "excel"], ["booth.xlsx"], again=True),
    "print": Command(["print", "proposal.xlsx"], ["proposal.pdf"]),
    "templates add": Command(["templates", "add", "other.xlsx", "--name", "mine"], ["home/templates/mine.xlsx"]),
    "templates add in place": Command(
        ["templates", "add", "other.xlsx", "--name", "small", "--replace"], ["home/templates/small.xlsx"], again=True
    ),
    "batch to a CSV register": Command(["batch", "jobs"], ["register.csv", "jobs/a.xlsx", "jobs/b.xlsx"]),
    "explore": Command(["explore", "room.xlsx", "options.xlsx", "--vary", "boards=1,2", "--workers", "1"], ["options.xlsx"]),
    "options": Command(["options", "places.xlsx", "explored.xlsx"], ["places.xlsx"], again=True),
    "batch to a workbook": Command(
        ["batch", "jobs", "--do", "reprice", "--prices", "book.xlsx", "--register", "r.xlsx"],
        ["r.xlsx", "jobs/a.xlsx", "jobs/b.xlsx"],
        tells=["r.xlsx"],
    ),
}  # fmt: skip

PRINTER = """#!/bin/sh
while [ $# -gt 1 ]; do [ "$1" = --outdir ] && out=$2; shift; done
printf '%%PDF-1.7 printed' > "$out/$(basename "$1" .xlsx).pdf"
"""


@pytest.fixture(scope="module")
def office(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with all that the commands read."""
    folder = tmp_path_factory.mktemp("office")
    own = folder / "home" / "templates"
    own.mkdir(parents=True)
    (folder / "jobs").mkdir()
    choices.saved(folder / "room.xlsx")
    choices.saved(folder / "places.xlsx", inputs=(*choices.INPUTS, *choices.PLACES))
    code, said = run(
        [
            "explore",
            str(folder / "places.xlsx"),
            str(folder / "explored.xlsx"),
            "--vary",
            "boards=1,2",
            "--workers",
            "1",
        ]
    )
    assert code == 0, said
    plain = jobs.estimate()
    shown = jobs.estimate()
    shown["Price"].defined_names["shown_to_client"] = books.DefinedName("shown_to_client", attr_text="Price!$A$9:$B$9")
    jobs.saved(shown, folder / "job.xlsx")
    jobs.saved(plain, folder / "other.xlsx", {"wall_area": 480, "doors": 2})
    for name in ("raw.xlsx", "jobs/a.xlsx", "jobs/b.xlsx", "home/templates/small.xlsx"):
        (folder / name).write_bytes(books.saved(plain))
    dearer = [(*row[:3], row[3] + 2.5, *row[4:]) for row in jobs.PRICES]
    (folder / "book.xlsx").write_bytes(books.saved(jobs.estimate(prices=tuple(dearer))))
    proposal = books.built({"Proposal": {"A1": "Price", "B1": "=2*3"}})
    (folder / "proposal.xlsx").write_bytes(books.saved(proposal))
    (folder / "booth.xlsx").write_bytes(books.book({"S": {"A1": '=STILL_SURFACEMASS("4.4 lb/ft²")'}}))
    code, said = run(["calc", str(folder / "booth.xlsx")])
    assert code == 0, said
    theirs, _ = respelled((folder / "booth.xlsx").read_bytes(), Spelling.WEB)
    (folder / "booth.xlsx").write_bytes(theirs)
    code, said = run(["share", str(folder / "job.xlsx"), str(folder / "one.xlsx"), "--for", "contractor"])
    assert code == 0, said
    shutil.copy(folder / "one.xlsx", folder / "two.xlsx")
    for name, contractor, prices in (
        ("one", "First (invented)", (50, 14, 350)),
        ("two", "Second (invented)", (45, 15)),
    ):
        scope = load_workbook(folder / f"{name}.xlsx")
        scope["Scope"]["C1"] = contractor
        for row, price in enumerate(prices, start=6):
            scope["Scope"].cell(row, 6, price)
        scope.save(folder / f"{name}.xlsx")
    programs = folder / "programs"
    programs.mkdir()
    (programs / "soffice").write_text(PRINTER)
    (programs / "soffice").chmod(0o755)
    return folder


@pytest.mark.parametrize("name", COMMANDS)
def test_a_killed_command_leaves_the_old_file_or_the_new_one(name, office, tmp_path, monkeypatch):
    desk = tmp_path / "desk"
    desk.mkdir()
    monkeypatch.chdir(desk)
    monkeypatch.setenv("STILLBOOK_HOME", str(desk / "home"))
    monkeypatch.setenv("PATH", f"{desk / 'programs'}{os.pathsep}{os.environ['PATH']}")
    # How a file comes to stand there is the same for every template.
    monkeypatch.setattr(demo, "TEMPLATE", "small")
    monkeypatch.setattr(demo, "values", lambda: {"client": "Invented client", "wall_area": 400})
    # Threads in place of processes, so that the whole of a batch is in the process that is killed.
    monkeypatch.setattr(batches, "_pool", lambda _: concurrent.futures.ThreadPoolExecutor(1))
    chance = drawn(name)
    place = Office(office, desk, COMMANDS[name])
    total = Killed()
    while total.kills < KILLS:
        found = place.kill(chance)
        total.kills += found.kills
        total.done += found.done
        total.left += found.left
        for way, count in found.moments.items():
            total.moments[way] = total.moments.get(way, 0) + count
    print(f"{name}: {total}", file=sys.stderr)
