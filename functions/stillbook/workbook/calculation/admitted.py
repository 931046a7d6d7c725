"""Which native functions are calculated here and how, proved row by row in the tests; every other use is refused.

A formula of a file is read once before it is calculated. What the engine would work out by a rule of its own is written
so that it follows the file's: a range where one value belongs is one cell of it in an ordinary formula, and each of its
values in an array formula; comparing and joining look at fifteen digits. What is not proved becomes an error that says
so.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any, Final

from stillbook.catalogue import formulas
from stillbook.formula import PREFIX
from stillbook.workbook.calculation.definitions import DEFINED, OVER_RANGES, dates
from stillbook.workbook.calculation.definitions.cell_values import Refused
from stillbook.workbook.calculation.definitions.comparing import ADD, COMPARE, JOIN
from stillbook.workbook.calculation.definitions.counting import COUNTED
from stillbook.workbook.calculation.definitions.lookup import PICK
from stillbook.workbook.file.address import split_reference

EACH: Final = "STILLEACH"
"""A function of the engine's alone: the name of another function, and its arguments, ranges for single values."""

_ADVICE: Final = "calculate this workbook in a spreadsheet program"

# What each place of a function takes: v one value, r a range as a whole or a value, c a choice handed through. The last
# is repeated.
_PLACES: Final = """
v    ABS SIGN SQRT EXP LN LOG10 ACOS ASIN ATAN SIN COS TAN SINH COSH TANH DEGREES RADIANS FACT NOT
v    YEAR MONTH DAY HOUR MINUTE SECOND ERROR.TYPE ISNUMBER ISTEXT ISNONTEXT ISLOGICAL ISBLANK ISERROR ISERR ISNA
v    INT EVEN ODD LEN UPPER LOWER PROPER TRIM CLEAN CHAR CODE UNICHAR UNICODE VALUE N T INDIRECT
v    LOG POWER ATAN2 COMBIN ROUND ROUNDUP ROUNDDOWN TRUNC CEILING FLOOR MROUND MOD QUOTIENT
v    LEFT RIGHT MID REPT TEXT FIXED EXACT FIND SEARCH SUBSTITUTE REPLACE CONCATENATE HYPERLINK
v    DATE TIME EDATE EOMONTH WEEKDAY DAYS PMT ADDRESS SEQUENCE RANDBETWEEN
r    SUM PRODUCT SUMSQ AVERAGE MIN MAX COUNT COUNTA COUNTBLANK MEDIAN STDEV STDEV.S STDEVP STDEV.P VAR VAR.S VARP VAR.P
r    AND OR CONCAT SUMPRODUCT TRANSPOSE ROWS COLUMNS ROW COLUMN FREQUENCY
vvr  TEXTJOIN
vr   SUBTOTAL
rv   LARGE SMALL INDEX OFFSET COUNTIF COUNTIFS
vrv  MATCH VLOOKUP HLOOKUP RANK XMATCH
vrr  LOOKUP
vrrc XLOOKUP
rvr  SUMIF AVERAGEIF SUMIFS AVERAGEIFS MAXIFS MINIFS
rrv  FILTER
vc   IF CHOOSE
c    IFERROR IFNA LET
v    IFS SWITCH
     PI NA TRUE FALSE TODAY NOW RAND
"""

_OVER_RANGES: Final = frozenset(OVER_RANGES) | frozenset(
    [
        "ABS",
        "SIGN",
        "SQRT",
        "EXP",
        "LN",
        "LOG10",
        "LOG",
        "POWER",
        "ROUND",
        "ACOS",
        "ASIN",
        "ATAN",
        "DEGREES",
        "RADIANS",
        "FACT",
        "COMBIN",
        "NOT",
        "DATE",
        "YEAR",
        "MONTH",
        "DAY",
        "HOUR",
        "MINUTE",
        "SECOND",
        "WEEKDAY",
        "LARGE",
        "SMALL",
        "RANK",
    ]
)
"""Functions that give each of many values its own answer in an array."""

_LIFTING: Final = frozenset(DEFINED) | frozenset(dates.LIFTING) | {"IF", "TEXT"}
"""Those of them that do so by themselves."""

