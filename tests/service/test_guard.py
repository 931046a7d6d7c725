"""Who may call, from where, and how much a request may hold."""

from __future__ import annotations

import asyncio

import pytest

from service.asking import BEARER, TOKEN, Application
from stillbook.service.guard import Access
from stillbook.service.limits import Limits

PROTECTED = [
    ("POST", "/calls"),
    ("GET", "/catalogue"),
    ("GET", "/recent-errors"),
    ("GET", "/health"),
    ("GET", "/metrics"),
]


@pytest.mark.parametrize(("method", "path"), [*PROTECTED, ("GET", "/nosuch"), ("OPTIONS", "/calls"), ("POST", "/docs")])
@pytest.mark.parametrize(
    "header",
    [
        None,
        "",
        "Bearer",
        "Bearer ",
        "Bearer wrong",
        f"Bearer {TOKEN[:-1]}",
        f"Bearer {TOKEN}x",
        f"Bearer {TOKEN.upper()}",
        f"Basic {TOKEN}",
        TOKEN,
        "Bearer t\u00f6ken".encode(),
    ],
)
def test_without_the_token_nothing_is_answered(application, method, path, header):
    response = application.ask(method, path, headers={} if header is None else {"Authorization": header})
    assert response.status_code == 401
    assert response.headers["www-authenticate"] == "Bearer"
    assert "the token is missing or wrong" in response.json()["detail"]


@pytest.mark.parametrize("query", [f"?token={TOKEN}", f"?access_token={TOKEN}"])
def test_the_token_does_not_count_in_an_address(application, query):
    assert application.ask("GET", f"/health{query}", headers={}).status_code == 401


@pytest.mark.parametrize(("method", "path"), PROTECTED)
def test_with_the_token_every_route_answers(application, method, path):
    body = {"json": {"calls": []}} if method == "POST" else {}
    assert application.ask(method, path, **body).status_code == 200
    assert application.ask(method, path, headers={"authorization": f"bearer {TOKEN}"}, **body).status_code == 200


@pytest.mark.parametrize("path", ["/docs", "/openapi.json", "/static-offline-docs/swagger-ui-bundle.js"])
def test_the_description_needs_no_token(application, path):
    assert application.ask("GET", path, headers={}).status_code == 200


@pytest.mark.parametrize(
    ("host", "status"),
    [
        ("127.0.0.1:8347", 200),
        ("localhost:8347", 200),
        ("LOCALHOST:8347", 200),
        ("[::1]:8347", 200),
        ("127.0.0.1", 403),
        ("127.0.0.1:8348", 403),
        ("evil.example:8347", 403),
        ("evil.example", 403),
        ("localhost.evil.example:8347", 403),
        ("127.0.0.1:8347.evil.example", 403),
        ("localhost:8347@evil.example", 403),
        ("0.0.0.0:8347", 403),
        ("", 403),
    ],
)
@pytest.mark.parametrize("path", ["/health", "/docs"])
def test_only_the_services_own_names_are_answered(application, host, status, path):
    assert application.ask("GET", path, headers={**BEARER, "Host": host}).status_code == status


@pytest.mark.parametrize(
    ("origin", "status"),
    [
        ("http://127.0.0.1:8347", 200),
        ("http://localhost:8347", 200),
        ("http://127.0.0.1:8348", 403),
        ("http://127.0.0.1", 403),
        ("https://127.0.0.1:8347", 403),
        ("https://evil.example", 403),
        ("http://127.0.0.1:8347.evil.example", 403),
        ("null", 403),
        ("", 403),
    ],
)
@pytest.mark.parametrize(("method", "path"), [("GET", "/health"), ("POST", "/calls"), ("GET", "/docs")])
def test_pages_of_other_sites_are_refused(application, origin, status, method, path):
    body = {"json": {"calls": []}} if method == "POST" else {}
    response = application.ask(method, path, headers={**BEARER, "Origin": origin}, **body)
    assert response.status_code == status
    assert not [name for name in response.headers if name.startswith("access-control-")]


def test_a_preflight_from_another_site_is_refused(application):
    asks = {"Origin": "https://evil.example", "Access-Control-Request-Method": "POST"}
    assert application.ask("OPTIONS", "/calls", headers=asks).status_code == 403


def test_two_hosts_are_refused(application):
    headers = [*BEARER.items(), ("Host", "127.0.0.1:8347"), ("Host", "evil.example")]
    assert application.ask("GET", "/health", headers=headers).status_code == 403


@pytest.mark.parametrize(
    ("address", "host"),
    [
        ("https://localhost:8347", "localhost:8347"),
        ("https://studio.example:443", "studio.example"),
        ("https://Studio.example:443", "studio.example:443"),
        ("http://127.0.0.1:80", "127.0.0.1"),
        ("http://[::1]:8347", "[::1]:8347"),
    ],
)
def test_the_names_of_an_address(address, host):
    access = Access.to(address, TOKEN)
    assert host in access.hosts
    assert f"{address.partition(':')[0]}://{host}" in access.origins


def test_a_body_is_bounded_also_when_its_length_is_not_told():
    application = Application(Limits(body_bytes=1000))

    async def pieces():
        for _ in range(100):
            yield b" " * 100

    response = application.ask("POST", "/calls", content=pieces(), headers=BEARER)
    assert (response.status_code, "1000 bytes" in response.json()["detail"]) == (413, True)


@pytest.mark.parametrize("length", ["1001", "9" * 40, "-1", "x"])
def test_a_length_that_is_told_is_refused_before_the_body_is_read(length):
    async def never():
        raise AssertionError("the body was read")
        yield b""

    application = Application(Limits(body_bytes=1000))
    response = application.ask("POST", "/calls", content=never(), headers={**BEARER, "Content-Length": length})
    assert response.status_code == 413


def test_a_body_that_does_not_come_is_not_waited_for():
    async def stuck():
        yield b"{"
        await asyncio.sleep(20)

    application = Application(Limits(body_seconds=0.1))

    async def ask():
        """httpx reads the body while the application asks for it, so the wait is the application's."""
        return await application.together([("POST", "/calls", {"content": stuck(), "headers": BEARER})])

    assert asyncio.run(ask())[0].status_code == 408


@pytest.mark.parametrize("path", ["/health", "/docs", "/nosuch"])
def test_safe_headers(application, path):
    headers = application.ask("GET", path).headers
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["cross-origin-resource-policy"] == "same-origin"
    assert "server" not in headers


def test_answers_are_not_stored_by_a_browser(application):
    assert application.ask("POST", "/calls", json={"calls": []}).headers["cache-control"] == "no-store"


def test_the_description_names_every_route_and_loads_nothing_from_elsewhere(application):
    described = application.ask("GET", "/openapi.json").json()
    assert sorted(described["paths"]) == ["/alive", "/calls", "/catalogue", "/health", "/metrics", "/recent-errors"]
    assert described["security"] == [{"token": []}]
    page = application.ask("GET", "/docs")
    assert "http:" not in page.text
    assert "https:" not in page.text
    assert "default-src 'self'" in page.headers["content-security-policy"]


def test_a_failure_is_told_without_its_contents(application, monkeypatch):
    def broken():
        raise RuntimeError("secret 4711")

    monkeypatch.setattr(application.recent, "newest_first", broken)
    response = application.ask("GET", "/recent-errors")
    assert (response.status_code, response.json()) == (
        500,
        {"detail": "the service failed on this request: its log tells where"},
    )
