import pytest

from workbook import books


@pytest.fixture(scope="session")
def rich() -> bytes:
    return books.rich()
