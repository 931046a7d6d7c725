"""What commands print holds in 80 columns, in a terminal, a pipe or a file; long paths and numbers stay whole."""

import sys
from pathlib import Path

import pytest

from cli.command_line import shipped
from stillbook.cli import screen

COMMANDS = [
    ["templates"],
    ["templates", "add", "small.xlsx"],
    ["inputs", "booth-estimate"],
    ["inputs", "small.xlsx"],
    ["new", "booth-estimate", "new.xlsx", "--set", "people=3"],
    ["new", "booth-estimate", "next.xlsx", "--from", "booth.xlsx"],
    ["set", "booth.xlsx", "people=3", "floor_capacity=5 kPa"],
    ["calc", "booth.xlsx"],
    ["carry", "booth.xlsx", "--to", "room-conversion", "carried.xlsx"],
    ["compare", "booth.xlsx", "small.xlsx"],
    ["reprice", "booth.xlsx", "--prices", "prices.xlsx"],
    ["share", "booth.xlsx", "copy.xlsx", "--for", "client"],
    ["share", "booth.xlsx", "copy.xlsx", "--for", "client", "--draft"],
    ["batch", "jobs"],
    ["draw", "booth.xlsx", "--to", "booth.dxf"],
    ["bids", "--help"],
    ["formulas"],
    ["formulas", "DOORMASS"],
    ["formulas", "heavy", "door"],
    ["eval", "=STILL_CAVITYTL(4.4,4.4,4)"],
    ["eval", '=STILL_WHY("DOORTARGETMASS","88 lb",36,80)'],
    ["doctor"],
    ["demo", "demo.xlsx"],
    ["manual", "manual"],
    ["inputs", "booth.xlsx", "no_such"],
    ["calc", "there-is-no-such-workbook-in-this-folder-with-so-long-a-name-that-it-cannot-hold-in-a-line.xlsx"],
]  # fmt: skip


def too_wide(text):
    """Lines of more than 80 letters that are more than one path or number."""
    return [line for line in text.splitlines() if len(line) > screen.USUAL_WIDTH and " " in line.strip()]


def test_what_commands_print_holds_in_80_columns(small, run, here, monkeypatch):
    monkeypatch.delenv("COLUMNS")
    shipped("booth-estimate", "booth.xlsx")
    shipped("price-book", "prices.xlsx")
    Path("jobs").mkdir()
    Path("jobs", "one.xlsx").write_bytes(Path("booth.xlsx").read_bytes())
    wide = {}
    for command in COMMANDS:
        _, out, err = run(*command)
        assert out or err, command
        if lines := too_wide(out):
            wide[" ".join(command)] = lines[:3]
    assert wide == {}


TABLES = [
    # headings, row, width, lines
    (("Name", "What"), ("wall", "one two three four five"), 24, ["Name  What", "wall  one two three four", "      five"]),
    (("Name", "No.", "What"), ("a" * 30, "1,234", "one two three"), 40, ["Name", "    No.  What", "a" * 30, "  1,234  one two three"]),
    (("Name", "What"), ("a", "b" * 40), 30, ["Name  What", "a     " + "b" * 24, "      " + "b" * 16]),
    ((), ("  sheet", "A1, A2"), 80, ["  sheet  A1, A2"]),
]  # fmt: skip


@pytest.mark.parametrize(("headings", "row", "width", "lines"), TABLES)
def test_a_table_wraps_its_words_and_keeps_names_and_numbers(headings, row, width, lines, capsys, monkeypatch):
    monkeypatch.setenv("COLUMNS", str(width))
    screen.show_table(headings, [row], right=("No.",))
    assert capsys.readouterr().out.splitlines() == lines


def test_a_complaint_is_one_line_in_a_pipe_and_wraps_at_a_terminal(capsys, monkeypatch):
    words = "stillbook: " + "word " * 30
    screen.complain(words)
    assert len(capsys.readouterr().err.splitlines()) == 1
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True, raising=False)
    screen.complain(words)
    assert not too_wide(capsys.readouterr().err)


def test_a_long_path_stays_whole(capsys, monkeypatch):
    monkeypatch.setenv("COLUMNS", "20")
    screen.say("The file is /a/path/that-is-long/and-longer.xlsx, or not")
    assert capsys.readouterr().out.splitlines() == ["The file is", "/a/path/that-is-long/and-longer.xlsx,", "or not"]


def test_a_bar_moves_where_someone_is_watching(monkeypatch):
    with screen.progress_bar(str) as moved:
        assert moved is None
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True, raising=False)
    with screen.progress_bar("{} pass".format) as moved:
        moved(1, None, 3)
        moved(2, 2, 4)