_ALTERNATING: Final = frozenset({"SUMIFS", "AVERAGEIFS", "MAXIFS", "MINIFS", "COUNTIFS"})
_CRITERIA: Final = _ALTERNATING | {"SUMIF", "AVERAGEIF", "COUNTIF"}
_ARRAYS: Final = frozenset({"SUMPRODUCT", "LOOKUP", "FREQUENCY", "FILTER"})
"""Functions that take arrays in an ordinary formula too."""

_OURS: Final = (PREFIX, "STILL.", "_XLDUDF_STILL_", "_XLUDF.STILL_")
_WHOLE_COLUMNS: Final = re.compile(r"(.+!)?(\$?[A-Z]{1,3}):(\$?[A-Z]{1,3})")
_CHECKED: Final = _CRITERIA | {"LET", "SUBTOTAL", "N", "T", "INDEX", "CHOOSE"}
_MANY: Final = frozenset({"FILTER", "SEQUENCE", "TRANSPOSE", "FREQUENCY"})
_TEXTS: Final = frozenset(
    [
        "LEFT",
        "RIGHT",
        "MID",
        "LEN",
        "UPPER",
        "LOWER",
        "PROPER",
        "TRIM",
        "CLEAN",
        "REPT",
        "TEXT",
        "FIXED",
        "SUBSTITUTE",
        "REPLACE",
        "CONCATENATE",
        "CONCAT",
        "TEXTJOIN",
        "CHAR",
    ]
)
_WHOLE_NUMBERS: Final = frozenset(
    [
        "COUNT",
        "COUNTA",
        "COUNTBLANK",
        "COUNTIF",
        "COUNTIFS",
        "ROWS",
        "COLUMNS",
        "ROW",
        "COLUMN",
        "MATCH",
        "LEN",
        "FIND",
        "SEARCH",
        "INT",
        "YEAR",
        "MONTH",
        "DAY",
    ]
)
_TRUTHS: Final = frozenset(
    ["AND", "OR", "NOT", "ISNUMBER", "ISTEXT", "ISNONTEXT", "ISLOGICAL", "ISBLANK", "ISERROR", "ISERR", "ISNA", "EXACT"]
)
_STEPS: Final = frozenset(
    ["INT", "ROUNDUP", "ROUNDDOWN", "TRUNC", "CEILING", "FLOOR", "MOD", "QUOTIENT", "SIGN", "EVEN", "ODD"]
)
"""Functions in which a last binary digit makes a step."""

_REFERRING: Final = frozenset(
    {"CHOOSE", "IF", "IFERROR", "IFNA", "IFS", "INDEX", "INDIRECT", "LET", "OFFSET", "SWITCH", "XLOOKUP"}
)
"""Functions that may give cells, of which COUNT takes another view than of values."""

_COMPARISONS: Final = frozenset({"=", "<>", "<", "<=", ">", ">="})
_SUBTOTALS: Final = frozenset({1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11}) | frozenset(range(101, 112))


class NotCalculated(Refused):
    """A function that is not calculated here in any use."""


def _read_places() -> Mapping[str, str]:
    found = {}
    for line in _PLACES.strip().splitlines():
        places, names = line[:5].strip(), line[5:].split()
        found.update(dict.fromkeys(names, places))
    return found


ADMITTED: Final = _read_places()
"""Every native function that is calculated here, with what its places take."""


_CHOOSING: Final = frozenset({"IF", "IFERROR", "IFNA", "IFS", "SWITCH"})
"""Functions that hand one of their arguments on."""

_SINGLE: Final = frozenset(
    name
    for name, places in ADMITTED.items()
    if "c" not in places and name not in {"INDEX", "OFFSET", "INDIRECT", "XLOOKUP", "SEQUENCE", "ROW", "COLUMN", *_MANY}
)
"""Functions that give one value for single values and ranges as wholes."""


@dataclass(frozen=True, slots=True)
class Around:
    """What a formula's meaning depends on beside its own text.

    Args:
        is_array: Whether it is an array formula.
        many: Defined names that stand for several cells, folded.
        named: What each defined name stands for, folded: a reference or formula.
        worked: Defined names that stand for a formula, folded.
        last_row: The last row with cells in the workbook, where whole columns end.
        hides_rows: Whether rows of the workbook are hidden or filtered.
    """

    is_array: bool = False
    many: frozenset[str] = frozenset()
    named: Mapping[str, str] = field(default_factory=dict)
    worked: frozenset[str] = frozenset()
    last_row: int = 1
    hides_rows: bool = False


