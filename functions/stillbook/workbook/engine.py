"""Calculating a workbook without a spreadsheet program. The only module that knows the engine, ``formualizer``.

The engine calls our formulas back on a thread of its own, and a callback must not touch its workbook. Each calculation
here therefore makes its own engine workbook, used by one thread and dropped at the end; what is shared between
calculations is the store of answers alone: at worst two threads work out the same answer.
"""

from __future__ import annotations

import marshal
import math
import threading
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any, Final, TypeVar

import formualizer

from stillbook.catalogue import explain, find, formulas
from stillbook.formula import PREFIX, Cell, CellResult, Code, ErrorValue, Formula, FormulaError
from stillbook.workbook import WorkbookError
from stillbook.workbook.address import Area, cell_name, place, read_area, split_reference
from stillbook.workbook.package import Package
from stillbook.workbook.sheet import LONGEST_TEXT, Change, FormulaCell, Key, SheetPart
from stillbook.workbook.spelling import Spelling, has_call, to_neutral, with_blanks_written

SECONDS: Final = 60.0
"""How long a calculation may take."""

T = TypeVar("T")

Place = tuple[str, int, int]
"""Sheet, row and column of a cell."""

_CODES: Final = {
    "Na": Code.NOT_AVAILABLE,
    "Value": Code.VALUE,
    "Num": Code.NUMBER,
    "Div": Code.DIVISION,
    "Ref": Code.REFERENCE,
    "Name": Code.NAME,
    "Null": Code.NULL,
}
_KINDS: Final = {code: kind for kind, code in _CODES.items()}
_CIRCLE: Final = "Circ"
_SPILL: Final = "Spill"

_FIT: Final = "STILLFIT"
_ASK: Final = "STILLASK"
_TAKE: Final = "STILLTAKE"
_MOST_ANSWERS: Final = 50_000
_MOST_ANSWER_BYTES: Final = 32 * 2**20
_CATCHES: Final = {"IFERROR", "IFNA", "ISERROR", "ISERR", "ISNA", "ERROR.TYPE", "COUNT", "COUNTA"}
"""Functions that take an error in their first argument without passing it on."""

_SENTENCES: Final = {
    "Div": "it divides by zero or by a blank cell",
    "Value": "it calculates with text where a number is needed, or with ranges that differ in size",
    "Ref": "it refers to a cell, sheet or table that does not exist",
    "Num": "its numbers have no answer, such as the root of a negative number, or are too large",
    "Na": "a lookup in it finds no match, or it asks for a place outside its range",
    "Null": "two ranges in it have no cell in common",
    "Name": "it uses a name that is not known here",
    "Spill": "its rows have no room: clear the cells below and to the right of it",
    "Calc": "it gives an empty list",
    "NImpl": "it uses a way of writing ranges that is not calculated here",
    "Error": "it cannot be read as a formula: check its brackets and commas",
}


@dataclass(frozen=True, slots=True)
class ErrorCell:
    """A cell whose formula gives an error, and why.

    Args:
        sheet: Its sheet.
        cell: Its address in the sheet.
        code: The error value it shows.
        reason: A sentence that says what is wrong or where the error comes from.
    """

    sheet: str
    cell: str
    code: Code
    reason: str

    @property
    def place(self) -> str:
        """The cell with its sheet, as a formula names it."""
        at = read_area(self.cell)
        return place(self.sheet, at.first_row, at.first_column) if at else self.cell


@dataclass(slots=True)
class Calculation:
    """What a calculation gives.

    Args:
        changes: New values by sheet and cell, of those cells alone whose stored result differs.
        errors: The cells that show an error, sheet by sheet.
        count: How many cells hold formulas.
    """

    changes: dict[str, dict[Key, Change]] = field(default_factory=dict)
    errors: list[ErrorCell] = field(default_factory=list)
    count: int = 0


def calculate(package: Package, *, seconds: float = SECONDS) -> Calculation:
    """Calculate all formulas of a workbook; the package is not changed.

    Args:
        package: The workbook.
        seconds: How long it may take.

    Raises:
        WorkbookError: If formulas refer to each other in a circle, the engine cannot load the workbook, or it takes
            too long.
    """
    return _within(seconds, lambda running: _Run(package, running).calculate())


