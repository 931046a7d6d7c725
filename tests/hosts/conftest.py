"""The marker of tests that need a spreadsheet program."""

import pytest


def pytest_configure(config: pytest.Config) -> None:
    config.addinivalue_line("markers", "host: runs in a real spreadsheet program; see STILLBOOK_REQUIRE_HOSTS")