def prepared(tree: Any, around: Around) -> str | None:
    """A formula as the engine is given it, without ``=``; None where it may stay as it is.

    Args:
        tree: Its syntax tree.
        around: What it stands in.

    Raises:
        Refused: If it uses a function that is not proved, or one in a use that is not; the message says which.
    """
    return _Writer(around, tree.to_formula()).write(tree, lifts=around.is_array)


def gives_one(tree: Any, around: Around) -> bool:
    """Whether a formula is sure to give a single value, whatever its cells hold; many that do are not told to.

    Args:
        tree: Its syntax tree.
        around: What it stands in.
    """
    kind = tree.node_type()
    if kind == "Literal":
        return True
    if kind == "Reference":
        text = tree.to_formula()[1:]
        return not any(sign in text for sign in ":[#") and text.rpartition("!")[2].casefold() not in around.many
    children = tree.children()
    if kind == "UnaryOp" or (kind == "BinaryOp" and tree.get_operator() not in (":", ",", " ")):
        return all(gives_one(child, around) for child in children)
    if kind != "Function":
        return False
    name = _name(tree)
    if name in _CHOOSING:
        return all(gives_one(child, around) for child in children)
    if name == "INDEX":
        line = len(children) == 2 and 1 in (_size(children[0], around) or ())
        return (line or len(children) == 3) and all(_is_place(child, around) for child in children[1:])
    if name in _SINGLE:
        places = _places_of(name, len(children))
        return all(place == "r" or gives_one(child, around) for place, child in zip(places, children, strict=True))
    own = formulas().get(name.removeprefix(PREFIX)) if name.startswith(PREFIX) else None
    if own is None or not (own.result.is_one_number or (own.result.is_text and not own.result.columns)):
        return False
    return all(gives_one(child, around) for child in children)


