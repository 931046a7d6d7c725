"""A real service, a real browser, and Excel stood in for where a page runs beside a sheet."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from chromium import chromium
from hosts.browser.browsing import Desk, Sheet
from service.asking import Running, started


@pytest.fixture(scope="package")
def service(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    """A service in a process of its own."""
    with started(tmp_path_factory.mktemp("service") / "home") as running:
        yield running


@pytest.fixture(scope="package")
def browser() -> Iterator[Any]:
    """A headless Chromium. It ends with this package: while it runs, asyncio.run cannot."""
    with chromium() as running:
        yield running


@pytest.fixture(scope="package")
def one_desk(browser: Any, service: Running) -> Iterator[Desk]:
    with Desk.at(browser, service) as desk:
        yield desk


@pytest.fixture(scope="package")
def one_sheet(browser: Any, service: Running) -> Iterator[Sheet]:
    with Sheet.at(browser, service) as sheet:
        yield sheet


@pytest.fixture
def desk(one_desk: Desk) -> Desk:
    """A person's browser, in which the link that the service prints was opened."""
    one_desk.come_anew()
    return one_desk


@pytest.fixture
def sheet(one_sheet: Sheet) -> Sheet:
    """The add-in beside a sheet in Excel, connected to the service."""
    one_sheet.come_anew()
    return one_sheet
