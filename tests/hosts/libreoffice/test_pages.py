"""What a whole booth comes to in print: sheets of paper, type large enough, no sheet of paper nearly empty."""

from __future__ import annotations

import re
import shutil
import subprocess
from collections import Counter
from pathlib import Path

import pytest

from hosts.required import missing
from stillbook.hosts.libreoffice import office
from stillbook.templates.demo import values
from stillbook.templates.shipped import template
from stillbook.workbook.job.estimate import Job

pytestmark = pytest.mark.host

MOST = {
    "Checks": 2,
    "Shell": 2,
    "Doors": 1,
    "Isolation": 3,
    "Room": 2,
    "Air": 2,
    "Ducts": 1,
    "Air path": 5,
    "Wiring": 1,
    "Own lines": 1,
    "Take-off": 3,
    "Job price": 3,
    "Price range": 1,
    "Allowances and alternates": 1,
    "Unit costs": 2,
    "Assemblies": 2,
    "Proposal": 2,
    "Scope of work": 3,
}
"""Sheets of paper of each sheet for the engineer, the office, the client and the site; first sheet and Inputs apart."""

LEAST_TYPE = 7.0
HEIGHT = 1.22
"""Height of a word over its size of type, in the metrics of the face that LibreOffice takes for the templates' own."""

LEAST_WORDS = 25
"""Fewer words on a sheet of paper, with those of its head and foot, and it is nearly empty."""


@pytest.fixture(scope="module", params=["US", "SI"])
def paper(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> list[tuple[str, list[tuple[float, str]]]]:
    """The title of each sheet of paper, and its words with their heights in points."""
    found = office.find()
    if found is None:
        missing(office.MISSING)
    if shutil.which("pdftotext") is None:
        missing("pdftotext is missing: install poppler-utils")
    folder = tmp_path_factory.mktemp("paper")
    job = Job.open(template("booth-estimate").path(request.param))
    job.set(values())
    job.calculate()
    job.save(folder / "booth.xlsx")
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
            folder / "booth.xlsx",
        ],
        check=True,
        capture_output=True,
        timeout=280,
    )
    return list(pages(folder / "booth.pdf"))


def pages(pdf: Path):
    """Title and words of each sheet of paper of a printed workbook."""
    out = pdf.with_suffix(".html")
    subprocess.run(["pdftotext", "-bbox", pdf, out], check=True)
    for page in out.read_text("utf-8").split("<page ")[1:]:
        words = re.findall(r'yMin="([\d.]+)" xMax="[\d.]+" yMax="([\d.]+)">([^<]*)<', page)
        text = " ".join(word for *_, word in words)
        title = re.search(r"Booth estimate(?: · (.*?))? Page \d+ of", text)
        if title is None:
            title = re.search(r"Booth estimate · (" + "|".join(MOST) + r")\b", text)
        yield (title[1] or "" if title else ""), [(float(foot) - float(top), word) for top, foot, word in words]


def test_it_takes_no_more_paper(paper):
    taken = Counter(title for title, _ in paper if title in MOST)
    assert {title: taken[title] for title in MOST if taken[title] > MOST[title]} == {}
    assert set(taken) == set(MOST)


def test_no_type_is_too_small_to_read(paper):
    """A unit of two letters may stand upright at an axis, where its height is the width of its letters."""
    small = {
        (title, word)
        for title, words in paper
        if title in MOST
        for height, word in words
        if len(word) > 2 and height / HEIGHT < LEAST_TYPE - 0.05
    }
    assert not small


def test_no_sheet_of_paper_is_nearly_empty(paper):
    assert [title for title, words in paper if title in MOST and len(words) < LEAST_WORDS] == []