class _Writer:
    """Writes a formula anew; each step gives the text, or None where a node may stay as it is."""

    def __init__(self, around: Around, text: str) -> None:
        self.around = around
        self.local: set[str] = set()
        self.clips = False
        self.holds_arrays = "{" in text or any(name in text for name in _MANY)

    def write(self, node: Any, *, lifts: bool, one: bool = False) -> str | None:
        """Write a node.

        Args:
            node: A node of the syntax tree.
            lifts: Whether a range where one value belongs stands for each of its values.
            one: Whether one value belongs here.
        """
        kind = node.node_type()
        if kind == "Reference":
            return self._reference(node, takes_one=one and not lifts)
        if kind == "Function":
            return self._call(node, lifts=lifts)
        if kind == "BinaryOp":
            return self._operator(node, lifts=lifts)
        return self._sign(node, lifts=lifts) if kind == "UnaryOp" else None

    def _reference(self, node: Any, *, takes_one: bool) -> str | None:
        text = node.to_formula()[1:]
        if ":" in text:
            _check_sheets(text)
        name = text.rpartition("!")[2]
        if name.casefold() in self.around.worked and name.casefold() not in self.local:
            raise Refused(
                f"{name[:60]} is the name of a formula, which is not calculated here: name a cell that holds it"
            )
        if takes_one and self._is_many_cells(text):
            return f"@{text}"
        if self.clips and ":" in text and (whole := _WHOLE_COLUMNS.fullmatch(text)):
            sheet, first, last = whole.groups()
            return f"{sheet or ''}{first}1:{last}{self.around.last_row}"
        return None

    def is_many(self, node: Any, *, lifts: bool) -> bool:
        """Whether a node stands for several values where one belongs."""
        kind = node.node_type()
        if kind == "Reference":
            return lifts and self._is_many_cells(node.to_formula()[1:])
        if kind == "Array":
            return len(node.children()) > 1
        if kind == "UnaryOp":
            return not node.to_formula().startswith("=@") and any(self._any_many(node.children(), lifts))
        if kind == "BinaryOp":
            return (lifts and node.get_operator() == ":") or any(self._any_many(node.children(), lifts))
        if kind != "Function":
            return False
        name, children = _name(node), node.children()
        if name in _MANY:
            return True
        if name == "INDEX":
            return lifts and any(_is_nothing(child) or self.is_many(child, lifts=lifts) for child in children[1:])
        if name == "OFFSET":
            return lifts and (len(children) > 3 or self.is_many(children[0], lifts=lifts))
        if name in ("ROW", "COLUMN") or name.startswith(PREFIX):
            return any(self._any_many(children, lifts))
        if name == "LET":
            return lifts
        places = _places_of(name, len(children))
        return any(
            place != "r" and self.is_many(child, lifts=lifts) for place, child in zip(places, children, strict=True)
        )

    def _any_many(self, nodes: Iterable[Any], lifts: bool) -> Iterable[bool]:
        return (self.is_many(node, lifts=lifts) for node in nodes)

    def _is_many_cells(self, text: str) -> bool:
        if "[" in text:
            return "@" not in text and "#This Row" not in text
        if ":" in text:
            first, _, last = text.rpartition("!")[2].replace("$", "").partition(":")
            return first != last or first.isalpha() or first.isdigit()
        folded = text.rpartition("!")[2].casefold()
        return folded in self.around.many or folded in self.local

    # --- operators ----------------------------------------------------------------------------------------------------

    def _sign(self, node: Any, *, lifts: bool) -> str | None:
        (child,) = node.children()
        text = node.to_formula()[1:]
        if text.startswith("@"):
            return None
        written = self.write(child, lifts=lifts, one=True)
        if written is None:
            return None
        before, _, after = text.partition(child.to_formula()[1:])
        return f"({before}{_held(child, written)}{after})"

    def _operator(self, node: Any, *, lifts: bool) -> str | None:
        operator = node.get_operator()
        left, right = node.children()
        if operator in (",", " "):
            raise Refused(f"{node.to_formula()[1:60]} joins or crosses ranges, which is not calculated here: name each")
        first, second = (self.write(side, lifts=lifts, one=operator != ":") for side in (left, right))
        if operator in _COMPARISONS and _needs_digits(left, right, is_order=operator not in ("=", "<>")):
            first, second = (self._added(side, lifts=lifts) or text for side, text in ((left, first), (right, second)))
            return f'{COMPARE}("{operator}",{_text(left, first)},{_text(right, second)})'
        if operator == "&" and not (_is_text(left) and _is_text(right)):
            return f"{JOIN}({_text(left, first)},{_text(right, second)})"
        if first is None and second is None:
            return None
        if operator == ":":
            return f"{_text(left, first)}:{_text(right, second)}"
        return f"({_held(left, _text(left, first))}{operator}{_held(right, _text(right, second))})"

    def _added(self, node: Any, *, lifts: bool) -> str | None:
        """A sum or difference whose last binary digit would decide; None for any other node."""
        if node.node_type() != "BinaryOp" or node.get_operator() not in ("+", "-"):
            return None
        left, right = node.children()
        first, second = (_text(side, self.write(side, lifts=lifts, one=True)) for side in (left, right))
        return f'{ADD}("{node.get_operator()}",{first},{second})'

    # --- functions ----------------------------------------------------------------------------------------------------

    def _call(self, node: Any, *, lifts: bool) -> str | None:
        name, children = _name(node), node.children()
        places = ADMITTED.get(name)
        if places is None:
            if not name.startswith(_OURS) and "!" not in name:
                raise NotCalculated(f"{name} is not a function that is calculated here: {_ADVICE}")
            return self._written(node, children, "r" * len(children), lifts=lifts)
        lifts = lifts or name in _ARRAYS
        if name in _CHECKED:
            self._check_use(name, children, lifts=lifts)
        if name in ("ROW", "COLUMN"):
            return self._along(name, node, children, lifts=lifts)
        places = _places_of(name, len(children))
        if name == "INDEX" and children and _name(children[0]).startswith(_OURS):
            parts = (self.write(at, lifts=lifts, one=place == "v") for place, at in zip(places, children, strict=True))
            return f"{PICK}({','.join(map(_text, children, parts))})"
        clipped, self.clips = self.clips, name in OVER_RANGES
        written = self._written(node, children, places, lifts=lifts)
        self.clips = clipped
        if name in _LIFTING or not (lifts or self.holds_arrays):
            return written
        if not any(place == "v" and self.is_many(at, lifts=lifts) for place, at in zip(places, children, strict=True)):
            return written
        if name not in _OVER_RANGES:
            raise Refused(f"{name} over several values is not calculated here: give it one value a cell, or {_ADVICE}")
        written = _text(node, written)
        return f'{EACH}("{name}",{written[written.index("(") + 1 : -1]})'

    def _written(self, node: Any, children: list[Any], places: str, *, lifts: bool) -> str | None:
        parts = [
            self.write(child, lifts=lifts, one=place == "v") for place, child in zip(places, children, strict=True)
        ]
        if parts and _name(node) in _STEPS:
            parts[0] = self._added(children[0], lifts=lifts) or parts[0]
        if _name(node) == "COUNT":
            parts = [
                f"{COUNTED}({_text(child, part)})" if _is_worked_out(child) else part
                for child, part in zip(children, parts, strict=True)
            ]
        if not any(part is not None for part in parts):
            return None
        given = ",".join(_text(child, part) for child, part in zip(children, parts, strict=True))
        return f"{node.get_function_name()}({given})"

    def _along(self, name: str, node: Any, children: list[Any], *, lifts: bool) -> str | None:
        """ROW and COLUMN, of which the engine gives the first alone."""
        if not children:
            return None
        if children[0].node_type() != "Reference":
            if lifts:
                raise Refused(f"{name} of a calculated reference is not calculated here in an array: name its cells")
            return self._written(node, children, "r", lifts=lifts)
        given = children[0].to_formula()[1:]
        _check_sheets(given)
        if not lifts or not self._is_many_cells(given):
            return None
        along = f"ROWS({given}),1,0" if name == "ROW" else f"1,COLUMNS({given}),0"
        return f"({name}({given})+SEQUENCE({along}))"

    def _check_use(self, name: str, children: list[Any], *, lifts: bool) -> None:
        if name == "LET":
            for local, value in zip(children[:-1:2], children[1::2], strict=False):
                if self.is_many(value, lifts=True):
                    self.local.add(local.to_formula()[1:].casefold())
        elif name == "SUBTOTAL":
            function = children[0].get_literal_value() if children and children[0].node_type() == "Literal" else None
            if self.around.hides_rows or function not in _SUBTOTALS:
                raise Refused(
                    "SUBTOTAL is not calculated here in a workbook that hides or filters rows: show all rows, or use a "
                    "function that takes them all, such as SUM"
                )
        elif name in ("N", "T") and any(self._any_many(children, True)):
            raise Refused(f"{name} of several cells is not calculated here: give it one cell")
        elif name == "INDEX":
            if any(self._any_many(children[1:], lifts)):
                raise Refused("INDEX with several places at once is not calculated here: give it one place a cell")
            if len(children) == 2 and (size := _size(children[0], self.around)) and min(size) > 1:
                raise Refused("INDEX into a block needs a row and a column: give both")
        elif name == "CHOOSE" and children and self.is_many(children[0], lifts=True):
            raise Refused("CHOOSE with several places at once is not calculated here: give it one place a cell")
        elif name in _CRITERIA:
            self._check_criteria(name, children)

    def _check_criteria(self, name: str, children: list[Any]) -> None:
        if name in ("SUMIF", "AVERAGEIF") and len(children) == 3:
            sizes = {_size(child, self.around) for child in (children[0], children[2])}
            if len(sizes) > 1 and None not in sizes:
                raise Refused(f"{name} has two ranges of different size: give both the same rows and columns")
        if name in ("COUNTIF", "COUNTIFS") and any(_WHOLE_COLUMNS.fullmatch(c.to_formula()[1:]) for c in children[::2]):
            values = [child.get_literal_value() if child.node_type() == "Literal" else None for child in children[1::2]]
            if not any(_is_of_filled_cells(value) for value in values):
                raise Refused(f"{name} over whole columns may count blank cells: name the rows, as in A1:A100")


