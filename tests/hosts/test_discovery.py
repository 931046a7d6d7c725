"""The discovery file and the kept token: where they are, who can read them, and what is not believed."""

from __future__ import annotations

import os
import stat
import threading
from pathlib import Path

import pytest

from stillbook.hosts import discovery
from stillbook.hosts.discovery import Service

SERVICE = Service("http://127.0.0.1:8347", "t" * 43, 4711, "0.1.0")
posix = pytest.mark.skipif(os.name != "posix", reason="file modes are POSIX's")


@pytest.mark.parametrize(
    ("environment", "record", "token"),
    [
        ({"STILLBOOK_HOME": "h", "XDG_RUNTIME_DIR": "r"}, "h/service.json", "h/token"),
        ({"XDG_RUNTIME_DIR": "r"}, "r/stillbook/service.json", "home/.config/stillbook/token"),
        ({"XDG_RUNTIME_DIR": "gone"}, "home/.config/stillbook/service.json", "home/.config/stillbook/token"),
        ({"XDG_RUNTIME_DIR": "r", "XDG_CONFIG_HOME": "c"}, "r/stillbook/service.json", "c/stillbook/token"),
        ({"XDG_CONFIG_HOME": "c"}, "c/stillbook/service.json", "c/stillbook/token"),
        ({"LOCALAPPDATA": "l"}, "l/stillbook/service.json", "l/stillbook/token"),
        ({}, "home/.config/stillbook/service.json", "home/.config/stillbook/token"),
    ],
)
def test_where_the_files_are(tmp_path, monkeypatch, environment, record, token):
    (tmp_path / "r").mkdir()
    for name in ("STILLBOOK_HOME", "XDG_RUNTIME_DIR", "XDG_CONFIG_HOME", "LOCALAPPDATA"):
        monkeypatch.delenv(name, raising=False)
    for name, folder in {"HOME": "home", **environment}.items():
        monkeypatch.setenv(name, str(tmp_path / folder))
    assert (discovery.record_file(), discovery.token_file()) == (tmp_path / record, tmp_path / token)


def test_what_is_published_is_found_and_withdrawn(home):
    assert discovery.find() is None
    discovery.publish(SERVICE)
    assert discovery.find() == SERVICE
    discovery.withdraw(SERVICE.pid + 1)
    assert discovery.find() == SERVICE
    discovery.withdraw(SERVICE.pid)
    assert not discovery.record_file().exists()
    discovery.withdraw(SERVICE.pid)


@posix
def test_only_the_owner_can_read_the_files(home):
    before = os.umask(0)
    try:
        discovery.publish(SERVICE)
        discovery.kept_token()
    finally:
        os.umask(before)
    assert {path.name: stat.S_IMODE(path.stat().st_mode) for path in (home, *home.iterdir())} == {
        "home": 0o700,
        "service.json": 0o600,
        "token": 0o600,
    }


@posix
@pytest.mark.parametrize("mode", [0o640, 0o604, 0o620, 0o602, 0o666])
def test_what_others_could_read_or_write_is_not_believed(home, mode):
    discovery.publish(SERVICE)
    token = discovery.kept_token()
    for path in (discovery.record_file(), discovery.token_file()):
        path.chmod(mode)
    assert discovery.find() is None
    renewed = discovery.kept_token()
    assert renewed != token
    assert discovery.kept_token() == renewed


@pytest.mark.parametrize("text", ["", "{", "[]", "null", "{}", '{"address": "x"}', '{"pid": 1, "more": 2}', "\u00e9"])
def test_a_broken_record_is_none(home, text):
    discovery.publish(SERVICE)
    discovery.record_file().write_text(text)
    assert discovery.find() is None


@pytest.mark.parametrize("text", ["", "short", "é" * 50, "x" * 42])
def test_a_broken_token_is_renewed(home, text):
    discovery.kept_token()
    discovery.token_file().write_text(text)
    assert len(discovery.kept_token()) == 43


def test_the_token_is_random_and_kept(tmp_path, monkeypatch):
    tokens = []
    for name in ("one", "two"):
        monkeypatch.setenv("STILLBOOK_HOME", str(tmp_path / name))
        tokens += [discovery.kept_token(), discovery.kept_token()]
    assert tokens[0] == tokens[1] != tokens[2] == tokens[3]


def test_a_reader_never_sees_a_part(home):
    """Two writers and a reader: each text read is whole, and no temporary file is left."""
    services = [Service("http://127.0.0.1:1", letter * 3000, 1, "0") for letter in "ab"]
    discovery.publish(services[0])
    writers = [threading.Thread(target=lambda s=s: [discovery.publish(s) for _ in range(60)]) for s in services]
    for writer in writers:
        writer.start()
    while any(writer.is_alive() for writer in writers):
        assert discovery.find() in services
    for writer in writers:
        writer.join()
    assert [path.name for path in home.iterdir()] == ["service.json"]


def test_nothing_is_left_when_writing_fails(home, monkeypatch):
    home.mkdir()
    monkeypatch.setattr(Path, "replace", lambda *_: (_ for _ in ()).throw(OSError("disk full")))
    with pytest.raises(OSError, match="disk full"):
        discovery.publish(SERVICE)
    assert list(home.iterdir()) == []


@pytest.mark.parametrize(
    "address", ["http://127.0.0.1:1", "https://127.0.0.1:1", "http://127.0.0.1:99999", "nonsense", ""]
)
def test_nobody_answers(address):
    assert not discovery.answers(Service(address, "t", 1, "0"), seconds=0.5)


def test_the_link_of_the_panel():
    assert SERVICE.link == f"http://127.0.0.1:8347/panel/#token={'t' * 43}"


def test_what_runs_is_what_answers(home, monkeypatch):
    assert discovery.running() is None
    discovery.publish(SERVICE)
    monkeypatch.setattr(discovery, "answers", lambda service: service != SERVICE)
    assert discovery.running() is None
    monkeypatch.setattr(discovery, "answers", lambda service: service == SERVICE)
    assert discovery.running() == SERVICE
