"""Calculating without a spreadsheet program. The only module that knows the engine, ``formualizer``.

The engine calls our formulas back while it calculates, and a callback must not touch its workbook. Each calculation
therefore has an engine workbook of its own, used by one thread and dropped at the end.
"""

from __future__ import annotations

import threading
import weakref
from collections.abc import Callable
from typing import Any, Final, NamedTuple, TypeVar

import formualizer

from stillbook.catalogue import formulas
from stillbook.cells import Cell, Code, ErrorValue
from stillbook.formula import PREFIX
from stillbook.workbook import CALCULATION, WorkbookError
from stillbook.workbook.calculation import answers
from stillbook.workbook.calculation.admitted import EACH, Around, NotCalculated, bare, gives_one, prepared
from stillbook.workbook.calculation.answers import (
    FAULTS_OF_THE_MACHINE,
    answer,
    cell_of,
    code_of,
    fit,
    kind_of,
    machine_error,
    rows,
)
from stillbook.workbook.calculation.definitions import DEFINED
from stillbook.workbook.calculation.definitions.cell_values import REFUSED, Refused
from stillbook.workbook.calculation.definitions.dates import date_functions
from stillbook.workbook.calculation.definitions.formats import text_function
from stillbook.workbook.calculation.each_value import Each
from stillbook.workbook.calculation.reasons import Fault, OwnCall, Place, reasons
from stillbook.workbook.calculation.spelling import Spelling, has_call, in_memory
from stillbook.workbook.calculation.watch import watched
from stillbook.workbook.file.address import Area, place, split_reference
from stillbook.workbook.file.package import TableArea

SECONDS: Final = 60.0
"""How long a calculation may take."""

FIT: Final = "STILLFIT"
"""A function of the engine's alone: rows, columns and an array, which it cuts or fills up to that size."""

_REFUSE: Final = "STILLREFUSED"
"""A function of the engine's alone: the kind of error that stands for a formula which is not calculated."""

_TAKE: Final = "STILLTAKE"
_CATCHES: Final = {"IFERROR", "IFNA", "ISERROR", "ISERR", "ISNA", "ERROR.TYPE", "COUNT", "COUNTA"}
"""Functions that take an error in their first argument without passing it on."""

T = TypeVar("T")


