"""``bids``: returned scopes compared."""

from pathlib import Path

import pytest
from openpyxl import load_workbook

from cli.command_line import only_line, shipped


def test_an_estimate_is_no_bid(refused):
    shipped("booth-estimate", "job.xlsx")
    said = refused("bids", "job.xlsx", "--job", "job.xlsx", "out.xlsx")
    assert "job.xlsx: it is an estimate of the office, with its costs: give the copy that came back" in said
    assert not Path("out.xlsx").exists()


def returned(scope, out, contractor, prices):
    """A scope as a contractor returns it, priced line by line."""
    book = load_workbook(scope)
    book["Scope"]["C1"] = contractor
    for row, price in enumerate(prices, start=6):
        book["Scope"].cell(row, 6, price)
    book.save(out)
    return out


@pytest.fixture
def scope(job, run):
    run("share", job, "scope.xlsx", "--for", "contractor")
    return "scope.xlsx"


def test_bids_are_compared(job, scope, run, here):
    one = returned(scope, "one.xlsx", "First Builders (invented)", (50, 14, 350))
    two = returned(scope, "two.xlsx", "Second Builders (invented)", (45, 15, None))
    code, out, err = run("bids", one, two, "--job", job, "bids.xlsx")
    rows = [line.split() for line in out.splitlines()]
    assert (code, err) == (0, "")
    # By hand: 10 × 50 + 40 × 14 + 350, and 10 × 45 + 40 × 15 without the door; its lowest price is 350.
    assert ["First", "Builders", "(invented)", "1,410.00", "1,410.00", "1,410.00", "0"] in rows
    assert ["Second", "Builders", "(invented)", "1,050.00", "1,050.00", "1,400.00", "1"] in rows
    # our board costs 19 + 62 / 2; 50 is a ninth more than 45
    assert ["1", "50.00", "45.00", "11%", "Second"] in [row[:5] for row in rows]
    assert "the line Door slab has no price" in out
    assert " ".join(out.split()).endswith(f"The comparison is {here / 'bids.xlsx'}")
    assert Path("bids.xlsx").is_file()


def test_a_bid_that_cannot_be_read_stops_no_other(job, scope, run):
    one = returned(scope, "one.xlsx", "First Builders (invented)", (50, 14, 350))
    code, out, err = run("bids", "gone.xlsx", one, "--job", job, "bids.xlsx")
    assert code == 2
    assert only_line(err) == "gone.xlsx: there is no such file"
    assert "First Builders (invented)" in out
    assert Path("bids.xlsx").is_file()


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (
            ["gone.xlsx", "--job", "job.xlsx", "bids.xlsx"],
            "none of the bids can be read: gone.xlsx: there is no such file",
        ),
        (["job.xlsx", "--job", "gone.xlsx", "bids.xlsx"], "gone.xlsx: there is no such file"),
        (["job.xlsx", "--job", "small.xlsx", "bids.xlsx"], "small.xlsx: it asks for no lines"),
        (["job.xlsx", "--job", "job.xlsx", "job.xlsx"], "job.xlsx: it exists already"),
        (["job.xlsx", "--job", "job.xlsx", "bids.pdf"], "bids.pdf: give a file name that ends in .xlsx"),
    ],
)
def test_bids_that_cannot_be_compared(arguments, said, job, small, refused):
    assert said in refused("bids", *arguments)
    assert not Path("bids.xlsx").exists()
