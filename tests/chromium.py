"""A headless Chromium for the tests that look at pages."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from hosts.required import missing

QUICKLY_READY = "--js-flags=--no-opt --no-maglev"
"""A page is looked at for a second: to compile what its scripts do often takes longer than it saves."""


@contextmanager
def chromium() -> Iterator[Any]:
    """The browser, until the block ends: while it runs, asyncio.run cannot."""
    program = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)
    if program is None:
        missing("Chromium is not installed: chromium is not on the path")
    try:
        from playwright.sync_api import sync_playwright
    except ImportError:
        missing("playwright is not installed: it drives Chromium")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=program, args=["--no-sandbox", QUICKLY_READY])
        yield browser
        browser.close()
