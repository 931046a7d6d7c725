"""The tests of the templates open the same few workbooks hundreds of times: each sheet of one is read once."""

from dataclasses import replace
from functools import lru_cache

import pytest

from stillbook.workbook.file import package
from stillbook.workbook.file.sheet import read_sheet


@pytest.fixture(scope="package", autouse=True)
def sheets_are_read_once():
    read = lru_cache(maxsize=200)(read_sheet)

    def fresh(data, part):
        """A sheet of its own for each workbook, since what is written in it changes it."""
        found = read(data, part)
        return replace(found, stored=dict(found.stored), formulas=dict(found.formulas))

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(package, "read_sheet", fresh)
        yield
