"""What the tests of the command line read and start."""

import shutil
import subprocess
import sys
from pathlib import Path

from openpyxl import load_workbook

from stillbook.templates.shipped import template
from stillbook.workbook.file.package import Package
from stillbook.workbook.job.lines import column


def only_line(err):
    """What is said of a failure, which is one line."""
    assert err.startswith("stillbook: ")
    assert err.count("\n") == 1
    return err.removeprefix("stillbook: ").rstrip("\n")


def shipped(name, path, system="US"):
    """A shipped workbook, as it is, under a name of one's own."""
    shutil.copy(template(name).path(system), path)


def kept(path, name):
    """The value that a file keeps in a named cell."""
    package = Package.open(Path(path))
    sheet, area = column(package, name)
    return package.value(sheet, *area[:2])


def cell(path, address, *, values=True):
    """A cell of the sheet on top: its value, or its formula."""
    return load_workbook(path, data_only=values).active[address].value


def program(*arguments, **options):
    """The command in a process of its own."""
    return subprocess.Popen(
        [Path(sys.executable).with_name("stillbook"), *arguments], stderr=subprocess.PIPE, text=True, **options
    )
