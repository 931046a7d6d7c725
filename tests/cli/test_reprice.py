"""``reprice``: new prices in jobs."""

from pathlib import Path

import pytest

from cli.command_line import kept, only_line, shipped
from stillbook.workbook.job.estimate import Job


@pytest.mark.parametrize("system", ["US", "SI"])
def test_an_unchanged_price_book_moves_no_price(system, run):
    shipped("price-book", "book.xlsx", system)
    for name in ("booth-estimate", "room-conversion"):
        shipped(name, f"{name}.xlsx", system)
        assert f"{name}.xlsx: 0 prices move" in run("reprice", f"{name}.xlsx", "--prices", "book.xlsx")[1]


@pytest.mark.parametrize("name", ["booth-estimate", "room-conversion", "door-schedule"])
def test_a_client_level_of_the_shipped_book_is_a_step_of_the_price(name, run):
    shipped("price-book", "book.xlsx")
    shipped(name, "job.xlsx")
    plain = {result: kept("job.xlsx", result) for result in ("price", "total_cost")}
    code, out, _ = run("reprice", "job.xlsx", "--prices", "book.xlsx", "--level", "Usual client")
    assert (code, out.splitlines()[0]) == (0, "job.xlsx: 0 prices move, saved")
    job = Job.open("job.xlsx")
    found = {result: kept("job.xlsx", result) for result in plain}
    assert (job.inputs["level_name"].value, job.inputs["level_markup"].value) == ("Usual client", 0.1)
    # Materials and labour alike: the price is a tenth higher, and what is cost stays.
    assert found["price"] == pytest.approx(1.1 * plain["price"], rel=1e-6)
    assert found["total_cost"] == plain["total_cost"]


def test_prices_in_another_currency_are_refused(refused):
    shipped("price-book", "book.xlsx", "SI")
    shipped("booth-estimate", "job.xlsx")
    before = Path("job.xlsx").read_bytes()
    said = refused("reprice", "job.xlsx", "--prices", "book.xlsx")
    assert said == "job.xlsx: it is priced in USD and book.xlsx in EUR: take prices in USD"
    assert Path("job.xlsx").read_bytes() == before


def test_new_prices_are_brought_in_and_told(job, prices, run):
    code, out, err = run("reprice", job, "--prices", prices)
    rows = [line.split() for line in out.splitlines()]
    assert (code, err) == (1, "")  # a price was left out
    assert out.startswith("job.xlsx: 1 price moves, saved\n")
    assert ["BOARD", "19", "21.5", "unit", "cost"] in rows
    # 10 boards at 19, then at 21.5, and 5 hours at 62 (by hand)
    assert ["BOARD", "500", "525", "+25", "Gypsum", "board"] in rows
    # a margin of 0.2 of the price: 25 / 0.8
    assert next(row for row in rows if row[:1] == ["price"])[3:5] == ["+31.25", "USD"]
    assert "Not taken: STUD: it is priced for bundle, the job counts piece" in out
    assert "No new price for DOOR: they keep the old one" in out
    assert run("reprice", job, "--prices", prices)[1].startswith("job.xlsx: 0 prices move, nothing to change\n")


def test_a_trial_leaves_the_job_as_it_is(job, prices, run):
    before = Path(job).read_bytes()
    assert run("reprice", job, "--prices", prices, "--trial")[1].startswith("job.xlsx: 1 price moves, not changed\n")
    assert Path(job).read_bytes() == before


def test_one_bad_job_does_not_stop_the_others(job, revised, prices, run):
    Path("cut.xlsx").write_bytes(Path(job).read_bytes()[:900])
    code, out, err = run("reprice", "cut.xlsx", job, prices, revised, "--prices", prices)
    assert code == 2
    assert only_line(err).startswith("cut.xlsx: ")
    assert "4 jobs: 2 changed, 1 as they were, 1 not repriced" in out


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["job.xlsx", "--prices", "gone.xlsx"], "gone.xlsx: there is no such file"),
        (["job.xlsx", "--prices", "book.xlsx", "--level", "trade"], "there is no price level trade"),
        (["job.xlsx", "--prices", "small.xlsx"], "small.xlsx: it names no prices"),
        (["small.xlsx", "--prices", "book.xlsx"], "small.xlsx: it has no prices to change"),
    ],
)
def test_prices_that_cannot_be_brought_in(arguments, said, job, prices, small, refused):
    before = Path(job).read_bytes()
    assert said in refused("reprice", *arguments)
    assert Path(job).read_bytes() == before


def test_a_check_that_new_prices_fail_is_told(run):
    shipped("price-book", "book.xlsx")
    run("new", "booth-estimate", "job.xlsx", "--set", "budget=47000")
    code, out, _ = run("reprice", "job.xlsx", "--prices", "book.xlsx", "--level", "Usual client", "--trial")
    assert code == 1
    line = next(line for line in out.splitlines() if "Price within the client's budget" in line)
    assert line.split()[:2] == ["passes", "fails"]