def evaluate(formula: str, *, seconds: float = SECONDS) -> Cell | list[list[Cell]]:
    """The value of one formula without a workbook: a cell value, an error with its reason, or rows of them.

    Args:
        formula: As typed in a cell, in any spelling; the ``=`` may be left out.
        seconds: How long it may take.

    >>> evaluate('=STILL_QUANTITY("1 ft", "in") + 1')
    13.0

    Raises:
        WorkbookError: If it cannot be read as a formula, or takes too long.
    """
    text = with_blanks_written(to_neutral("=" + formula.strip().removeprefix("=")))
    return _within(seconds, lambda running: _evaluate(text, running))


# --- calls of our formulas --------------------------------------------------------------------------------------------


class _Answers:
    """Answers to calls, in our form and in the engine's; equal calls are answered from memory."""

    def __init__(self) -> None:
        self.known: dict[tuple[str, bytes], tuple[CellResult, Any]] = {}
        self.bytes = 0

    def __call__(self, entry: Formula, values: tuple[Any, ...]) -> tuple[CellResult, Any]:
        # Version 2 of the format writes equal values alike, and TRUE unlike 1.
        key = (entry.name, marshal.dumps(values, 2))
        known = self.known.get(key)
        if known is not None:
            return known
        answer = entry(*map(_from_engine, values))
        both = (answer, _to_engine(answer))
        self.bytes += len(key[1])
        if self.bytes > _MOST_ANSWER_BYTES or len(self.known) >= _MOST_ANSWERS:
            self.known.clear()
            self.bytes = len(key[1])
        self.known[key] = both
        return both


_answer = _Answers()


def _callback(entry: Formula) -> Callable[..., Any]:
    def call(*values: Any) -> Any:
        return _answer(entry, values)[1]

    return call


def _from_engine(value: Any) -> Any:
    """An argument as our formulas take it."""
    if isinstance(value, dict):
        return ErrorValue(_CODES.get(value.get("kind", ""), Code.VALUE))
    if isinstance(value, list):
        return [_from_engine(item) for item in value]
    return value


def _to_engine(value: Any) -> Any:
    """An answer as the engine takes it: no blank, no number that is not finite, no empty or ragged rows."""
    if isinstance(value, ErrorValue):
        return {"type": "Error", "kind": _KINDS[value.code]}
    if isinstance(value, list):
        rows = [[_to_engine(cell) for cell in (row if isinstance(row, list) else [row])] for row in value]
        width = max((len(row) for row in rows), default=0)
        if not width:
            return {"type": "Error", "kind": "Na"}
        return [row + [""] * (width - len(row)) for row in rows]
    if value is None:
        return ""
    if isinstance(value, str | bool):
        return value
    return float(value) if math.isfinite(value) else {"type": "Error", "kind": "Num"}


def _fit(rows: float, columns: float, value: Any) -> Any:
    """An array cut or filled up to the cells its formula fills: a single row or column repeats, the rest is #N/A."""
    block = value if isinstance(value, list) else [[value]]
    nothing = {"type": "Error", "kind": "Na"}

    def cell(row: int, column: int) -> Any:
        row = 0 if len(block) == 1 else row
        column = 0 if len(block[0]) == 1 else column
        found = block[row][column] if row < len(block) and column < len(block[0]) else nothing
        return 0.0 if found is None else found

    return [[cell(row, column) for column in range(int(columns))] for row in range(int(rows))]


# --- running the engine -----------------------------------------------------------------------------------------------


class _Running:
    """A calculation under way: its workbook, so that it can be stopped from outside."""

    def __init__(self) -> None:
        self.workbook: Any = None
        self.stopped = False

    def stop(self) -> None:
        self.stopped = True
        if self.workbook is not None:
            self.workbook.cancel()


def _within(seconds: float, action: Callable[[_Running], T]) -> T:
    """Run an action in a thread and wait for it no longer than allowed."""
    running = _Running()
    outcome: list[T] = []
    failure: list[BaseException] = []

    def run() -> None:
        try:
            outcome.append(action(running))
        except BaseException as error:
            failure.append(error)

    thread = threading.Thread(target=run, name="stillbook-calculation", daemon=True)
    thread.start()
    try:
        thread.join(seconds)
    finally:
        if thread.is_alive():
            running.stop()
    if thread.is_alive():
        raise WorkbookError(
            f"the calculation took longer than {seconds:g} seconds and was stopped: shorten its ranges or split it"
        )
    if failure:
        raise failure[0]
    return outcome[0]


