"""What the tests of the add-in share."""

import pytest


@pytest.fixture
def base(tmp_path):
    file = tmp_path / "quickstart_addin.xlam"
    file.write_text("empty")
    return file
