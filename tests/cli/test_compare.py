"""``compare``: two revisions side by side."""

import json
from pathlib import Path

import pytest
from openpyxl import load_workbook


def test_two_revisions_are_compared(job, revised, run):
    code, out, err = run("compare", job, revised)
    rows = [line.split() for line in out.splitlines()]
    assert (code, err) == (0, "")
    assert out.startswith("job.xlsx and revised.xlsx: ")
    assert ["wall_area", "320", "640", "+320", "ft²", "Walls."] in rows
    # 640 ft² in sheets of 32 ft²
    assert ["BOARD", "10", "20", "+10", "sheet", "Gypsum", "board"] in rows
    assert ["passes", "fails", "At", "most", "two", "doors"] in rows
    assert max(map(len, out.splitlines())) <= 80


def test_alike_workbooks_differ_in_nothing(job, run):
    code, out, _ = run("compare", job, job)
    assert code == 0
    assert out.startswith("job.xlsx and job.xlsx: 0 differ, ")
    assert out.count("\n") == 1


def test_a_comparison_is_data_and_a_workbook(job, revised, run, here):
    code, out, err = run("compare", job, revised, "--json", "--out", "changes.xlsx")
    assert (code, err) == (0, "")
    doors = [row for row in json.loads(out)["differences"] if (row["subject"], row["name"]) == ("input", "doors")]
    assert [(row["before"], row["after"], row["change"]) for row in doors] == [(1, 3, 2)]
    assert load_workbook("changes.xlsx").sheetnames == ["Changes"]
    assert f"The comparison is {here / 'more.xlsx'}" in " ".join(
        run("compare", job, revised, "--out", "more.xlsx")[1].split()
    )


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["job.xlsx", "gone.xlsx"], "gone.xlsx: there is no such file"),
        (["job.xlsx", "job.xlsx", "--out", "job.xlsx"], "job.xlsx: it exists already"),
        (["job.xlsx", "job.xlsx", "--out", "changes.ods"], "changes.ods: give a file name that ends in .xlsx"),
        (["job.xlsx", "job.xlsx", "--out", "changes.xlsx", "--wide"], "No such option"),
    ],
)
def test_what_cannot_be_compared(arguments, said, job, refused):
    assert said in refused("compare", *arguments)
    assert not Path("changes.xlsx").exists()