def _size(node: Any, around: Around) -> tuple[int, int] | None:
    """Rows and columns of a reference; None for what has no known size."""
    if node.node_type() != "Reference":
        return None
    text = node.to_formula()[1:]
    text = around.named.get(text.casefold(), text)
    if _WHOLE_COLUMNS.fullmatch(text):
        return None
    found = split_reference(text if "!" in text else f"S!{text}")
    return (found[1].rows, found[1].columns) if found else None


def _is_place(node: Any, around: Around) -> bool:
    """Whether a place of INDEX is sure to be an error or another number than 0, which stands for a whole line."""
    if node.node_type() == "Literal":
        value = node.get_literal_value()
        return isinstance(value, int | float) and abs(value) >= 1
    if node.node_type() == "UnaryOp":
        return all(_is_place(child, around) for child in node.children())
    name = _name(node)
    if name == "IFERROR":
        return all(_is_place(child, around) for child in node.children())
    return name in ("MATCH", "ROWS", "COLUMNS") and gives_one(node, around)


def _needs_digits(left: Any, right: Any, *, is_order: bool) -> bool:
    """Whether two values may differ in the sixteenth digit, or be texts that the engine puts in an order of its own."""
    for one, other in ((left, right), (right, left)):
        if one.node_type() == "Literal":
            value = one.get_literal_value()
            if isinstance(value, bool) or (isinstance(value, str) and value.isascii() and not (is_order and value)):
                return False
            if isinstance(value, int | float):
                is_sum = other.node_type() == "BinaryOp" and other.get_operator() in ("+", "-")
                if (value == 0 and not is_sum) or _is_whole(other):
                    return False
    return not (_is_whole(left) and _is_whole(right))


