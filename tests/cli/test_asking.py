"""``new`` with a person at the terminal, who is asked for what is missing."""

import io
import os
import subprocess
import sys
from pathlib import Path

import pytest
from openpyxl import load_workbook

from cli.command_line import cell, only_line, program
from stillbook.cli import new as starting


@pytest.fixture
def answering(monkeypatch):
    """Let a person be at the terminal, who types these lines."""

    def answering(*lines):
        monkeypatch.setattr(starting, "someone_is_there", lambda: True)
        monkeypatch.setattr(sys, "stdin", io.StringIO("".join(f"{line}\n" for line in lines)))

    return answering


@pytest.fixture
def unfilled(small):
    """The small template with two inputs to be filled in."""
    book = load_workbook(small)
    book.active["A1"] = book.active["A3"] = None
    book.save(small)
    return small


def test_a_person_is_asked_for_what_is_missing_until_it_fits(unfilled, run, answering):
    answering("=1+1", "88 lb", "900", "6.6")
    code, out, err = run("new", unfilled, "mine.xlsx")
    assert (code, err) == (0, "")
    assert "Name on the proposal." in out
    assert "0.5 to 200 lb/ft²: " in out
    assert "surface_mass is 900 lb/ft²: give 0.5 to 200 lb/ft²" in " ".join(out.split())
    # 6.6 lb/ft² over 20 ft² (common practice, no source)
    assert (cell("mine.xlsx", "A1"), cell("mine.xlsx", "B1")) == ("=1+1", pytest.approx(132))


def test_a_question_can_be_left_for_later(unfilled, run, answering):
    answering("", "4.4")
    code, out, _ = run("new", unfilled, "mine.xlsx")
    assert code == 0
    assert "To be filled in: client" in out
    assert cell("mine.xlsx", "B1") == pytest.approx(88)


def test_what_is_given_is_not_asked(unfilled, run, answering):
    answering()
    code, out, _ = run("new", unfilled, "mine.xlsx", "--set", "client=Name", "--set", "surface_mass=4.4")
    assert code == 0
    assert "still to be filled in" not in out


def test_an_end_of_the_answers_makes_no_file(unfilled, run, answering):
    answering("Name")
    code, _, err = run("new", unfilled, "mine.xlsx")
    assert code == 130
    assert only_line(err.lstrip("\n")).startswith("stopped")
    assert not Path("mine.xlsx").exists()


def test_nothing_is_asked_before_the_place_is_fit(unfilled, refused, answering):
    answering()
    assert "there is no folder gone" in refused("new", unfilled, "gone/mine.xlsx")


def test_a_pipe_is_never_asked(unfilled):
    arguments = ["new", unfilled, "mine.xlsx"]
    with program(*arguments, stdin=subprocess.PIPE, stdout=subprocess.PIPE) as process:
        out, _ = process.communicate("Name\n4.4\n", timeout=120)
    assert "To be filled in: client, surface_mass" in out
    assert cell("mine.xlsx", "A1") is None


def test_a_terminal_is_asked(unfilled):
    pty = pytest.importorskip("pty", reason="this system has no pseudo-terminals")
    leader, follower = pty.openpty()
    with program("new", unfilled, "mine.xlsx", stdin=follower, stdout=follower) as process:
        os.write(leader, b"Name\n4.4\n")
        process.wait()
    os.close(follower)
    os.close(leader)
    assert (cell("mine.xlsx", "A1"), cell("mine.xlsx", "B1")) == ("Name", pytest.approx(88))