def _config(*, starts_1904: bool = False) -> Any:
    settings = formualizer.EvaluationConfig()
    settings.enable_parallel = False
    settings.cycle_detection = "runtime"
    if starts_1904:
        settings.date_system = "1904"
    return formualizer.WorkbookConfig(mode=formualizer.WorkbookMode.Ephemeral, eval_config=settings)


def _prepare(workbook: Any) -> None:
    """Register the catalogue under every spelling that a file may hold, and ask for dates as numbers."""
    workbook.set_temporal_egress("serial")
    for entry in formulas().values():
        call = _callback(entry)
        for spelling in Spelling:
            workbook.register_function(spelling.format(name=entry.name).upper(), call, min_args=0, max_args=None)
    workbook.register_function(_FIT, _fit, min_args=3, max_args=3)


def _evaluate(text: str, running: _Running) -> Cell | list[list[Cell]]:
    workbook = running.workbook = formualizer.Workbook(config=_config())
    workbook.add_sheet("Sheet1")
    _prepare(workbook)
    taken: list[Any] = []

    def take(value: Any) -> float:
        taken.append(value)
        return 0.0

    workbook.register_function(_TAKE, take, min_args=1, max_args=1)
    try:
        workbook.set_formula("Sheet1", 1, 1, f"={_TAKE}({text[1:]})")
    except Exception:
        raise WorkbookError(f"the formula {text[:80]} cannot be read: check its brackets, quotes and commas") from None
    workbook.evaluate_all()
    value = taken[0] if taken else workbook.get_value("Sheet1", 1, 1)
    errors = {
        ("Sheet1", 1, 1, row, column): _kind(cell)
        for row, cells in enumerate(value if isinstance(value, list) else [[value]])
        for column, cell in enumerate(cells)
        if _kind(cell)
    }
    if not errors:
        return _cells(value)
    reasons = _Asked(workbook).reasons({key: (text, kind) for key, kind in errors.items()}, column=5)

    def with_reason(cell: Any, row: int, column: int) -> Cell:
        if not (kind := _kind(cell)):
            return _cell(cell)
        reason = reasons.get(("Sheet1", 1, 1, row, column)) or _native_reason(kind, text, set())
        return ErrorValue(_CODES.get(kind, Code.VALUE), reason)

    if not isinstance(value, list):
        return with_reason(value, 0, 0)
    return [[with_reason(cell, r, c) for c, cell in enumerate(cells)] for r, cells in enumerate(value)]


def _kind(value: Any) -> str:
    """The engine's kind of an error, empty for any other value."""
    return str(value.get("kind", "Value")) if isinstance(value, dict) else ""


def _cells(value: Any) -> Cell | list[list[Cell]]:
    return [[_cell(cell) for cell in row] for row in value] if isinstance(value, list) else _cell(value)


def _cell(value: Any) -> Cell:
    """An engine value as a cell value; a formula that gives a blank shows 0."""
    if isinstance(value, dict):
        return ErrorValue(_CODES.get(_kind(value), Code.VALUE))
    if value is None:
        return 0.0
    if isinstance(value, bool):
        return value
    if isinstance(value, str):
        return value if len(value) <= LONGEST_TEXT else ErrorValue(Code.VALUE)
    return float(value) if math.isfinite(value) else ErrorValue(Code.NUMBER)


