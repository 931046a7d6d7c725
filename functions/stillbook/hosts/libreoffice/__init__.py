"""LibreOffice Calc: an extension made from the catalogue, and what else LibreOffice does for a workbook.

``connect()`` makes the extension, tries it in a profile that is thrown away, and installs it; ``disconnect()`` removes
it and ``state()`` tells how it stands. Nothing is generated ahead of time: the extension holds the formulas of the
moment at which it is made, and ``state()`` tells when they have changed since.

The extension knows for each formula its name, arguments and help, and hands a call over to a process that calculates,
``stillbook.answering``: LibreOffice's own, started by the first call with the Python that ``connect()`` ran in, asked
line by line in JSON over a pipe, and ended with LibreOffice. So no other service is needed, none is in the way whatever
its version, and the answers to earlier calls are kept by name and arguments: sixteen cells ``INDEX(STILL_X(…),1,k)`` of
one call are one question. A changed input that feeds 1,000 formulas takes about a quarter of a second of processor
time, half of it LibreOffice's own way into Basic and out (``tests/benchmarks/test_libreoffice.py``).

Where no answer can be had a cell shows #NAME?, which is not the #N/A of a blank, at once for the rest of that
recalculation; ``STILL_WHY`` and a line above the cells tell the reason and where the notes are, and the next
recalculation tries again.

Two ways lead from the name in a cell to the formula:

- LibreOffice 25.2 takes ``STILL_DOORMASS`` of a file for the extension's formula, and saves it so.
- LibreOffice 7.4 reads only ``STILL.DOORMASS`` as that, but finds a function of Basic of any name. So where the version
  is below 25.2 the extension puts a module with one for each formula into the user's library, at each start and before
  the first file, and takes it out as LibreOffice closes; ``disconnect()`` takes out one that stayed where LibreOffice
  broke down. A file calculates as it is opened, on protected sheets too.

A job of the extension respells what the function wizard (``STILL.``) or another program wrote (``_xldudf_``, ``[1]!``)
as a workbook is opened and before it is saved, also on sheets protected without a password, which stay protected with
all their permissions. It also calculates what LibreOffice has dropped the kept value of (errors, truth values, arrays):
such a cell counts as out of date until it is looked at, and the first change of an input would go no further than it.
None of that is a step to undo or marks a workbook as changed.

Run: all of this with 7.4.7, without a window. Not run: versions between 7.4 and 25.2, taken for ones like 7.4; 25.2
since there have been functions of Basic, which it is not given; Windows and Mac.

What differs from other hosts:

- Below 25.2 a place left empty between separators reaches Basic as 0. What is typed, pasted, opened or saved gets
  ``""`` there, which is a blank; what a macro or another program writes into a cell of an open workbook, and what
  stands on a sheet with a password, does not. Our templates write ``""``.
- Of a formula that the wizard wrote (``STILL.DOORMASS``), until the workbook is saved: a blank cell given by itself is
  0, an error in a range gives Err:504, and text alone shows #VALUE! for every error; ``STILL_WHY`` tells the reason.
- A name that Excel's side panel wrote (``_xldudf_STILL_DOORMASS``) is not read on a sheet protected with a password, or
  where the user keeps no steps to undo: ``heal()`` first.
- A formula that takes any number of values takes 30 below 25.2.
- Text in a table of text and numbers, by a ``STILL.`` name, is shown but equal to no other text, so that lookups in its
  cells fail. ``INDEX(STILL_MATERIALS(), row, column)`` gives text that can be compared.
- A table fills cells only as an array formula.
"""

from __future__ import annotations

from stillbook.hosts.host import Host, Steps
from stillbook.workbook.calculation.spelling import Spelling


class LibreOffice(Host):
    """LibreOffice Calc."""

    name = "libreoffice"
    title = "LibreOffice Calc"
    help = "LibreOffice Calc"
    spelling = Spelling.NEUTRAL
    reads = "Connected, it reads every spelling, and saves STILL_DOORMASS; what a password protects stays as it is."

    def connect(self, *, everyone: bool = False) -> list[str]:
        from stillbook.hosts.libreoffice import connection

        return connection.connect(everyone=everyone)

    def steps(self) -> Steps:
        from stillbook.hosts.libreoffice import connection

        return connection
