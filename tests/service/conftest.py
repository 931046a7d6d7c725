"""What the tests of the service share."""

from __future__ import annotations

import pytest

from service.asking import Application


@pytest.fixture
def application() -> Application:
    return Application()
