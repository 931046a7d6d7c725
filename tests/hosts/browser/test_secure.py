"""The add-in as Excel loads it: over https, from the origin its manifest names."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import trustme

from hosts.browser.browsing import Desk, Sheet
from service.asking import Running, started
from stillbook.hosts.browser.manifest import manifest

pytestmark = pytest.mark.host


@pytest.fixture(scope="module")
def secure(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    """A service with a certificate for localhost."""
    folder = tmp_path_factory.mktemp("secure")
    made = trustme.CA().issue_cert("localhost")
    made.cert_chain_pems[0].write_to_path(folder / "certificate.pem")
    made.private_key_pem.write_to_path(folder / "key.pem")
    with started(
        folder / "home", host="localhost", certificate=folder / "certificate.pem", key=folder / "key.pem"
    ) as running:
        yield running


def test_the_manifest_is_saved_from_the_panel(browser: Any, secure: Running, tmp_path: Path) -> None:
    with Desk.at(browser, secure, ignore_https_errors=True) as desk:
        page = desk.open("set-up")
        with page.expect_download() as download:
            page.get_by_role("link", name="Save the manifest").click()
        download.value.save_as(tmp_path / "saved.xml")
        assert (tmp_path / "saved.xml").read_text("utf-8") == manifest(secure.service.address)
        assert download.value.suggested_filename == "stillbook-manifest.xml"


def test_the_add_in_calculates(browser: Any, secure: Running) -> None:
    with Sheet.at(browser, secure, ignore_https_errors=True) as sheet:
        assert sheet.call("DOORTARGETMASS", 4.4, 36, 80) == [[88.0]]
        assert sheet.complaints == []


def test_a_page_of_excels_own_site_reads_the_metadata_and_no_more(browser: Any, secure: Running) -> None:
    """As Excel in the browser does: office-js-docs-pr issue 1920 and office-js issue 3970 of the public trackers."""
    address = secure.service.address
    # A browser asks its user before a page reaches this computer; here the user has allowed it.
    context = browser.new_context(ignore_https_errors=True, permissions=["local-network-access"])
    try:
        context.route(
            "https://excel.example/", lambda route: route.fulfill(body="<title>Excel</title>", content_type="text/html")
        )
        page = context.new_page()
        page.goto("https://excel.example/")
        read = page.evaluate(
            "async a => (await (await fetch(`${a}/panel/functions.json`)).json()).functions.length", address
        )
        assert read > 50
        size = page.evaluate(
            "a => new Promise((done, failed) => { const i = new Image(); i.onload = () => done(i.width);"
            " i.onerror = () => failed('refused'); i.src = `${a}/panel/icons/mark-32.png`; })",
            address,
        )
        assert size == 32
        for path in ("/panel/", "/panel/facts.js", "/catalogue", "/health"):
            refused = page.evaluate("async u => fetch(u).then(() => 'read', () => 'refused')", f"{address}{path}")
            assert refused == "refused", path
    finally:
        context.close()