class _Run:
    """One calculation of one workbook."""

    def __init__(self, package: Package, running: _Running) -> None:
        self.package = package
        self.running = running
        self.sheets: dict[str, SheetPart] = {name: package.sheet(name) for name in package.sheets}
        self.workbook: Any = None

    def calculate(self) -> Calculation:
        self._load()
        self._run()
        if self._settle():
            self._run()
        return self._collect()

    def _load(self) -> None:
        try:
            self.workbook = formualizer.Workbook.from_bytes(
                self.package.to_bytes(), config=_config(starts_1904=self.package.starts_1904)
            )
        except Exception as error:
            raise WorkbookError(f"the workbook cannot be calculated here: {_first_line(error)}") from None
        self.running.workbook = self.workbook
        _prepare(self.workbook)
        known = {table["name"].casefold() for table in self.workbook.tables()}
        for table in self.package.tables():
            if table.name.casefold() not in known:
                self.workbook.add_table(
                    table.name,
                    table.sheet,
                    tuple(table.area),
                    list(table.headings),
                    header_row=table.has_heading_row,
                    totals_row=table.has_totals_row,
                )
        for sheet, part in self.sheets.items():
            self._clear_filled(sheet, part)
            self._respell(sheet, part)

    def _clear_filled(self, sheet: str, part: SheetPart) -> None:
        """Clear the stored results that array formulas fill: to the engine they would be values in the way."""
        for (row, column), formula in part.formulas.items():
            for at in formula.area.cells() if formula.area and formula.kind == "array" else ():
                if at != (row, column) and at not in part.formulas:
                    self.workbook.set_value(sheet, *at, None)

    def _respell(self, sheet: str, part: SheetPart) -> None:
        """Give the engine our calls in the neutral spelling, with blanks written out."""
        groups = {f.group for f in part.formulas.values() if f.kind == "shared" and f.text and has_call(f.text)}
        for (row, column), formula in part.formulas.items():
            if has_call(formula.text) or (formula.kind == "shared" and formula.group in groups):
                text = self.workbook.get_formula(sheet, row, column) if formula.kind == "shared" else formula.text
                if text is None:
                    continue
                wanted = with_blanks_written(to_neutral(text))
                if wanted != text:
                    self.workbook.set_formula(sheet, row, column, "=" + wanted.removeprefix("="))

    def _run(self) -> None:
        try:
            self.workbook.evaluate_all()
        except Exception as error:
            if self.running.stopped:
                raise WorkbookError("the calculation was stopped") from None
            raise WorkbookError(f"the workbook cannot be calculated here: {_first_line(error)}") from None

    def _settle(self) -> bool:
        """Hold results of several cells to the cells the file gives them; whether anything had to be set anew."""
        changed = False
        for sheet, part in self.sheets.items():
            for (row, column), formula in part.formulas.items():
                if formula.spills or formula.kind == "dataTable":
                    continue
                area = formula.area or Area(row, column, row, column)
                if self._filled(sheet, row, column) == area:
                    continue
                text = (self.workbook.get_formula(sheet, row, column) or "").removeprefix("=")
                # An ordinary formula shows one cell of its result: that of its own row or column, else the first.
                held = f"=@({text})" if formula.area is None else f"={_FIT}({area.rows},{area.columns},{text})"
                self.workbook.set_formula(sheet, row, column, held)
                changed = True
        return changed

    def _filled(self, sheet: str, row: int, column: int) -> Area | None:
        """The cells a formula's result fills; None where it found no room."""
        cell = self.workbook.inspect_cell(place(sheet, row, column)).cell
        if cell.spill is not None and cell.spill.extent:
            reference = split_reference(cell.spill.extent)
            return reference[1] if reference else None
        return None if _kind(cell.value) == _SPILL else Area(row, column, row, column)

    # --- results ------------------------------------------------------------------------------------------------------

    def _collect(self) -> Calculation:
        result = Calculation()
        errors: dict[Place, str] = {}
        anchors: dict[Place, Key] = {}
        for sheet, part in self.sheets.items():
            changes: dict[Key, Change] = {}
            for at, formula in part.formulas.items():
                result.count += 1
                if formula.kind == "dataTable":
                    continue
                filled, stale = self._extent(sheet, at, formula)
                for cell in filled.cells():
                    raw = self.workbook.get_value(sheet, *cell)
                    if kind := _kind(raw):
                        errors[sheet, *cell] = kind
                        anchors[sheet, *cell] = at
                    area = filled if formula.spills and cell == at and filled != formula.area else None
                    if area or not self._is_stored(sheet, cell, raw):
                        changes[cell] = Change(_cell(raw), calculated=True, area=area)
                for cell in stale:
                    changes.setdefault(cell, Change(None))
            if changes:
                result.changes[sheet] = changes
        self._refuse_circles(errors)
        result.errors = self._explained(errors, anchors)
        return result

    def _extent(self, sheet: str, at: Key, formula: FormulaCell) -> tuple[Area, list[Key]]:
        """The cells a formula fills now, and those it filled before and does no longer."""
        alone = Area(*at, *at)
        if not formula.spills:
            return formula.area or alone, []
        filled = self._filled(sheet, *at) or alone
        before = formula.area.cells() if formula.area else []
        now = set(filled.cells())
        formulas_here = self.sheets[sheet].formulas
        return filled, [cell for cell in before if cell not in now and cell not in formulas_here]

    def _is_stored(self, sheet: str, at: Key, raw: Any) -> bool:
        """Whether the file already shows this result."""
        if at not in self.sheets[sheet].stored:
            return False
        value, stored = _cell(raw), self.package.value(sheet, *at)
        return type(value) is type(stored) and value == stored

    def _refuse_circles(self, errors: dict[Place, str]) -> None:
        circle = {at for at, kind in errors.items() if kind == _CIRCLE}
        if not circle:
            return
        path = [min(circle, key=lambda at: (self.package.sheets.index(at[0]), *at[1:]))]
        while True:
            following = next((at for at in self._sources(path[-1], circle) if at in circle), None)
            if following is None or following in path:
                loop = path[path.index(following) :] if following else path
                break
            path.append(following)
        if len(loop) == 1:
            raise WorkbookError(f"the formula in {place(*loop[0])} refers to itself: take that reference out")
        shown = [place(*at) for at in loop]
        names = ", ".join(shown if len(shown) <= 12 else [*shown[:12], f"and {len(shown) - 12} more"])
        raise WorkbookError(f"the formulas in {names} refer to each other in a circle: take one of the references out")

    def _sources(self, at: Place, among: Iterable[Place]) -> Iterator[Place]:
        """Those of some cells that a cell's formula refers to, in the order of its references."""
        report = self.workbook.precedents(place(*at), max_links=4096).to_dict()
        for link in report["precedents"]:
            reference = link["reference"]
            resolution = reference.get("resolution") or {}
            target = next(
                (
                    text
                    for source in (reference, resolution)
                    for text in (source.get("address"), source.get("resolved"))
                    if text
                ),
                "",
            )
            found = split_reference(target)
            if found is None:
                continue
            sheet, area = found
            yield from (
                cell
                for cell in among
                if cell[0] == sheet
                and area.first_row <= cell[1] <= area.last_row
                and area.first_column <= cell[2] <= area.last_column
            )

    def _explained(self, errors: dict[Place, str], anchors: dict[Place, Key]) -> list[ErrorCell]:
        """Each error cell with its reason."""
        if not errors:
            return []
        constants = {
            (sheet, *at): kind
            for sheet, part in self.sheets.items()
            for at, (stored, _) in part.stored.items()
            if stored == "e" and at not in part.formulas and (sheet, *at) not in errors
            if isinstance(value := self.package.value(sheet, *at), ErrorValue)
            for kind in [_KINDS[value.code]]
        }
        everywhere = {**constants, **errors}
        texts = {at: self._text(at[0], anchors[at]) for at in errors}
        questions = {
            (at[0], *anchors[at], at[1] - anchors[at][0], at[2] - anchors[at][1]): (texts[at], kind)
            for at, kind in errors.items()
        }
        free = 2 + max((at[1] for part in self.sheets.values() for at in (*part.stored, *part.formulas)), default=1)
        own = _Asked(self.workbook).reasons(questions, column=free)
        names = {name.name.casefold() for name in self.package.names}
        reasons: dict[Place, str] = {}
        causes: dict[Place, Place] = {}
        for at, kind in errors.items():
            anchor = anchors[at]
            reason = own.get((at[0], *anchor, at[1] - anchor[0], at[2] - anchor[1]))
            if reason is None:
                home = (at[0], *anchor)
                cause = next((c for c in self._sources(home, everywhere) if c != at and everywhere[c] == kind), None)
                if cause is not None:
                    causes[at] = cause
                    continue
                reason = _native_reason(kind, texts[at], names)
            reasons[at] = reason
        for at, cause in causes.items():
            root, seen = cause, {at}
            while root in causes and root not in seen:
                seen.add(root)
                root = causes[root]
            reasons[at] = f"comes from {place(*root)}"
        return [
            ErrorCell(at[0], cell_name(*at[1:]), _CODES.get(kind, Code.VALUE), reasons[at])
            for at, kind in errors.items()
        ]

    def _text(self, sheet: str, at: Key) -> str:
        """A formula as the file means it, without what was put around it here."""
        text = str(self.workbook.get_formula(sheet, *at) or "")
        formula = self.sheets[sheet].formulas[at]
        return with_blanks_written(to_neutral(formula.text)) if formula.text else text


