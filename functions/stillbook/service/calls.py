"""A batch of formula calls: answered in order, each on its own, within a time."""

from __future__ import annotations

import asyncio
import threading
import time
from collections.abc import Sequence
from contextlib import suppress
from typing import Any, Final

from pydantic import BaseModel, ConfigDict, Field

from stillbook import catalogue
from stillbook.cells import CellResult, Code, ErrorValue, FormulaError
from stillbook.formula import PREFIX
from stillbook.service import logs, wire
from stillbook.service.limits import Limits
from stillbook.service.recent import Failure, RecentErrors

_LONGEST_NAME: Final = 64

CELL_SCHEMA: Final[dict[str, Any]] = {
    "description": "A number, text, true, false, null for a blank cell, or an error.",
    "anyOf": [
        {"type": "number"},
        {"type": "string"},
        {"type": "boolean"},
        {"type": "null"},
        {
            "type": "object",
            "properties": {"error": {"enum": [str(code) for code in Code]}, "reason": {"type": "string"}},
            "required": ["error"],
            "additionalProperties": False,
        },
    ],
}
VALUE_SCHEMA: Final[dict[str, Any]] = {
    "description": "A cell, or a range as a list of rows of equal length.",
    "anyOf": [CELL_SCHEMA, {"type": "array", "items": {"type": "array", "items": CELL_SCHEMA}}],
}


class Call(BaseModel):
    """One formula call."""

    model_config = ConfigDict(extra="forbid")

    name: str = Field(description="The formula, with or without its prefix, in any letter case.")
    arguments: list[Any] = Field(description="The arguments in order.", json_schema_extra={"items": VALUE_SCHEMA})
    cell: str = Field("", description="Where the formula stands, for the list of recent errors, such as Shell!C7.")
    listed: bool = Field(True, description="Whether an error is noted there; false for what a person only tries out.")


class Busy(Exception):
    """All threads are taken, and stayed so for as long as a request may last."""


class Batch:
    """Calls and their answers so far. Answers are kept as JSON text, so that giving them takes no time.

    Args:
        calls: The calls, answered in this order.
        limits: What one call and all of them may take.
        recent: Where error answers are noted.
        deadline: When to stop, on the clock of :func:`time.monotonic`.
    """

    def __init__(self, calls: Sequence[Call], limits: Limits, recent: RecentErrors, deadline: float) -> None:
        self.calls = calls
        self.limits = limits
        self.recent = recent
        self.deadline = deadline
        self.errors = 0
        self._answers: list[str] = []

    def is_quick(self) -> bool:
        """Whether it takes less time than handing it to a thread: a few cells, and answers that are single numbers."""
        found = catalogue.formulas()
        cells = 0
        for call in self.calls:
            formula = found.get(call.name.removeprefix(PREFIX))
            if formula is None or not formula.result.is_one_number:
                return False
            cells += wire.count_cells(call.arguments)
            if cells > self.limits.inline_cells:
                return False
        return True

    def work(self) -> None:
        """Answer the calls one after another until all are answered, or time or room is up."""
        failures: dict[Failure, None] = {}
        size = 0
        for call in self.calls:
            if time.monotonic() > self.deadline or size > self.limits.answer_bytes:
                break
            result = answer(call.name, call.arguments, self.limits)
            text = wire.encode(result)
            size += len(text)
            self._answers.append(text)
            if (error := wire.first_error(result)) is not None:
                self.errors += 1
                if call.listed:
                    failures[_failure(call, error)] = None
        self.recent.add(failures)

    def json(self) -> str:
        """The answers as JSON; a call without an answer yet gives an error."""
        answers = self._answers[: len(self.calls)]
        missing = len(self.calls) - len(answers)
        if missing:
            late = ErrorValue(
                Code.NOT_AVAILABLE,
                f"not calculated: the request took more than {self.limits.seconds:g} s, or its answers are too large; "
                "calculate again, with fewer calls at a time or smaller ranges",
            )
            self.errors += missing
            self.recent.add({_failure(call, late): None for call in self.calls[len(answers) :] if call.listed})
            answers += [wire.encode(late)] * missing
        return f'{{"answers":[{",".join(answers)}]}}'


def answer(name: str, arguments: list[Any], limits: Limits) -> CellResult:
    """The answer to one call. It never raises: whatever goes wrong is an error value with its reason."""
    try:
        if len(name) > _LONGEST_NAME:
            raise FormulaError(f"there is no formula whose name has {len(name)} characters", Code.NAME)
        formula = catalogue.find(name)
        values = wire.read_arguments(arguments, limits)
        wire.refuse_large_answer(formula, values, limits)
        return formula(*values)
    except FormulaError as error:
        return error.value
    except Exception as error:
        logs.failure("call failed", error)
        return ErrorValue(Code.VALUE, f"{name} failed: this is a fault in Stillbook, please report it")


def _failure(call: Call, error: ErrorValue) -> Failure:
    name = call.name[:_LONGEST_NAME].strip().upper().removeprefix("STILL.").removeprefix(PREFIX)
    return Failure(PREFIX + name, error.code, error.reason or f"the cell holds {error.code}", call.cell)


class Workshop:
    """Threads for batches that would hold up the event loop.

    A thread cannot be stopped inside a call. When time is up the request is answered without it; the thread ends after
    the call it is in, and its place is free again only then.
    """

    def __init__(self, threads: int) -> None:
        self._places = asyncio.Semaphore(threads)

    async def run(self, batch: Batch) -> None:
        """Work through a batch, until it is done or its time is up.

        Raises:
            Busy: If no thread became free in time.
        """
        loop = asyncio.get_running_loop()
        deadline = loop.time() + batch.deadline - time.monotonic()
        try:
            async with asyncio.timeout_at(deadline):
                await self._places.acquire()
        except TimeoutError:
            raise Busy from None
        ended = asyncio.Event()

        def end() -> None:
            self._places.release()
            ended.set()

        def work() -> None:
            try:
                batch.work()
            finally:
                # The loop is gone if the service was stopped meanwhile.
                with suppress(RuntimeError):
                    loop.call_soon_threadsafe(end)

        threading.Thread(target=work, name="batch", daemon=True).start()
        with suppress(TimeoutError):
            async with asyncio.timeout_at(deadline):
                await ended.wait()