def _text(node: Any, written: str | None) -> str:
    """What was written for a node, or the node as it is."""
    return node.to_formula()[1:] if written is None else written


def _check_sheets(reference: str) -> None:
    before, mark, _ = re.sub(r"'(?:[^']|'')*'", lambda quoted: ":" if ":" in quoted[0] else "", reference).rpartition(
        "!"
    )
    if mark and ":" in before:
        raise Refused(f"{reference[:60]} goes through several sheets, which is not calculated here: name each sheet")


def _name(node: Any) -> str:
    return bare(node.get_function_name() or "")


@lru_cache(maxsize=1024)
def bare(name: str) -> str:
    """A function's name in capitals, without the marks that files put before newer names."""
    return name.upper().removeprefix("_XLFN.").removeprefix("_XLWS.")


@lru_cache(maxsize=1024)
def _places_of(name: str, count: int) -> str:
    """What each of the places of a call takes."""
    places = ADMITTED.get(name, "r")
    if name in _ALTERNATING:
        return ("rv" * count if name == "COUNTIFS" else "r" + "rv" * count)[:count]
    return (places + places[-1:] * count)[:count]


def _is_worked_out(node: Any) -> bool:
    """Whether a node gives values, and no cells, that may be errors."""
    kind = node.node_type()
    if kind == "BinaryOp":
        return bool(node.get_operator() != ":")
    if kind == "UnaryOp":
        return not node.to_formula().startswith("=@")
    return kind == "Array" or (kind == "Function" and _name(node) not in _REFERRING)


def _is_nothing(node: Any) -> bool:
    """Whether a place of INDEX stands for all rows or columns."""
    return node.node_type() == "Omitted" or (node.node_type() == "Literal" and bool(node.get_literal_value() == 0))


def _is_text(node: Any) -> bool:
    """Whether the engine joins a node as every program does: a text, a truth value or a short whole number."""
    if node.node_type() == "Literal":
        value = node.get_literal_value()
        return isinstance(value, str | bool) or (
            isinstance(value, int | float) and value == int(value) and abs(value) < 1e15
        )
    if node.node_type() == "BinaryOp":
        return node.get_operator() in ("&", *_COMPARISONS)
    if node.node_type() != "Function":
        return False
    name = _name(node)
    if name in ("IF", "IFERROR"):
        return all(map(_is_text, node.children()[name == "IF" :]))
    return name in _TEXTS or name in _WHOLE_NUMBERS


def _is_whole(node: Any) -> bool:
    """Whether a node is a whole number, a truth value or an error, whatever its cells hold."""
    if node.node_type() == "Literal":
        value = node.get_literal_value()
        return isinstance(value, int | float) and float(value).is_integer()
    if node.node_type() == "UnaryOp":
        return node.to_formula()[1:2] in "+-" and all(map(_is_whole, node.children()))
    return node.node_type() == "Function" and (_name(node) in _WHOLE_NUMBERS or _name(node) in _TRUTHS)


def _is_of_filled_cells(criterion: Any) -> bool:
    """Whether a criterion is one that no blank cell meets."""
    if isinstance(criterion, str):
        return criterion not in ("", "=", "*") and not criterion.startswith("<>")
    return criterion is not None


def _held(node: Any, written: str) -> str:
    """A written operand in brackets, where it needs them."""
    return f"({written})" if node.node_type() in ("BinaryOp", "UnaryOp") else written