class _Asked:
    """Questions to our formulas for the reason of an error, put through the engine so that references resolve."""

    def __init__(self, workbook: Any) -> None:
        self.workbook = workbook
        self.told: dict[int, ErrorValue] = {}

    def reasons(
        self, errors: dict[tuple[str, int, int, int, int], tuple[str, str]], *, column: int
    ) -> dict[tuple[str, int, int, int, int], str]:
        """The reason of each error that one of our formulas gave by itself.

        Args:
            errors: Formula and kind of error by sheet, row and column of the formula, and place in its result.
            column: A column of free cells to put the questions in.
        """
        questions: list[tuple[tuple[str, int, int, int, int], str]] = []
        self.workbook.register_function(_ASK, self._told, min_args=4, max_args=None)
        for key, (text, _) in errors.items():
            for call in _own_calls(text):
                number = len(questions)
                questions.append((key, call))
                asked = f"={_ASK}({number},{key[3]},{key[4]},{call})"
                try:
                    self.workbook.set_formula(key[0], number + 1, column, asked)
                except Exception:
                    continue
        if not questions:
            return {}
        self.workbook.evaluate_all()
        found: dict[tuple[str, int, int, int, int], str] = {}
        for number, (key, _) in enumerate(questions):
            answer = self.told.get(number)
            if answer is not None and answer.reason and _KINDS[answer.code] == errors[key][1]:
                found.setdefault(key, answer.reason)
        return found

    def _told(self, number: float, row: float, column: float, name: str, *values: Any) -> float:
        """Note the error that a call gives by itself; one that came in with an argument is another cell's."""
        answer = _answer(find(name), values)[0]
        if isinstance(answer, list):
            r, c = int(row), int(column)
            cell = answer[r][c] if r < len(answer) and c < len(answer[r]) else None
            if not isinstance(cell, ErrorValue):
                cell = next((item for line in answer for item in line if isinstance(item, ErrorValue)), None)
                cell = ErrorValue(cell.code, explain(answer)) if cell else None
            answer = cell if cell is not None else 0.0
        if isinstance(answer, ErrorValue) and not any(_holds(value, answer.code) for value in values):
            self.told[int(number)] = answer
        return 0.0