class Engine:
    """A workbook in the engine, with the catalogue registered under every spelling that a file may hold.

    Args:
        data: An .xlsx file; an empty workbook with the sheet ``Sheet1`` without one.
        starts_1904: Whether its days are counted from 1904.

    Raises:
        WorkbookError: If the engine cannot load it.
    """

    def __init__(self, data: bytes | None = None, *, starts_1904: bool = False) -> None:
        settings = formualizer.EvaluationConfig()
        settings.enable_parallel = False
        settings.cycle_detection = "runtime"
        if starts_1904:
            settings.date_system = "1904"
        config = formualizer.WorkbookConfig(eval_config=settings)
        try:
            if data is None:
                self._workbook: Any = formualizer.Workbook(config=config)
                self._workbook.add_sheet("Sheet1")
            else:
                self._workbook = formualizer.Workbook.from_bytes(data, config=config)
        except FAULTS_OF_THE_MACHINE:
            raise
        except Exception as error:
            raise WorkbookError(
                f"it cannot be calculated here ({_first_line(error)}): save it anew in a spreadsheet program"
            ) from None
        self._workbook.set_temporal_egress("serial")
        self._broken: BaseException | None = None
        self.refusals: dict[str, str] = {}
        """Why a function refused a question while it calculated, by its name."""
        for entry in formulas().values():
            call = answer.callback(entry)
            for spelling in Spelling:
                self.register(spelling.format(name=entry.name).upper(), call)
        for name, call in DEFINED.items():
            self.register(name, call)
            self.register(f"_XLFN.{name}", call)
        self.register("TEXT", text_function(starts_1904=starts_1904))
        for name, call in date_functions(starts_1904=starts_1904).items():
            self.register(name, call)
        self.register(FIT, fit)
        self.register(EACH, _each)
        self.register(_REFUSE, answers.error)

    def register(self, name: str, callback: Callable[..., Any]) -> None:
        """Let formulas call a Python function by this name."""
        # The engine holds this function: one that held the engine's workbook in turn would never be freed with it.
        refusals, held = self.refusals, weakref.ref(self)

        def call(*values: Any) -> Any:
            try:
                return callback(*values)
            except Refused as refused:
                refusals[values[0] if name == EACH else name.removeprefix("_XLFN.")] = _with_name(name, str(refused))
                return answers.error(REFUSED)
            except FAULTS_OF_THE_MACHINE as fault:
                if (engine := held()) is not None:
                    engine._broken = fault
                    engine.stop()
                raise

        self._workbook.register_function(name, call, min_args=0, max_args=None, allow_override_builtin=True)

    def add_table(self, table: TableArea) -> None:
        """Make a table known, unless the engine found it by itself."""
        if table.name.casefold() not in {known["name"].casefold() for known in self._workbook.tables()}:
            self._workbook.add_table(
                table.name,
                table.sheet,
                tuple(table.area),
                list(table.headings),
                header_row=table.has_heading_row,
                totals_row=table.has_totals_row,
            )

    def set_formula(self, at: Place, formula: str) -> None:
        """Put a formula in a cell. One that cannot be read makes the cell an error."""
        try:
            self._workbook.set_formula(*at, formula)
        except Exception:
            self._workbook.set_formula(*at, "=NA()")

    def refuse(self, at: Place, refused: Refused) -> None:
        """Put an error in the place of a formula that is not calculated."""
        self._workbook.set_formula(*at, f"={refusal(refused)}")

    def formula(self, at: Place) -> str:
        """The formula of a cell as the engine reads it, without ``=``."""
        return str(self._workbook.get_formula(*at) or "").removeprefix("=")

    def evaluate(self) -> None:
        """Calculate what has not been calculated yet.

        Raises:
            WorkbookError: If the engine gives up.
        """
        try:
            self._workbook.evaluate_all()
        except Exception as error:
            if self._broken is None:
                raise WorkbookError(f"it cannot be calculated here: {_first_line(error)}") from None
        if self._broken is not None:
            raise machine_error(self._broken) from self._broken

    def why_refused(self, at: Place, formula: str) -> str | None:
        """Calculate a formula in a free cell, and nothing else anew: why it refused, or None where it did not."""
        self.refusals.clear()
        self.set_formula(at, f"={formula}")
        self._workbook.evaluate_cell(*at)
        return next(iter(self.refusals.values()), None)

    def stop(self) -> None:
        """End a calculation that runs in another thread, at the engine's next chance."""
        self._workbook.cancel()

    def value(self, at: Place) -> Any:
        """The value of a cell in the engine's form."""
        return self._workbook.get_value(*at)

    def filled(self, at: Place) -> Area | None:
        """The cells that a formula's result fills; None where it found no room."""
        cell = self._workbook.inspect_cell(place(*at)).cell
        if cell.spill is not None and cell.spill.extent:
            reference = split_reference(cell.spill.extent)
            return reference[1] if reference else None
        return None if kind_of(cell.value) == "Spill" else Area(*at[1:], *at[1:])

    def sources(self, at: Place) -> list[tuple[str, Area]]:
        """Sheet and cells of each reference in a formula, names and tables resolved."""
        found = []
        for link in self._workbook.precedents(place(*at), max_links=4096).to_dict()["precedents"]:
            reference = link["reference"]
            for source in (reference, reference.get("resolution") or {}):
                target = split_reference(source.get("address") or source.get("resolved") or "")
                if target is not None:
                    found.append(target)
        return found

    # --- reading formulas ---------------------------------------------------------------------------------------------

    def own_calls(self, formula: str) -> list[OwnCall]:
        """The calls of ours in a formula, innermost first, save those whose error is caught."""
        found: list[OwnCall] = []

        def walk(node: Any, *, caught: bool, taken: tuple[int, int] | None) -> None:
            name = (node.get_function_name() or "").upper()
            place = _taken(node) if name == "INDEX" else None
            for number, child in enumerate(node.children()):
                walk(child, caught=caught or (name in _CATCHES and number == 0), taken=place if number == 0 else None)
            short = name.removeprefix(PREFIX)
            if not caught and name.startswith(PREFIX) and short in formulas():
                arguments = [child.to_formula().removeprefix("=") or '""' for child in node.children()]
                found.append(OwnCall(short, ",".join(arguments), taken))

        if has_call(formula) and (tree := _parsed(formula)) is not None:
            walk(tree, caught=False, taken=None)
        return found

    def used_names(self, formula: str) -> tuple[list[str], list[str]]:
        """Functions and defined names that a formula uses, in order."""
        functions: list[str] = []

        def walk(node: Any) -> None:
            if name := node.get_function_name():
                functions.append(bare(name))
            for child in node.children():
                walk(child)

        tree = _parsed(formula)
        if tree is None:
            return [], []
        walk(tree)
        return functions, [ref.name for ref in tree.walk_refs() if isinstance(ref, formualizer.NamedRangeRef)]


class Prepared(NamedTuple):
    """A formula as the engine takes it.

    Args:
        text: Its text without ``=``; None where that of the file means the same.
        gives_one: Whether it is sure to give a single value.
    """

    text: str | None
    gives_one: bool


