"""Completion in a shell: the script that it is given, and the words that are offered."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from click.shell_completion import BashComplete

from stillbook.cli import completion, stillbook
from stillbook.templates.shipped import TEMPLATES

ASKING = {shell: f"{completion.VARIABLE}={shell}_complete" for shell in ("bash", "zsh", "fish")}


@pytest.mark.parametrize("shell", completion.SHELLS)
def test_each_shell_gets_its_script(shell, run):
    code, out, err = run("completion", shell)
    assert (code, err) == (0, "")
    assert "stillbook" in out
    asking = ASKING.get(shell, f"$env:{completion.VARIABLE} = 'powershell_complete'")
    assert asking in out


def test_the_variable_of_the_shell_gives_the_same_script(run):
    asked = {**os.environ, completion.VARIABLE: "zsh_source"}
    command = [sys.executable, "-c", "from stillbook.cli import main; main()"]
    found = subprocess.run(command, env=asked, capture_output=True, text=True, check=True)
    assert found.stdout.strip() == run("completion", "zsh")[1].strip()


def test_another_shell_is_refused(refused):
    assert "'tcsh' is not one of 'bash', 'zsh', 'fish', 'powershell'" in refused("completion", "tcsh")


NAMES = [entry.name for entry in TEMPLATES]


@pytest.mark.parametrize(
    ("before", "begun", "offered"),
    [
        ([], "te", {"templates"}),
        (["templates"], "a", {"add"}),
        (["eval"], "--j", {"--json"}),
        (["share", "a.xlsx", "b.xlsx", "--for"], "c", {"client", "contractor"}),
        (["new"], "", set(NAMES)),
        (["new"], "boo", {"booth-estimate"}),
        (["inputs"], "price", {"price-book"}),
        (["carry", "a.xlsx", "b.xlsx", "--to"], "air", {"air-schedule"}),
        (["formulas"], "doort", {"DOORTARGETMASS", "DOORTL"}),
        (["formulas"], "STILL_DUCTR", {"DUCTROUND"}),
        (["completion"], "p", {"powershell"}),
        (["connect"], "l", {"libreoffice"}),
    ],
)
def test_what_is_offered(before, begun, offered):
    shell = BashComplete(stillbook, {}, "stillbook", completion.VARIABLE)
    assert {item.value for item in shell.get_completions(before, begun)} == offered


@pytest.mark.parametrize("before", [["new"], ["calc"], ["inputs"], ["new", "booth-estimate"]])
def test_where_a_file_belongs_the_shell_names_files(before):
    shell = BashComplete(stillbook, {}, "stillbook", completion.VARIABLE)
    assert [item.type for item in shell.get_completions(before, "mine.x")] == ["file"]


def test_powershell_gets_a_word_and_its_help_a_line(monkeypatch):
    monkeypatch.setenv("COMP_WORDS", "stillbook formulas ductro")
    monkeypatch.setenv("COMP_WORD", "ductro")
    shell = completion.PowerShell(stillbook, {}, "stillbook", completion.VARIABLE)
    assert shell.complete() == ("DUCTROUND\tSmallest standard round duct that keeps the air at or below a velocity")
    monkeypatch.setenv("COMP_WORDS", "stillbook calc ")
    monkeypatch.setenv("COMP_WORD", "")
    assert shell.complete() == ""  # names of files are its own


def test_bash_completes_with_the_script():
    if shutil.which("bash") is None:
        pytest.skip("bash is not installed")
    home = Path(sys.executable).parent
    script = (
        'eval "$(stillbook completion bash)"; COMP_WORDS=(stillbook new room); COMP_CWORD=2; '
        '_stillbook_completion stillbook; echo "${COMPREPLY[@]}"'
    )
    asked = {**os.environ, "PATH": f"{home}{os.pathsep}{os.environ['PATH']}"}
    found = subprocess.run(["bash", "-c", script], env=asked, capture_output=True, text=True, check=True)
    assert found.stdout.strip() == "room-conversion"
