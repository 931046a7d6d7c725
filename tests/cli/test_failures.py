"""What the system can do to a command: full disks, missing permissions, pipes that close, signals."""

import errno
import os
import subprocess
from pathlib import Path

import pytest

from cli.command_line import only_line, program
from stillbook.workbook.file import saving
from stillbook.workbook.job.estimate import Job


def test_a_full_disk_leaves_no_file(small, refused, monkeypatch):
    def full(_):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(saving.os, "fsync", full)
    assert "could not be written" in refused("new", small, "mine.xlsx")
    assert {path.name for path in Path().iterdir()} == {small}


def test_a_folder_without_permission(small, refused, monkeypatch):
    def forbidden(*_):
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))

    monkeypatch.setattr(Path, "replace", forbidden)
    assert "may not be written" in refused("new", small, "mine.xlsx")
    assert {path.name for path in Path().iterdir()} == {small}


@pytest.mark.parametrize(
    ("fault", "words", "other"),
    [
        (
            ModuleNotFoundError("No module named 'numbers9'"),
            "(No module named 'numbers9'): it is missing: install",
            "memory",
        ),
        (ImportError("numbers9.so: failed to map segment from shared object"), "too little free memory", "install"),
        (MemoryError(), "too little free memory", "install"),
    ],
)
def test_a_library_that_is_missing_is_not_told_as_too_little_memory(small, refused, monkeypatch, fault, words, other):
    def fail(*_):
        raise fault

    monkeypatch.setattr(Job, "calculate", fail)
    said = refused("calc", small)
    assert words in said
    assert other not in said


def test_inputs_without_permission(small, refused, monkeypatch):
    def forbidden(self, *_):
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(self))

    Path("in.toml").write_text("doors = 3")
    monkeypatch.setattr(Path, "read_text", forbidden)
    assert refused("new", small, "mine.xlsx", "--inputs", "in.toml").startswith("in.toml: no permission")


def test_ctrl_c_is_told_and_leaves_no_file(small, run, monkeypatch):
    def pressed(*_):
        raise KeyboardInterrupt

    monkeypatch.setattr(Job, "calculate", pressed)
    code, out, err = run("new", small, "mine.xlsx")
    assert (code, out) == (130, "")
    assert only_line(err.lstrip("\n")).startswith("stopped")
    assert not Path("mine.xlsx").exists()


def test_a_mistake_of_our_own_is_not_hidden(small, run, monkeypatch):
    def broken(*_):
        raise ZeroDivisionError

    monkeypatch.setattr(Job, "calculate", broken)
    with pytest.raises(ZeroDivisionError):
        run("calc", small)


@pytest.mark.skipif(os.name != "posix", reason="pipes of this kind are POSIX")
@pytest.mark.parametrize("arguments", [["formulas"], ["eval", "=1"], ["--help"]])
def test_a_reader_that_goes_away_is_no_fault(arguments):
    read, write = os.pipe()
    os.close(read)
    with program(*arguments, stdout=write) as process:
        os.close(write)
        assert process.communicate()[1] == ""


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="this system has no device that is always full")
@pytest.mark.parametrize("arguments", [["formulas"], ["eval", "=1"], ["--help"]])
def test_output_that_cannot_be_written_is_told(arguments):
    with Path("/dev/full").open("w") as full, program(*arguments, stdout=full) as process:
        assert "the disk is full" in only_line(process.communicate()[1])
    assert process.returncode == 2


def test_a_terminal_without_the_signs_shows_others():
    environment = {**os.environ, "PYTHONIOENCODING": "ascii"}
    with program("formulas", "SURFACEMASS", stdout=subprocess.PIPE, env=environment) as process:
        out, err = process.communicate()
    assert (process.returncode, err) == (0, "")
    assert "lb/ft?" in out


def test_colour_is_left_out_when_asked(monkeypatch):
    pty = pytest.importorskip("pty", reason="this system has no pseudo-terminals")

    def shown(**extra):
        leader, follower = pty.openpty()
        environment = {**os.environ, "TERM": "xterm-256color", **extra}
        with program("templates", stdout=follower, stdin=follower, env=environment) as process:
            process.wait()
        os.close(follower)
        text = os.read(leader, 65536).decode()
        os.close(leader)
        return text

    assert "\x1b[3" not in shown(NO_COLOR="1")
    assert "booth-estimate" in shown()
