"""LibreOffice Calc: an extension made from the catalogue, and what else LibreOffice does for a workbook.

``connect()`` makes the extension, tries it in a profile that is thrown away, and installs it; ``disconnect()`` removes
it and ``state()`` tells how it stands. Nothing is generated ahead of time: the extension holds the formulas of the
moment at which it is made, and ``state()`` tells when they have changed since.

The extension knows for each formula its name, arguments and help, and hands a call over to the calculation service. It
finds the service by its discovery file; where none runs it starts one, with the Python that ``connect()`` ran in, which
ends with LibreOffice. One connection stays open, and the answers to earlier calls are kept. Where no answer can be had
a cell shows #N/A, at once for the rest of that recalculation, and the next recalculation tries again.

What differs from other hosts, as far as LibreOffice 7.4 and 25.2 were tried:

- A blank cell given by itself is the number 0; in a range it is blank. An error value in a range gives Err:504, and the
  formula is not asked; by itself it passes through as it should.
- A formula that gives text alone shows #VALUE! for every error; ``STILL_WHY`` tells the reason.
- Text in a table of text and numbers is shown, but LibreOffice finds it equal to no other text, so that lookups in its
  cells fail. ``INDEX(STILL_MATERIALS(), row, column)`` gives text that can be compared.
- A table fills cells only as an array formula.
- .xlsx files with ``STILL_`` names calculate in 25.2, which also saves them so. 7.4 reads and saves ``STILL.`` names
  alone, which ``heal()`` writes.
"""

from __future__ import annotations

from stillbook.hosts.host import Host, Steps
from stillbook.workbook.calculation.spelling import Spelling


class LibreOffice(Host):
    """LibreOffice Calc."""

    name = "libreoffice"
    title = "LibreOffice Calc"
    help = "LibreOffice Calc"
    spelling = Spelling.DOTTED
    reads = "Version 7 reads STILL.DOORMASS alone, where a file usually holds STILL_DOORMASS; current ones read both."

    def connect(self, *, everyone: bool = False) -> list[str]:
        from stillbook.hosts.libreoffice import connection

        return connection.connect(everyone=everyone)

    def steps(self) -> Steps:
        from stillbook.hosts.libreoffice import connection

        return connection
