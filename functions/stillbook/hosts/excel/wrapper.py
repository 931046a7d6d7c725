"""The VBA of the Excel add-in: one function for each formula, and the modules they stand on.

xlwings can write such functions itself, but its own turn an error into text, which a SUM passes over. These give true
error values. They also read ranges before Python is asked, so that Python never has to call back into Excel, and name
nothing of the workbook in front, whose contents must not decide which program is started.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from importlib.resources import files
from pathlib import PureWindowsPath
from typing import Final

from stillbook.formula import Formula
from stillbook.hosts.excel import wizard

UDF_MODULE: Final = "stillbook.hosts.excel.functions"
"""The Python module that Excel calls."""

LONGEST_LINE: Final = 1000
"""VBA takes lines of 1023 characters at most."""


@dataclass(frozen=True, slots=True)
class Server:
    """What the add-in starts: a Python interpreter, through xlwings' library for the 32- or 64-bit Excel."""

    interpreter: PureWindowsPath
    dll32: PureWindowsPath
    dll64: PureWindowsPath

    @property
    def command(self) -> str:
        """The command line, where xlwings' library puts its class identifier for ``$(CLSID)``.

        ``-P`` keeps the current folder, which may be the workbook's, out of the places Python imports from.
        """
        return f'cmd.exe /C ""{self.interpreter}" -P -B -c "import xlwings; xlwings.serve(\'$(CLSID)\')""'


def modules(catalogue: Mapping[str, Formula], server: Server) -> dict[str, str]:
    """The text of every VBA module by its name, in plain ASCII."""
    return {
        "StillbookFormulas": formulas_module(catalogue),
        "StillbookCalls": calls_module(server),
        "StillbookValues": shipped("values.bas"),
        "StillbookBinding": shipped("binding.bas"),
    }


def workbook_code() -> str:
    """The code of the add-in's own workbook object, which waits for workbooks to be opened."""
    return shipped("workbook.bas")


def formulas_module(catalogue: Mapping[str, Formula]) -> str:
    """The functions a cell calls, one for each formula."""
    spread = wizard.widest(catalogue)
    parts = ['Attribute VB_Name = "StillbookFormulas"\nOption Explicit\n']
    parts += [function(entry, spread) for entry in catalogue.values()]
    return "\n".join(parts)


def function(entry: Formula, spread: int) -> str:
    """One formula as a VBA function. An argument left out reaches Python as left out."""
    names = [argument.name for argument in wizard.arguments(entry, spread)]
    declared = _wrapped([f"Optional {name} As Variant" for name in names], 100)
    given = _wrapped(names, 100)
    name = entry.workbook_name
    return (
        f'Public Function {name}({declared}) As Variant\n    {name} = Answer("{name}", Array({given}))\nEnd Function\n'
    )


def calls_module(server: Server) -> str:
    """The module that starts Python and asks it."""
    text = shipped("calls.bas")
    for mark, value in {
        "dll32 name": server.dll32.name,
        "dll64 name": server.dll64.name,
        "dll32": literal(str(server.dll32)),
        "dll64": literal(str(server.dll64)),
        "command": literal(server.command),
        "module": UDF_MODULE,
    }.items():
        text = text.replace(f"<<{mark}>>", value)
    return text


def literal(text: str) -> str:
    """Text as a VBA expression in plain ASCII, since VBA keeps its own text in the code page of one country.

    >>> print(literal('6" Zoë B'))
    "6"" Zo" & ChrW(235) & " B"
    """
    parts = re.findall(r"[ -~]+|[^ -~]", text) or [""]
    shown = []
    for part in parts:
        if part.isascii() and part.isprintable():
            quoted = part.replace('"', '""')
            shown.append(f'"{quoted}"')
        else:
            units = part.encode("utf-16-le")
            shown += [f"ChrW({int.from_bytes(units[at : at + 2], 'little')})" for at in range(0, len(units), 2)]
    return " & ".join(shown)


def shipped(name: str) -> str:
    """The text of a VBA file of this package."""
    return (files("stillbook.hosts.excel") / name).read_text(encoding="ascii")


def _wrapped(items: list[str], width: int) -> str:
    """Items separated by commas, on as many continued lines as they need."""
    lines = [""]
    for place, item in enumerate(items):
        piece = item + (", " if place < len(items) - 1 else "")
        if lines[-1] and len(lines[-1]) + len(piece) > width:
            lines.append("")
        lines[-1] += piece
    return "_\n        ".join(lines)