def prepare(formula: str, around: Around) -> Prepared:
    """A formula, without ``=``, written so that it means to the engine what it means in its file.

    Raises:
        Refused: If it uses what is not proved.
    """
    tree = _parsed(formula)
    return Prepared(None, False) if tree is None else Prepared(prepared(tree, around), gives_one(tree, around))


def readable(formula: str) -> str:
    """A formula, without ``=``, or an error in its place where it cannot be read."""
    return "NA()" if _parsed(formula) is None else formula


def refusal(refused: Refused) -> str:
    """What stands, without ``=``, in the place of a formula that is not calculated."""
    return f'{_REFUSE}("{"Name" if isinstance(refused, NotCalculated) else REFUSED}")'


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
    text = in_memory(formula.strip().removeprefix("="))
    if not text or _parsed(text) is None:
        raise WorkbookError(f"the formula {formula.strip()[:80]} cannot be read: check its brackets, quotes and commas")
    return within(seconds, Engine, lambda engine: _evaluate(engine, text))


def _evaluate(engine: Engine, text: str) -> Cell | list[list[Cell]]:
    try:
        written = prepare(text, Around()).text or text
    except Refused as refused:
        code = Code.NAME if isinstance(refused, NotCalculated) else Code.VALUE
        return ErrorValue(code, str(refused))
    home: Place = ("Sheet1", 1, 1)
    taken: list[Any] = []

    def take(value: Any) -> float:
        taken.append(value)
        return 0.0

    engine.register(_TAKE, take)
    engine.set_formula(home, f"={_TAKE}({written})")
    engine.evaluate()
    value = taken[0] if taken else engine.value(home)
    block = rows(value)
    faults = [
        Fault(home, ("Sheet1", 1 + r, 1 + c), kind_of(cell), text)
        for r, cells in enumerate(block)
        for c, cell in enumerate(cells)
        if kind_of(cell)
    ]
    why = reasons(engine, faults, free_column=3) if faults else {}
    shown = [[cell_of(cell) for cell in cells] for cells in block]
    for fault in faults:
        shown[fault.shown[1] - 1][fault.shown[2] - 1] = ErrorValue(code_of(fault.kind), why[fault.shown])
    return shown if isinstance(value, list) else shown[0][0]


def within(seconds: float, load: Callable[[], Engine], action: Callable[[Engine], T]) -> T:
    """Load an engine and run an action on it, in a thread of their own, for no longer than allowed.

    Raises:
        WorkbookError: If it takes longer; the engine is stopped. Where it hangs so that no thread runs any more, this
            process is ended.
    """
    engines: list[Engine] = []
    outcome: list[T] = []
    failure: list[BaseException] = []

    def run() -> None:
        try:
            engines.append(load())
            outcome.append(action(engines[0]))
        except FAULTS_OF_THE_MACHINE as fault:
            failure.append(machine_error(fault))
        except BaseException as error:
            failure.append(error)

    thread = threading.Thread(target=run, name=CALCULATION, daemon=True)
    with watched(seconds):
        thread.start()
        try:
            thread.join(seconds)
        finally:
            late = thread.is_alive()
            if late and engines:
                engines[0].stop()
    if late:
        raise WorkbookError(f"it took longer than {seconds:g} seconds to calculate and was stopped: shorten its ranges")
    if failure:
        raise failure[0]
    return outcome[0]


def _taken(index: Any) -> tuple[int, int] | None:
    """Row and column, counted from 0, that INDEX takes where both are written out as numbers."""
    places = index.children()[1:]
    numbers = [node.get_literal_value() for node in places if node.node_type() == "Literal"]
    numbers = [int(number) - 1 for number in numbers if isinstance(number, int | float) and number >= 1]
    return (numbers[0], numbers[1]) if len(numbers) == len(places) == 2 else None


def _with_name(name: str, reason: str) -> str:
    """A refusal with the name of its function, where that stands in the file."""
    return reason if name.startswith("STILL") else f"{name.removeprefix('_XLFN.')}: {reason}"


def _blank() -> Any:
    """A workbook of the engine's without sheets, in which dates are numbers."""
    workbook = formualizer.Workbook()
    workbook.set_temporal_egress("serial")
    return workbook


_each: Final = Each(_blank)


def _parsed(formula: str) -> Any:
    """The syntax tree of a formula; None where it cannot be read."""
    try:
        return formualizer.parse("=" + formula.removeprefix("="))
    except Exception:
        return None


def _first_line(error: Exception) -> str:
    return " ".join(str(error).split())[:200] or type(error).__name__
