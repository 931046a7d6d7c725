"""The files of the browser add-in: served where they are, and nothing beside them."""

from __future__ import annotations

import re

import pytest

from service.asking import Application
from stillbook.hosts.browser.generated import GENERATED


@pytest.fixture
def panel(tmp_path) -> Application:
    folder = tmp_path / "web"
    (folder / "parts").mkdir(parents=True)
    for name in (
        "index.html",
        "functions.js",
        "materials.json",
        "style.css",
        "parts/icon.svg",
        "builder.py",
        ".hidden",
    ):
        (folder / name).write_text(f"<p>{name}</p>")
    (tmp_path / "outside.html").write_text("outside")
    return Application(panel=folder)


@pytest.mark.parametrize(
    ("path", "status", "kind"),
    [
        ("/panel/", 200, "text/html"),
        ("/panel/index.html", 200, "text/html"),
        ("/panel/functions.js", 200, "text/javascript"),
        ("/panel/materials.json", 200, "application/json"),
        ("/panel/style.css", 200, "text/css"),
        ("/panel/parts/icon.svg", 200, "image/svg+xml"),
        ("/panel/nosuch.html", 404, ""),
        ("/panel/builder.py", 404, ""),
        ("/panel/.hidden", 404, ""),
        ("/panel/../outside.html", 401, ""),
        ("/panel/..%2foutside.html", 404, ""),
        ("/panel/%2e%2e/outside.html", 404, ""),
    ],
)
def test_a_file(panel, path, status, kind):
    response = panel.ask("GET", path, headers={})
    assert response.status_code == status
    assert response.headers["content-type"].startswith(kind)
    assert "outside" not in response.text


@pytest.mark.parametrize(
    ("path", "sources"),
    [
        ("/panel/", "'self'"),
        ("/panel/index.html", "'self'"),
        ("/panel/functions.js", "'self'"),
        ("/panel/taskpane.html", "'self' https://appsforoffice.microsoft.com"),
    ],
)
def test_where_a_page_may_load_scripts_from(panel, path, sources):
    policy = panel.ask("GET", path, headers={}).headers["content-security-policy"]
    rules = dict(rule.strip().split(" ", 1) for rule in policy.split(";"))
    assert rules["default-src"] == sources
    assert not {"script-src", "connect-src", "frame-src"} & set(rules)
    assert rules["base-uri"] == "'none'"


@pytest.mark.parametrize("name", GENERATED)
def test_a_file_made_from_the_catalogue(name):
    """For the origin at which it was asked; a manifest needs https."""
    application = Application(address="https://localhost:8347")
    response = application.ask("GET", f"/panel/{name}", headers={})
    assert response.status_code == 200
    assert response.text == GENERATED[name].make("https://localhost:8347")
    assert response.headers["content-type"].partition(";")[0] == GENERATED[name].media_type
    assert application.ask("GET", f"/panel/{name}", headers={"Host": "evil.example"}).status_code == 403


def test_no_manifest_without_https(application):
    response = application.ask("GET", "/panel/manifest.xml", headers={})
    assert (response.status_code, "https" in response.json()["detail"]) == (404, True)


def test_the_page_that_is_shipped(application):
    page = application.ask("GET", "/panel/", headers={})
    assert page.status_code == 200
    for file in re.findall(r'(?:src|href)="([\w./]+)"', page.text):
        assert application.ask("GET", f"/panel/{file}", headers={}).status_code == 200, file


@pytest.mark.parametrize(("path", "target"), [("/", "/panel/"), ("/panel", "/panel/")])
def test_the_start_page(panel, path, target):
    response = panel.ask("GET", path, headers={})
    assert response.status_code == 307
    assert response.headers["location"].removeprefix("http://127.0.0.1:8347") == target


def test_without_the_files_the_start_page_is_the_description(tmp_path):
    application = Application(panel=tmp_path / "none")
    assert application.ask("GET", "/", headers={}).headers["location"] == "/docs"
    assert application.ask("GET", "/panel/", headers={}).status_code == 404


def test_the_files_are_not_written_to(panel):
    assert panel.ask("POST", "/panel/index.html", headers={}).status_code == 401


@pytest.mark.parametrize(
    ("path", "status"),
    [
        ("/panel/functions.json", 200),
        ("/panel/icons/mark-32.png", 200),
        ("/panel/icons/mark.svg", 200),
        ("/panel/", 403),
        ("/panel/taskpane.html", 403),
        ("/panel/manifest.xml", 403),
        ("/panel/icons/../facts.js", 403),
        ("/panel/icons/%2e%2e/facts.js", 403),
        ("/panel/functions.json/", 403),
        ("/catalogue", 403),
    ],
)
def test_what_excels_own_pages_may_fetch(application, path, status):
    """Excel in the browser reads them from a page of its own site."""
    response = application.ask("GET", path, headers={"Origin": "https://excel.example"})
    assert response.status_code == status
    shared = status == 200
    assert response.headers.get("access-control-allow-origin") == ("*" if shared else None)
    assert response.headers["cross-origin-resource-policy"] == ("cross-origin" if shared else "same-origin")
    other = application.ask("POST", path, headers={"Origin": "https://excel.example"})
    assert other.status_code == 403
