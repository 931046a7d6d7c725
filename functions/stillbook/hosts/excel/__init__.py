"""Desktop Excel on Windows: a personal add-in whose functions ask Python through xlwings.

``addin.py`` makes the add-in of the Basic that ``wrapper.py`` writes, with the ``.bas`` files beside it, and ``com.py``
has Excel build it. ``functions.py`` is what Excel's Python imports. ``guide.md`` tells the user what to click.
"""

from __future__ import annotations

from stillbook.hosts.host import Host, Steps
from stillbook.workbook.calculation.spelling import Spelling


class Excel(Host):
    """Desktop Excel on Windows."""

    name = "excel"
    title = "Excel on Windows"
    help = "Excel on Windows"
    spelling = Spelling.NEUTRAL
    reads = "The add-in enters formulas of any spelling again when it opens a workbook, so that nothing is needed."

    def steps(self) -> Steps:
        from stillbook.hosts.excel import connection

        return connection
