"""The sizes and times the service accepts."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Limits:
    """Bounds on one request. They are far above what a workbook asks, and far below what would stop the computer.

    Args:
        head_seconds: Time for the head of a request to arrive.
        head_bytes: Size of a request's head.
        body_bytes: Size of a request's body.
        body_seconds: Time for the body to arrive.
        calls: Calls in one request.
        cells: Cells in the arguments of one call, and in its answer.
        text: Characters in one cell, as many as a spreadsheet cell holds.
        answer_bytes: Size of all answers to one request; calls beyond it are not calculated.
        seconds: Time for all answers to one request; calls not answered by then give an error.
        inline_cells: Most cells in a request that is calculated at once, without a thread of its own.
        threads: Requests that are calculated in threads at the same time; others wait.
    """

    head_seconds: float = 5.0
    head_bytes: int = 64 * 2**10
    body_bytes: int = 8 * 2**20
    body_seconds: float = 10.0
    calls: int = 10_000
    cells: int = 100_000
    text: int = 32_767
    answer_bytes: int = 32 * 2**20
    seconds: float = 30.0
    inline_cells: int = 64
    threads: int = 4
