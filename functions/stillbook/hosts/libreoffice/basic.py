"""The formulas as plain functions of LibreOffice Basic, under the names that files hold.

LibreOffice 7 looks for ``STILL_DOORMASS`` of an .xlsx file among the functions of Basic, and nowhere else. So the
extension puts this module into the library that is always loaded, at each start and before the first file, and takes it
out again as LibreOffice closes. Each function asks the extension's own service. An error reaches a cell as a number
alone, whose bits hold Calc's own number for it (Basic's own ``CVErr`` would be text); where the extension is gone, as
after LibreOffice broke down and the extension was removed, the module makes such a number by itself.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from stillbook.hosts.libreoffice.signatures import CALLS, Method
from stillbook.hosts.libreoffice.stillbook_calc.basic_module import MARK
from stillbook.hosts.libreoffice.stillbook_calc.values import AWAY, ERROR_NUMBERS, QUIET_NAN

_SERVICE: Final = "oStillbookCalls"
"""Where Basic keeps the extension's service. As a global it stays from one cell to the next: made anew for each, it
would take longer than the call."""

REPEATS: Final = 30
"""How many values may be given for an argument that may be given any number of times."""

_COMMON: Final = f"""{MARK}
Option Explicit

Global {_SERVICE} As Object

Private Function Answer_(sName As String, given)
  Dim found
  Dim one(0, 0)
  If IsNull({_SERVICE}) Then {_SERVICE} = createUnoService("{CALLS}")
  found = {_SERVICE}.callFunction(sName, given)
  If IsArray(found) Then
    Answer_ = Rows_(found)
  Else
    one(0, 0) = found
    Answer_ = one
  End If
End Function

Private Function Rows_(found)
  Dim i As Long, j As Long
  Dim cells(UBound(found), UBound(found(0)))
  For i = 0 To UBound(found)
    For j = 0 To UBound(found(i))
      cells(i, j) = found(i)(j)
    Next j
  Next i
  Rows_ = cells
End Function

Private Function Gone_()
  Dim oPipe, oOut, oIn
  oPipe = createUnoService("com.sun.star.io.Pipe")
  oOut = createUnoService("com.sun.star.io.DataOutputStream")
  oOut.setOutputStream(oPipe)
  oOut.writeLong({QUIET_NAN})
  oOut.writeLong({ERROR_NUMBERS[AWAY]})
  oIn = createUnoService("com.sun.star.io.DataInputStream")
  oIn.setInputStream(oPipe)
  Gone_ = oIn.readDouble()
End Function
"""


_BEGIN: Final = ("  EnableReschedule False", "  On Local Error GoTo Gone")
"""Basic would else look for clicks and keys in the midst of a calculation, which takes longer than the calculation."""


def module(methods: Sequence[Method]) -> str:
    """The source of the module, with a function for each formula."""
    return "\n".join((_COMMON, *map(_function, methods)))


def _function(method: Method) -> str:
    """A function of Basic. Calc leaves out arguments at the end alone, so the last one given tells how many are."""
    count = len(method.arguments) + (REPEATS - 1 if method.repeats else 0)
    names = [f"a{place}" for place in range(1, count + 1)]
    name = method.formula.workbook_name
    lines = [f"Function {name}({', '.join(f'Optional {each}' for each in names)})", *_BEGIN]
    for given in range(count, 0, -1):
        lines += [
            f"  If Not IsMissing({names[given - 1]}) Then",
            f'    {name} = Answer_("{method.formula.name}", Array({", ".join(names[:given])}))',
            "    Exit Function",
            "  End If",
        ]
    return "\n".join(
        (
            *lines,
            f'  {name} = Answer_("{method.formula.name}", Array())',
            "  Exit Function",
            "Gone:",
            f"  {name} = Gone_()",
            "End Function\n",
        )
    )
