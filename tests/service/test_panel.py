"""The files of the browser add-in: served where they are, and nothing beside them."""

from __future__ import annotations

import pytest

from service.asking import Application


@pytest.fixture
def panel(tmp_path) -> Application:
    folder = tmp_path / "web"
    (folder / "parts").mkdir(parents=True)
    for name in (
        "index.html",
        "functions.js",
        "functions.json",
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
        ("/panel/functions.json", 200, "application/json"),
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


def test_the_page_may_load_scripts_from_here_alone(panel):
    policy = panel.ask("GET", "/panel/", headers={}).headers["content-security-policy"]
    rules = dict(rule.strip().split(" ", 1) for rule in policy.split(";"))
    assert rules["default-src"].split()[0] == "'self'"
    assert "script-src" not in rules
    assert "unsafe" not in rules["default-src"]
    assert rules["base-uri"] == "'none'"


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
