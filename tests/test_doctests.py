"""The examples in the docstrings of every module give what they say."""

import doctest
import importlib
import pkgutil

import pytest

import stillbook

INSIDE_OTHER_PROGRAMS = ("stillbook.hosts.libreoffice.stillbook_calc", "stillbook.hosts.libreoffice.installer")
"""Modules that LibreOffice's own Python loads."""

MODULES = [
    found.name
    for found in pkgutil.walk_packages(stillbook.__path__, "stillbook.")
    if not found.name.startswith(INSIDE_OTHER_PROGRAMS) and not found.name.endswith("__main__")
]


@pytest.mark.parametrize("name", MODULES)
def test_the_examples_of_a_module(name):
    assert doctest.testmod(importlib.import_module(name)).failed == 0
