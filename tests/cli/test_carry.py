"""``carry``: a job onto another template."""

from pathlib import Path

import pytest

from stillbook.templates import shipped
from stillbook.workbook.job.estimate import Job
from stillbook.workbook.job.inputs import InputSpec
from workbook import books, jobs

NEWER = (
    InputSpec("client", "Name.", "text"),
    InputSpec("wall_area", "Walls.", "m²", 0.1, 900, 30),
    InputSpec("doors", "Doors.", "", 0, 2, 2, whole=True),
    InputSpec("margin", "Share of the price.", "share", 0, 0.9, 0.25),
    InputSpec("crew", "Crew.", "people", 1, 9, 2),
)
"""A template in which one input changed its unit, one its limits, one is gone and one is new."""


def test_a_job_is_carried_and_what_has_no_home_is_listed(revised, run, here):
    Path("newer.xlsx").write_bytes(books.saved(jobs.estimate(inputs=NEWER)))
    run("new", revised, "old.xlsx", "--set", "sent=2026-03-02")
    before = Path("old.xlsx").read_bytes()
    code, out, err = run("carry", "old.xlsx", "--to", "newer.xlsx", "new.xlsx")
    words = " ".join(out.split())
    assert (code, err) == (0, "")
    assert "3 inputs and 0 rows of prices carried" in words
    assert "wall_area 59.4579" in words  # 640 ft² in m²: NIST Special Publication 811
    assert "was 640 ft²" in words
    assert "input doors (Inputs!B3) 3 the template does not take it: doors is 3" in words
    assert "input sent (Inputs!B5)" in words
    assert "crew 2" in words
    assert str(here / "new.xlsx") in out
    assert Job.open("new.xlsx").inputs["wall_area"].value == pytest.approx(59.4579456, rel=1e-6)
    assert Path("old.xlsx").read_bytes() == before


def test_a_job_is_carried_to_a_template_in_its_own_units(run):
    run("new", "booth-estimate", "old.xlsx", "--units", "SI", "--set", "room_length=2.7", "--set", "client=Name")
    template = shipped.template("booth-estimate").path("SI")
    code, out, _ = run("carry", "old.xlsx", "--to", "booth-estimate", "new.xlsx", "--made-from", template)
    assert code == 0
    assert "Not carried" not in out
    assert Job.open("new.xlsx").inputs["room_length"].value == 2.7


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["gone.xlsx", "--to", "job.xlsx", "new.xlsx"], "gone.xlsx: there is no such file"),
        (["gone.xlsx", "--to", "booth-estimate", "new.xlsx"], "gone.xlsx: there is no such file"),
        (["job.xlsx", "--to", "gone.xlsx", "new.xlsx"], "gone.xlsx: there is no such file"),
        (
            ["job.xlsx", "--to", "gone", "new.xlsx"],
            'there is no template "gone": choose one of quick-quote, booth-estimate',
        ),
        (["job.xlsx", "--to", "job.xlsx", "job.xlsx"], "job.xlsx: it exists already"),
        (["job.xlsx", "--to", "job.xlsx", "--units", "SI", "new.xlsx"], "--units is for shipped templates"),
    ],
)
def test_what_cannot_be_carried(arguments, said, job, refused):
    assert said in refused("carry", *arguments)
    assert not Path("new.xlsx").exists()
