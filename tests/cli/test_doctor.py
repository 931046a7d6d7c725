"""``doctor``: what is installed, connected and right."""

from functools import cache

import pytest

from stillbook import __version__, doctor
from stillbook.catalogue import formulas
from stillbook.hosts import discovery
from stillbook.hosts.host import Standing, State
from stillbook.hosts.registry import HOSTS
from stillbook.templates import shipped

EXAMPLE_HOLDS = cache(doctor._holds)
"""Whether an example gives what it should: calculated once for all these tests."""


@pytest.fixture
def diagnosed(run, service_home, no_office, monkeypatch):
    """The exit code of ``doctor`` and what it says of each subject, in a line."""
    monkeypatch.setenv("COLUMNS", "500")
    monkeypatch.setattr(doctor, "_holds", EXAMPLE_HOLDS)

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
    assert "absent LibreOffice Calc LibreOffice is not found; printing needs it too: install LibreOffice Calc" in words
    assert "absent Excel on Windows not available" in words
    assert "absent Excel in the browser the calculation service is not running: start it with a certificate" in words
    assert "Next: for LibreOffice Calc, install LibreOffice Calc" in words


def test_doctor_tells_what_is_missing(diagnosed, here, monkeypatch):
    monkeypatch.setattr(shipped, "folder", lambda: here)
    code, words = diagnosed()
    assert code == 1
    assert "fault templates missing quick-quote US" in words
    assert "install Stillbook again" in words


def test_doctor_finds_a_library_that_is_missing(diagnosed, monkeypatch):
    monkeypatch.setattr(
        doctor.metadata,
        "requires",
        lambda _: ["numpy>=2", "gone-library>=1", 'gone-too>=1; sys_platform == "win32"', 'other; extra == "test"'],
    )
    code, words = diagnosed()
    assert code == 1
    assert "fault gone-library not installed: install Stillbook again" in words
    assert "other" not in words.partition("gone-library not installed")[2].partition("good")[0]
    assert "gone-too" not in words


def test_doctor_looks_for_what_windows_alone_needs_there(diagnosed, monkeypatch):
    monkeypatch.setattr(doctor.metadata, "requires", lambda _: ['gone-too>=1; sys_platform == "win32"'])
    monkeypatch.setattr(doctor.sys, "platform", "win32")
    assert "fault gone-too not installed: install Stillbook again" in diagnosed()[1]


def test_doctor_finds_a_formula_that_calculates_wrong(diagnosed, monkeypatch):
    entry = formulas()["DOORMASS"]
    monkeypatch.setattr(doctor, "_holds", lambda call, gives: call != entry.example.call)
    code, words = diagnosed()
    assert code == 1
    assert "fault calculation STILL_DOORMASS differ" in words


@pytest.mark.parametrize(
    ("state", "told", "next_line", "exit_code"),
    [
        (State(Standing.GOOD, "connected: there"), "good {} connected: there", None, 0),
        (State(Standing.ABSENT, "not available: elsewhere"), "absent {} not available: elsewhere", None, 0),
        (State(Standing.ABSENT, "not there", "connect it"), "absent {} not there: connect it", None, 0),
        (
            State(Standing.OUTDATED, "changed", "connect again"),
            "outdated {} changed: connect again",
            "connect again",
            0,
        ),
        (State(Standing.FAULT, "broken", "mend it"), "fault {} broken: mend it", "mend it", 1),
    ],
)
@pytest.mark.parametrize("program", HOSTS)
def test_doctor_tells_how_a_program_stands_and_what_to_do_next(
    program, state, told, next_line, exit_code, diagnosed, monkeypatch
):
    for name, host in HOSTS.items():
        stands = state if name == program else State(Standing.GOOD, "connected")
        monkeypatch.setattr(type(host), "state", lambda _, stands=stands: stands)
    code, words = diagnosed()
    title = HOSTS[program].title
    assert code == exit_code
    assert told.format(title) in words
    # Where nothing is wrong, one connected program is enough to begin.
    other = next(host.title for name, host in HOSTS.items() if name != program or state.standing is Standing.GOOD)
    begin = f'open a workbook in {other}; "stillbook new booth-estimate my-room.xlsx" makes one'
    assert words.endswith(f"Next: for {title}, {next_line}" if next_line else f"Next: {begin}")


def test_doctor_has_nothing_to_add_where_no_program_can_be_connected(diagnosed, monkeypatch):
    for host in HOSTS.values():
        monkeypatch.setattr(type(host), "state", lambda _: State(Standing.ABSENT, "not available"))
    assert "Next:" not in diagnosed()[1]


@pytest.mark.parametrize(
    ("standings", "first"),
    [
        ({"excel": "absent", "libreoffice": "absent", "browser": "absent"}, "excel"),
        ({"excel": "absent", "libreoffice": "outdated", "browser": "outdated"}, "libreoffice"),
        ({"excel": "absent", "libreoffice": "outdated", "browser": "fault"}, "browser"),
    ],
)
def test_doctor_names_what_is_most_wrong_first(standings, first, diagnosed, monkeypatch):
    for name, standing in standings.items():
        state = State(Standing(standing), "so", f"mend {name}")
        monkeypatch.setattr(type(HOSTS[name]), "state", lambda _, state=state: state)
    assert diagnosed()[1].endswith(f"Next: for {HOSTS[first].title}, mend {first}")


def test_doctor_finds_the_service(diagnosed, running):
    running("http://127.0.0.1:1", "0.0.1")
    assert "outdated service 0.0.1 at http://127.0.0.1:1, process 4711: stop it and start it again" in diagnosed()[1]
    running("http://127.0.0.1:1")
    assert f"good service {__version__} at http://127.0.0.1:1, process 4711" in diagnosed()[1]
    assert "a-token" not in diagnosed()[1]


def test_doctor_tells_of_a_teams_service(diagnosed, monkeypatch):
    assert "team's service" not in diagnosed()[1]
    discovery.choose(discovery.Service("https://stillbook.example", "a-token", 0, __version__))
    monkeypatch.setattr(discovery, "answers", lambda service, seconds=2: True)
    assert "good team's service https://stillbook.example calculates for LibreOffice Calc" in diagnosed()[1]
    monkeypatch.setattr(discovery, "answers", lambda service, seconds=2: False)
    code, words = diagnosed()
    assert code == 1
    assert 'Next: for team\'s service, ask whose it is, or run "stillbook connect libreoffice --service here"' in words
    assert "a-token" not in words
