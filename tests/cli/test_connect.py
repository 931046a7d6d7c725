"""``connect`` and ``disconnect``: the spreadsheet programs."""

from pathlib import Path

import pytest

from stillbook.hosts.browser.manifest import manifest
from stillbook.hosts.excel import connection as excel
from stillbook.hosts.registry import HOSTS


@pytest.mark.parametrize("action", ["connect", "disconnect"])
@pytest.mark.parametrize("program", HOSTS)
def test_a_program_is_connected_by_its_host(action, program, run, monkeypatch):
    monkeypatch.setattr(
        type(HOSTS[program]), action, lambda _, **how: ["One thing was done.", "Another is to be done."]
    )
    assert run(action, program) == (0, "One thing was done.\nAnother is to be done.\n", "")


def test_help_tells_what_each_program_is(run):
    words = {command: " ".join(run(command, "--help")[1].split()) for command in ("connect", "convert")}
    for host in HOSTS.values():
        assert f"{host.name} {host.help}" in words["connect"]
        assert f"{host.title}: {host.reads}" in words["convert"]


def test_a_host_that_cannot_be_connected_says_what_to_do(refused, monkeypatch, no_office):
    monkeypatch.setattr(excel, "on_windows", lambda: False)
    assert "use LibreOffice Calc or Excel in the browser" in refused("connect", "excel")
    assert "LibreOffice is not found: install LibreOffice Calc" in refused("connect", "libreoffice")


def test_the_manifest_for_the_browser_is_written_here(run, running, here):
    service = running("https://localhost:8347")
    for _ in range(2):
        code, out, err = run("connect", "browser")
        assert (code, err) == (0, "")
        assert str(here / "stillbook-manifest.xml") in out.splitlines()
        assert service.link in out.splitlines()
    assert Path("stillbook-manifest.xml").read_text("utf-8") == manifest("https://localhost:8347")
    assert "clear what it has stored" in run("disconnect", "browser")[1]


def test_the_browser_needs_a_service_with_https(refused, running, service_home):
    assert "the calculation service is not running: start it with a certificate" in refused("connect", "browser")
    running("http://127.0.0.1:8347")
    assert "start it with a certificate and its key" in refused("connect", "browser")
    running("https://localhost:8347")
    Path("stillbook-manifest.xml").write_text("mine")
    assert "stillbook-manifest.xml is here already" in refused("connect", "browser")
    assert Path("stillbook-manifest.xml").read_text() == "mine"
