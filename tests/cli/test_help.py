"""Help, and a command line that is wrong."""

import subprocess
import sys

import pytest

from stillbook.cli import stillbook

SECTIONS = {
    "Estimates": ["demo", "new", "inputs", "set", "calc", "print", "draw"],
    "Jobs in an office": ["share", "bids", "compare", "carry", "reprice", "actuals", "batch", "explore", "options"],
    "Formulas": ["eval", "formulas", "manual"],
    "Templates": ["templates"],
    "Spreadsheet programs": ["connect", "disconnect", "convert", "serve"],
    "This computer": ["doctor", "completion"],
}


COMMANDS = [name for names in SECTIONS.values() for name in names]


def test_help_lists_the_commands_in_sections_in_the_order_of_their_use(run):
    code, out, _ = run("--help")
    assert code == 0
    sections = out.partition("Show this message and exit.\n\n")[2].partition("\n\n  Exit codes")[0].split("\n\n")
    found = {title: [line.split()[0] for line in lines] for title, *lines in map(str.splitlines, sections)}
    assert found == {f"{title}:": names for title, names in SECTIONS.items()}
    assert list(stillbook.commands) == COMMANDS
    assert max(map(len, out.splitlines())) <= 80


@pytest.mark.parametrize("command", COMMANDS)
def test_each_command_explains_itself(command, run):
    code, out, _ = run(command, "-h")
    assert code == 0
    assert out.startswith(f"Usage: stillbook {command}")


def test_help_needs_no_heavy_library():
    heavy = {"numpy", "openpyxl", "pint", "rich", "formualizer", "lxml", "fluids", "fastapi", "uvicorn", "xlwings"}
    asked = "import sys, stillbook.cli; print(*sys.modules)"
    loaded = subprocess.run([sys.executable, "-c", asked], check=True, capture_output=True, text=True).stdout.split()
    assert not heavy & set(loaded)


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["evil"], "No such command 'evil'"),
        (["new", "booth-estimate"], "Missing argument 'FILE' (run \"stillbook new --help\""),
        (["calc"], "Missing argument 'FILE...'"),
        (["eval", "=1", "--jsn"], "No such option"),
        (["new", "booth-estimate", "a.xlsx", "--units", "metric"], "'metric' is not one of"),
        (["share", "a.xlsx", "b.xlsx"], "Missing option '--for'"),
        (["share", "a.xlsx", "b.xlsx", "--for", "all"], "'all' is not one of 'client', 'contractor'"),
        (["compare", "a.xlsx"], "Missing argument 'SECOND'"),
        (["carry", "a.xlsx", "b.xlsx"], "Missing option '--to'"),
        (["reprice", "a.xlsx"], "Missing option '--prices'"),
        (["bids", "a.xlsx", "b.xlsx"], "Missing option '--job'"),
        (["bids", "a.xlsx", "--job", "b.xlsx"], "Missing argument"),
        (["batch", "jobs", "--do", "print"], "'print' is not one of 'calculate', 'check', 'reprice'"),
        (["batch", "jobs", "--do", "reprice"], "--do reprice needs --prices"),
        (["batch", "jobs", "--prices", "book.xlsx"], "--do reprice needs --prices, and nothing else takes"),
        (["batch", "jobs", "--level", "trade"], "nothing else takes --prices or --level"),
        (["batch", "jobs", "--workers", "0"], "0 is not in the range"),
        (["explore", "a.xlsx"], "Missing argument 'OUT'"),
        (["explore", "a.xlsx", "b.xlsx", "--most", "0"], "0 is not in the range"),
        (["new", "a.xlsx", "b.xlsx", "--variant", "3"], "--variant is that of an exploration"),
        (["templates", "ad"], "No such command 'ad'"),
        (["connect"], "Missing argument"),
        (["connect", "abacus"], "'abacus' is not one of 'excel', 'libreoffice', 'browser'"),
        (["convert", "a.xlsx", "b.xlsx"], "Missing option '--for'"),
        (["serve", "--port", "many"], "'many' is not a valid integer"),
    ],
)
def test_a_wrong_command_line_is_told_in_a_line(arguments, said, refused):
    assert said in refused(*arguments)
