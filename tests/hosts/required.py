"""What a test needs beside Python."""

from __future__ import annotations

import os
import shutil
from typing import NoReturn

import pytest


def missing(what: str) -> NoReturn:
    """Skip a test that cannot run here; fail it where STILLBOOK_REQUIRE_HOSTS is set."""
    if os.environ.get("STILLBOOK_REQUIRE_HOSTS") == "1":
        pytest.fail(what)
    pytest.skip(what)


def soffice() -> str:
    """Where the program of LibreOffice is."""
    found = shutil.which("soffice")
    if found is None:
        missing("LibreOffice is not installed: soffice is not on the path")
    return found
