"""A real service, a real browser, and Excel stood in for where a page runs beside a sheet."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from typing import Any

import pytest

from hosts.browser.browsing import Desk, Sheet
from hosts.required import missing
from service.asking import Running, started


@pytest.fixture(scope="package")
def service(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    """A service in a process of its own."""
    with started(tmp_path_factory.mktemp("service") / "home") as running:
        yield running


@pytest.fixture(scope="package")
def browser() -> Iterator[Any]:
    """A headless Chromium. It ends with this package: while it runs, asyncio.run cannot."""
    program = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)
    if program is None:
        missing("Chromium is not installed: chromium is not on the path")
    try:
        from playwright.sync_api import sync_playwright
    except ImportError:
        missing("playwright is not installed: it drives Chromium")
    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=program, args=["--no-sandbox"])
        yield chromium
        chromium.close()


@pytest.fixture
def desk(browser: Any, service: Running) -> Iterator[Desk]:
    """A person's browser, in which the link that the service prints was opened."""
    with Desk.at(browser, service) as desk:
        yield desk


@pytest.fixture
def sheet(browser: Any, service: Running) -> Iterator[Sheet]:
    """The add-in beside a sheet in Excel, connected to the service."""
    with Sheet.at(browser, service) as sheet:
        yield sheet
