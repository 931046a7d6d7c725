"""What tests of several packages share."""

from __future__ import annotations

from pathlib import Path

import pytest


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder of its own for discovery file and token, in this process too."""
    folder = tmp_path / "home"
    monkeypatch.setenv("STILLBOOK_HOME", str(folder))
    return folder
