"""What desktop Excel shows of a formula in its function wizard: argument names and help, description, category."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from stillbook.formula import Formula
from stillbook.hosts import showing
from stillbook.hosts.showing import names

LONGEST_TEXT: Final = 255
"""The most characters Excel keeps of a description or of an argument's help."""

MOST_ARGUMENTS: Final = 60
"""The most arguments a VBA procedure can declare."""

_RESERVED: Final = """
    call case close const declare defbool defbyte defcur defdate defdbl defint deflng deflnglng deflngptr defobj defsng
    defstr defvar dim do else elseif end endif enum erase event exit for friend function get global gosub goto if
    implements input let lock loop lset next on open option print private public put raiseevent redim resume return rset
    seek select set static stop sub type unlock wend while with write
    any as byref byval each in new shared until withevents optional paramarray preserve spc tab then to
    addressof and eqv imp is like mod not or typeof xor
    abs cbool cbyte ccur cdate cdbl cdec cint clng clnglng clngptr csng cstr cvar cverr date debug doevents fix int len
    lenb me pset scale sgn string array circle inputb lbound ubound
    boolean byte currency double integer long longlong longptr single variant true false nothing empty null
    rem attribute lineinput cdecl decimal defdec
    error property object step
    answer caller
"""

RESERVED: Final = frozenset(_RESERVED.split())
"""Words no argument may be named by: the reserved identifiers of VBA, and names the wrapper and xlwings use themselves.

Source: Microsoft Open Specification [MS-VBAL], VBA Language Specification, section 3.3.5.2, from memory; the last two
lines are kept free for safety.
"""


@dataclass(frozen=True, slots=True)
class Argument:
    """One argument as Excel shows it."""

    name: str
    help: str


def widest(catalogue: Mapping[str, Formula]) -> int:
    """The most arguments any formula of a fixed number of arguments takes."""
    return max(
        (len(entry.arguments) for entry in catalogue.values() if not any(a.variadic for a in entry.arguments)),
        default=1,
    )


def arguments(entry: Formula, spread: int) -> tuple[Argument, ...]:
    """The arguments of a formula in order.

    An argument that may be repeated becomes ``spread`` arguments of its own, as Excel shows help and takes left-out
    arguments only where each has a name.
    """
    shown: list[tuple[str, str]] = []
    for parameter in entry.arguments:
        name, text = parameter.name, clipped(parameter.help_for_both)
        if parameter.variadic:
            shown += [(f"{name.removesuffix('s')}_{place}", text) for place in range(1, spread + 1)]
        else:
            shown.append((name, text))
    fit = names((name for name, _ in shown), RESERVED, "_")
    return tuple(Argument(name, text) for name, (_, text) in zip(fit, shown, strict=True))


def description(entry: Formula) -> str:
    """What a formula gives, and its source where there is room."""
    whole = showing.description(entry)
    return whole if len(whole) <= LONGEST_TEXT else clipped(showing.summary(entry))


def category(entry: Formula) -> str:
    """The category a formula is listed under in the wizard."""
    return f"Stillbook: {entry.family}"


def clipped(text: str) -> str:
    """Text that Excel keeps whole, cut between words where it is too long."""
    if len(text) <= LONGEST_TEXT:
        return text
    return text[: LONGEST_TEXT - 1].rsplit(" ", 1)[0].rstrip(",;:") + "…"
