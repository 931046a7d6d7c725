"""The order of what a font is made of, as the standard of the format asks for it and openpyxl does not keep it."""

from __future__ import annotations

import re
from typing import Final

_ORDER: Final = ["b", "i", "strike", "condense", "extend", "outline", "shadow", "u", "vertAlign", "sz", "color", "name", "family", "charset", "scheme"]
"""ISO/IEC 29500-1, 18.8.22, CT_Font, in the strict sequence that validators take."""

_FONT: Final = re.compile(rb"(<font>)(.*?)(</font>)", re.DOTALL)
_PIECE: Final = re.compile(rb"<(\w+)\b[^>]*?/>")


def in_order(styles: bytes) -> bytes:
    """The part of the styles with the pieces of each font in their order.

    >>> in_order(b'<font><name val="x"/><b val="1"/><sz val="9"/></font>')
    b'<font><b val="1"/><sz val="9"/><name val="x"/></font>'
    """

    def ordered(font: re.Match[bytes]) -> bytes:
        pieces = sorted(_PIECE.finditer(font[2]), key=lambda piece: _ORDER.index(piece[1].decode()))
        return font[1] + b"".join(piece[0] for piece in pieces) + font[3]

    return _FONT.sub(ordered, styles)
