"""What the tests of the command line read and start."""

import subprocess
import sys
from pathlib import Path

from openpyxl import load_workbook


def only_line(err):
    """What is said of a failure, which is one line."""
    assert err.startswith("stillbook: ")
    assert err.count("\n") == 1
    return err.removeprefix("stillbook: ").rstrip("\n")


def cell(path, address, *, values=True):
    """A cell of the sheet on top: its value, or its formula."""
    return load_workbook(path, data_only=values).active[address].value


def program(*arguments, **options):
    """The command in a process of its own."""
    return subprocess.Popen(
        [Path(sys.executable).with_name("stillbook"), *arguments], stderr=subprocess.PIPE, text=True, **options
    )