def _holds(value: Any, code: Code) -> bool:
    """Whether an argument is or holds an error of this code."""
    if isinstance(value, list):
        return any(_holds(item, code) for item in value)
    return bool(_kind(value)) and _CODES.get(_kind(value), Code.VALUE) == code


def _own_calls(text: str) -> list[str]:
    """Name and arguments of each of our calls in a formula, innermost first, but for those whose error is caught."""
    if not has_call(text):
        return []
    try:
        tree = formualizer.parse("=" + text.removeprefix("="))
    except Exception:
        return []
    found: list[str] = []

    def walk(node: Any, *, caught: bool) -> None:
        name = (node.get_function_name() or "").upper()
        for number, child in enumerate(node.children()):
            walk(child, caught=caught or (name in _CATCHES and number == 0))
        short = name.removeprefix(PREFIX)
        if not caught and name.startswith(PREFIX) and short in formulas():
            arguments = [child.to_formula().removeprefix("=") or '""' for child in node.children()]
            found.append(",".join([f'"{short}"', *arguments]))

    walk(tree, caught=False)
    return found


def _native_reason(kind: str, text: str, names: set[str]) -> str:
    """The sentence for an error that no formula of ours gave."""
    if kind == "Name":
        functions, words = _used_names(text)
        for name in functions:
            if name.startswith((PREFIX, "STILL.")):
                try:
                    find(name)
                except FormulaError as error:
                    return error.reason
            elif not _is_function(name):
                return f"{name} is not a function that is calculated here"
        unknown = next((word for word in words if word.casefold() not in names), None)
        if unknown:
            return f'there is no name "{unknown}" in the workbook: check its spelling'
    return _SENTENCES.get(kind, "its value is an error")


def _used_names(text: str) -> tuple[list[str], list[str]]:
    """Functions and defined names that a formula uses, in order."""
    functions: list[str] = []
    words: list[str] = []
    try:
        tree = formualizer.parse("=" + text.removeprefix("="))
    except Exception:
        return functions, words

    def walk(node: Any) -> None:
        if name := node.get_function_name():
            functions.append(name.upper().removeprefix("_XLFN.").removeprefix("_XLWS."))
        for child in node.children():
            walk(child)

    walk(tree)
    words.extend(ref.name for ref in tree.walk_refs() if isinstance(ref, formualizer.NamedRangeRef))
    return functions, words


@lru_cache(maxsize=256)
def _is_function(name: str) -> bool:
    """Whether the engine has a function of this name."""
    workbook = formualizer.Workbook()
    workbook.add_sheet("S")
    try:
        workbook.set_formula("S", 1, 1, f"={name}()")
        workbook.evaluate_all()
    except Exception:
        return True
    return _kind(workbook.get_value("S", 1, 1)) != "Name"


def _first_line(error: Exception) -> str:
    return " ".join(str(error).split())[:200] or type(error).__name__
