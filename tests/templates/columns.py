"""Reading and changing the named cells and columns of a template in a test."""

import math
from functools import lru_cache

from stillbook.templates.shipped import template
from stillbook.workbook.file.sheet import Change
from stillbook.workbook.job.estimate import Job
from stillbook.workbook.job.lines import column

JOB = {
    "client": "Invented client",
    "project": "Invented room",
    "estimate_date": "2026-03-02",
    "floor_capacity": "100 lb/ft²",
    "fresh_share": 1,
    "space_length": "18 ft",
    "space_width": "13 ft",
    "space_height": "9 ft 6 in",
}
"""What a booth asks before it may be priced, invented."""


def shipped(name, system):
    """A fresh copy of a shipped template, in memory."""
    return Job.open(template(name).path(system))


def calculated(name, system="US", changes=None):
    """A shipped template with inputs changed, and its report: calculated once for tests in a row that only read it."""
    return _calculated(name, system, tuple((changes or {}).items()))


@lru_cache(maxsize=12)
def _calculated(name, system, changes):
    job = shipped(name, system)
    job.set(dict(changes))
    return job, job.calculate()


def numbers(job):
    """Every named cell's value by name, after calculation."""
    job.calculate()
    return named(job)


def named(job):
    """Every named cell's value by name, as calculated before."""
    found = {}
    for name in job.package.names:
        if name.cells and name.cells[1].rows == name.cells[1].columns == 1:
            sheet, area = name.cells
            found[name.name] = job.package.value(sheet, area.first_row, area.first_column)
    return found


def results(job):
    """Every key result's value by name, after calculation."""
    return {result.name: result.value for result in job.calculate().results}


def values(job, name):
    """The values of a named column, or of the block that a name covers, row by row."""
    sheet, area = column(job.package, name)
    found = job.package.rows(sheet, area)
    return [row[0] if len(row) == 1 else row for row in found]


def put(job, name, row, value):
    """Write a value in a row of a named column, the first being 0."""
    sheet, area = column(job.package, name)
    job.package.write({sheet: {(area.first_row + row, area.first_column): Change(value)}})


def together(*levels):
    """The energy sum of levels."""
    return 10 * math.log10(sum(10 ** (level / 10) for level in levels))
