"""``doctor``: what is installed, connected and right."""

import os

import pytest

from stillbook import __version__, doctor
from stillbook.catalogue import formulas
from stillbook.hosts import excel_addin
from stillbook.hosts.libreoffice import connection, office
from stillbook.templates import shipped


@pytest.fixture
def diagnosed(run, service_home, no_office, monkeypatch):
    """The exit code of ``doctor`` and what it says of each subject, in a line."""
    monkeypatch.setenv("COLUMNS", "500")

    def diagnosed():
        code, out, _ = run("doctor")
        return code, " ".join(out.split())

    return diagnosed


def test_doctor_finds_all_well(diagnosed):
    code, words = diagnosed()
    assert code == 0
    for subject in ("Python", "formualizer", "templates", "calculation"):
        assert f"good {subject}" in words
    assert "absent service not running" in words
    assert "absent LibreOffice not found" in words
    assert "absent formulas in Excel" in words


def test_doctor_tells_what_is_missing(diagnosed, here, monkeypatch):
    monkeypatch.setattr(shipped, "folder", lambda: here)
    code, words = diagnosed()
    assert code == 1
    assert "fault templates missing booth-estimate US" in words
    assert "install Stillbook again" in words


def test_doctor_finds_a_library_that_is_missing(diagnosed, monkeypatch):
    monkeypatch.setattr(
        doctor.metadata, "requires", lambda _: ["numpy>=2", "gone-library>=1", 'other; extra == "test"']
    )
    code, words = diagnosed()
    assert code == 1
    assert "fault gone-library not installed: run" in words
    assert "other" not in words.partition("gone-library not installed")[2].partition("good")[0]


def test_doctor_finds_a_formula_that_calculates_wrong(diagnosed, monkeypatch):
    entry = formulas()["DOORMASS"]
    monkeypatch.setattr(doctor, "_holds", lambda call, gives: call != entry.example.call)
    code, words = diagnosed()
    assert code == 1
    assert "fault calculation STILL_DOORMASS differ" in words


@pytest.mark.parametrize(
    ("status", "state"),
    [
        ("not connected", "absent"),
        ("not available: elsewhere", "absent"),
        ("connected: there", "good"),
        ("connected for all users: there", "good"),
        ("connected, but the formulas have changed", "outdated"),
        ("connected to another Python, there", "outdated"),
    ],
)
def test_doctor_judges_a_connection(status, state, diagnosed, monkeypatch):
    monkeypatch.setattr(excel_addin, "status", lambda: status)
    code, words = diagnosed()
    assert code == 0
    assert f"{state} formulas in Excel {status}" in words


def test_doctor_finds_the_service(diagnosed, running):
    running("http://127.0.0.1:1", "0.0.1")
    assert "outdated service 0.0.1 at http://127.0.0.1:1, process 4711: stop it and start it again" in diagnosed()[1]
    running("http://127.0.0.1:1")
    assert f"good service {__version__} at http://127.0.0.1:1, process 4711" in diagnosed()[1]
    assert "a-token" not in diagnosed()[1]


@pytest.mark.skipif(os.name != "posix", reason="plays a program by a script of the shell")
def test_doctor_finds_libreoffice(diagnosed, here, monkeypatch):
    script = here / "soffice"
    monkeypatch.setattr(office, "find", lambda: office.Office(here))
    monkeypatch.setattr(connection, "status", lambda mine: ["connected: 3 formulas"] if mine.program == here else [])
    script.write_text("#!/bin/sh\necho LibreOffice 7.4.7.2 40\n")
    script.chmod(0o755)
    words = diagnosed()[1]
    assert f"good LibreOffice 7.4.7.2 in {script}" in words
    assert "good formulas in LibreOffice connected: 3 formulas" in words
    script.write_text("#!/bin/sh\nexit 3\n")
    assert f"absent LibreOffice {script} is there but does not answer" in diagnosed()[1]
