"""What whole workbooks come to in print: sheets of paper, type large enough, no sheet of paper half empty."""

from __future__ import annotations

import re
import shutil
import subprocess
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from hosts.required import missing
from stillbook.hosts.libreoffice import office
from stillbook.quantities import System
from stillbook.templates.demo import values
from stillbook.templates.shipped import template
from stillbook.workbook.job.estimate import Job

pytestmark = pytest.mark.host

ALIKE = {
    "Checks": 2,
    "Doors": 1,
    "Room": 1,
    "Air": 1,
    "Ducts": 1,
    "Air path": 3,
    "Wiring": 1,
    "Take-off": 2,
    "Job price": 2,
    "Price range": 1,
    "Proposal": 2,
    "Scope of work": 3,
}
MOST = {
    "booth-estimate": ALIKE | {"Booth estimate": 2, "Shell": 1, "Isolation": 1},
    "room-conversion": ALIKE | {"Room conversion": 2, "Surfaces": 2, "Isolation": 3},
    "door-schedule": dict.fromkeys(
        (
            *("Door schedule", "Inputs", "Schedule", "Doors", "One door", "Openings", "Drawn door", "Row checks"),
            *("Job price", "Lines", "Order", "Proposal", "Scope of work", "Door list", "Checks"),
        ),
        1,
    ),
    "air-schedule": dict.fromkeys(
        (
            *("Air schedule", "Rooms", "Air", "Ducts", "Noise", "Fan", "Row checks", "Air and noise of the rooms"),
            *("Ducts to build", "Checks", "Branches"),
        ),
        1,
    )
    | {"Inputs": 2, "One room": 4},
    "quick-quote": dict.fromkeys(("Quick quote", "Offer", "Checks", "Rates", "Usual", "Workings"), 1),
}
"""Sheets of paper of each sheet that is printed. What is only typed or looked up is not: the other sheets say what counts of it."""

LEAST_TYPE = 7.0
HEIGHT = 1.295
"""Height of a word over its size of type, in the metrics of the face that LibreOffice takes for the templates' own."""

FOOT = 32
"""Height of the foot of a sheet of paper, in points."""

LEAST_FILLED = 0.5
"""Share of the height of a sheet of paper over its foot that its words reach, and else it is half empty."""

NOT_FILLED = {
    "quick-quote": ("Checks",),
    "door-schedule": ("Schedule", "Row checks", "Door list"),
    "air-schedule": ("Inputs", "Rooms", "Row checks", "Branches"),
}
"""Sheets that have no more to say, by template, or rows for more doors and rooms than their example has."""


@dataclass(frozen=True)
class Paper:
    """One sheet of paper: the title of its sheet, how far down its words reach, and its words with their heights in points."""

    title: str
    filled: float
    words: list[tuple[float, str]]


PRINTED: list[tuple[str, System]] = [
    ("booth-estimate", "US"),
    ("booth-estimate", "SI"),
    ("room-conversion", "US"),
    ("quick-quote", "US"),
    ("door-schedule", "US"),
    ("air-schedule", "US"),
]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the PDF of each workbook, all printed by one LibreOffice."""
    found = office.find()
    if found is None:
        missing(office.MISSING)
    if shutil.which("pdftotext") is None:
        missing("pdftotext is missing: install poppler-utils")
    folder = tmp_path_factory.mktemp("paper")
    for name, system in PRINTED:
        shipped = template(name).path(system)
        if name == "booth-estimate":
            job = Job.open(shipped)
            job.set(values())
            job.save(folder / f"{name}-{system}.xlsx")
        else:
            shutil.copy(shipped, folder / f"{name}-{system}.xlsx")
    profile = f"-env:UserInstallation={(folder / 'profile').as_uri()}"
    subprocess.run(
        [
            shutil.which("soffice") or "soffice",
            profile,
            "--headless",
            "--convert-to",
            "pdf",
            "--outdir",
            folder,
            *folder.glob("*.xlsx"),
        ],
        check=True,
        capture_output=True,
        timeout=280,
    )
    return folder


@pytest.fixture(scope="module", params=PRINTED, ids="-".join)
def printed(request: pytest.FixtureRequest, folder: Path) -> tuple[str, list[Paper]]:
    """The name of a template, and the sheets of paper of its workbook."""
    name, system = request.param
    return name, list(pages(folder / f"{name}-{system}.pdf"))


def pages(pdf: Path) -> Iterator[Paper]:
    """The sheets of paper of a printed workbook."""
    out = pdf.with_suffix(".html")
    subprocess.run(["pdftotext", "-bbox", pdf, out], check=True)
    for page in out.read_text("utf-8").split("<page ")[1:]:
        height = re.search(r'height="([\d.]+)"', page)
        assert height is not None
        over = float(height[1]) - FOOT
        found = re.findall(r'yMin="([\d.]+)" xMax="[\d.]+" yMax="([\d.]+)">([^<]*)<', page)
        words = [(float(top), float(foot), word) for top, foot, word in found]
        head = " ".join(word for top, foot, word in words if foot < FOOT + 4)
        title = re.match(r"(?:[^·]* · )?(.*?) Page \d+ of", head)
        assert title is not None, head
        yield Paper(
            title[1],
            max(foot for _, foot, _ in words if foot < over) / over,
            [(foot - top, word) for top, foot, word in words],
        )


def test_it_takes_no_more_paper(printed):
    name, papers = printed
    taken = Counter(paper.title for paper in papers)
    assert {title: count for title, count in taken.items() if count > MOST[name].get(title, 0)} == {}
    assert set(taken) == set(MOST[name])


def test_no_type_is_too_small_to_read(printed):
    """A unit of two letters may stand upright at an axis, where its height is the width of its letters."""
    _, papers = printed
    small = {
        (paper.title, word)
        for paper in papers
        for height, word in paper.words
        if len(word) > 2 and height / HEIGHT < LEAST_TYPE - 0.05
    }
    assert not small


def test_no_sheet_of_paper_is_half_empty(printed):
    name, papers = printed
    but = NOT_FILLED.get(name, ())
    assert [
        (paper.title, paper.filled) for paper in papers if paper.filled < LEAST_FILLED and paper.title not in but
    ] == []
