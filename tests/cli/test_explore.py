"""``explore``: what it shows and writes, ``new`` from a variant, and ``calc --mend``."""

import csv
import itertools
from pathlib import Path

import pytest

from stillbook.office.explore import workers
from stillbook.workbook.job.estimate import Job
from workbook import choices


@pytest.fixture
def room(here):
    return choices.saved(here / "room.xlsx", {"space": 16})


def test_an_exploration_is_shown_and_written(room, run):
    before = room.read_bytes()
    code, out, err = run("explore", "room.xlsx", "options.xlsx", "--workers", "1", "--table", "all.csv")
    assert (code, err) == (0, "")
    lines = out.splitlines()
    assert lines[0].startswith("64 variants tried, which is every variant there is;")
    assert "     16  Load on the floor" in lines
    assert any(line.startswith("Best value: variant ") for line in lines)
    assert any(line.startswith("The job as it stands is ") for line in lines)
    assert [Path(line.removeprefix("Written: ")).name for line in lines if line.startswith("Written: ")] == [
        "options.xlsx",
        "all.csv",
    ]
    with Path("all.csv").open(encoding="utf-8-sig", newline="") as file:
        assert len(list(csv.DictReader(file))) == 65
    assert room.read_bytes() == before
    assert {path.name for path in Path().iterdir()} == {"room.xlsx", "options.xlsx", "all.csv"}


def test_a_variant_becomes_a_job(room, run):
    run("explore", "room.xlsx", "options.xlsx", "--workers", "1", "--vary", "gap=2,4", "--vary", "boards=3")
    code, _, err = run("new", "room.xlsx", "mine.xlsx", "--from", "options.xlsx", "--variant", "2")
    assert (code, err) == (0, "")
    made = Job.open("mine.xlsx")
    assert [made.inputs[name].value for name in ("boards", "gap", "space", "client")] == [3, 4, 16, "Invented client"]
    price = next(result.value for result in made.calculate().results if result.name == "price")
    assert price == pytest.approx(choices.by_hand(3, 4, "single", "no")[0])


def test_a_job_that_comes_to_something_else_than_its_variant_is_told(room, run):
    run("explore", "room.xlsx", "options.xlsx", "--workers", "1", "--vary", "gap=2,4")
    choices.saved(room.with_name("dearer.xlsx"), formulas={**choices.FORMULAS, "price": "=9000+gap"})
    code, _, err = run("new", "dearer.xlsx", "mine.xlsx", "--from", "options.xlsx", "--variant", "1")
    assert code == 0
    said = "Price is 9,002, and was 1,388 when it was explored: prices or other inputs differ."
    assert " ".join(err.split()) == said


def test_ctrl_c_writes_what_is_done_and_it_can_be_gone_on_with(room, run, monkeypatch):
    done = workers._Here.run
    left = itertools.count()

    def stopped(self, asked):
        for one in done(self, asked):
            if next(left) == 20:
                raise KeyboardInterrupt
            yield one

    with monkeypatch.context() as patched:
        patched.setattr(workers._Here, "run", stopped)
        code, out, _ = run("explore", "room.xlsx", "options.xlsx", "--workers", "1")
    assert code == 130
    assert out.startswith("Ended by a person before all was tried.\n20 variants tried of 64;")
    assert {path.name for path in Path().iterdir()} == {"room.xlsx", "options.xlsx", "options.xlsx.part"}
    assert "it exists already" in run("explore", "room.xlsx", "options.xlsx", "--workers", "1")[2]
    code, out, _ = run("explore", "room.xlsx", "options.xlsx", "--workers", "1", "--resume")
    assert code == 0
    assert "64 variants tried, which is every variant there is, 20 of them before the stop;" in out
    assert not Path("options.xlsx.part").exists()


def test_choices_of_several_inputs_come_from_a_file(room, run):
    Path("walls.toml").write_text('[wall]\nlight = { boards = 1, wool = "yes" }\nheavy = { boards = 3, wool = "no" }\n')
    code, out, _ = run("explore", "room.xlsx", "o.csv", "--choices", "walls.toml", "--workers", "1")
    assert code == 0
    assert out.startswith("2 variants tried")


def test_where_nothing_passes_the_exit_code_says_so(room, run):
    code, out, _ = run("explore", "room.xlsx", "o.xlsx", "--vary", "gap", "--at-most", "price=5", "--workers", "1")
    assert code == 1
    assert "      4  price at most 5 USD" in out.splitlines()


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["gone.xlsx", "o.xlsx"], "gone.xlsx"),
        (["room.xlsx", "o.txt"], "o.txt: give a file name that ends in .xlsx, .csv or .parquet"),
        (["room.xlsx", "o.xlsx", "--table", "t.xlsx"], "t.xlsx: give a table that ends in .csv or .parquet"),
        (["room.xlsx", "room.xlsx"], "room.xlsx: it exists already"),
        (["room.xlsx", "o.xlsx", "--vary", "roof=1"], "there is no input roof"),
        (["room.xlsx", "o.xlsx", "--vary", "gap=90"], "gap is 90 in: give 0.5 to 12 in"),
        (["room.xlsx", "o.xlsx", "--at-least", "55"], "write name=value"),
        (["room.xlsx", "o.xlsx", "--choices", "room.xlsx"], "room.xlsx: it is no list of choices in TOML"),
        (["small.xlsx", "o.xlsx"], "small.xlsx: it marks no inputs to be varied"),
        (["small.xlsx", "o.xlsx", "--vary", "doors=1,2"], "small.xlsx: it marks no result as a goal"),
    ],
)
def test_what_cannot_be_explored(arguments, said, room, small, refused):
    assert said in refused("explore", *arguments)
    assert {path.name for path in Path().iterdir()} == {"room.xlsx", "small.xlsx"}


def test_calc_names_what_would_make_a_failing_check_pass(here, run):
    job = choices.saved(here / "room.xlsx", {"boards": 4, "space": 20})
    run("calc", "room.xlsx")
    before = Job.open(job).inputs
    code, out, _ = run("calc", "room.xlsx", "--mend")
    assert code == 1
    assert "Load on the floor: passes with Boards (boards) 3, -140 USD" in out
    assert "Load on the floor: cheaper with Boards (boards) 1, -420 USD" in out
    assert Job.open(job).inputs == before
    assert "passes with" not in run("calc", "room.xlsx")[1]
