"""A page that nobody may rely on yet: why, and all the words that say so."""

from __future__ import annotations

from typing import Final

from stillbook.cells import ErrorValue
from stillbook.workbook import WorkbookError
from stillbook.workbook.file.address import split_reference
from stillbook.workbook.file.package import Package
from stillbook.workbook.job.audience import DRAFT_MARK
from stillbook.workbook.job.estimate import Report

MARK: Final = (
    '=IFERROR(IF(checks_denied=0,"","DRAFT: "&checks_denied&IF(checks_denied=1," check fails"," checks fail")),'
    '"DRAFT: checks cannot be judged")'
)
"""The formula with which a sheet says so across its own head, in the words of :func:`mark`."""

NOT_TO_BE_SIGNED: Final = "A draft, not to be signed while checks fail."
"""What stands where a client would sign."""

MOST_ERRORS: Final = 5
"""How many error cells are named before the rest is counted."""


class DraftError(WorkbookError):
    """A workbook that leaves the office only as a marked draft.

    Args:
        message: What stands in the way, in a sentence.
        reasons: Each check, input and error that does, in words.
    """

    def __init__(self, message: str, reasons: tuple[str, ...]) -> None:
        super().__init__(f"{message}: {'; '.join(reasons)}")
        self.message = message
        self.reasons = reasons


def require_draft(report: Report, *, draft: bool) -> str:
    """The mark of a calculated workbook, empty where it stands.

    Args:
        report: What the workbook says.
        draft: Whether a draft was asked for.

    Raises:
        DraftError: If the workbook does not stand, and no draft was asked for.
    """
    reasons = against(report)
    if reasons and not draft:
        raise DraftError(
            "it is not for anybody to rely on: put it right, or ask for a marked draft with --draft", reasons
        )
    return mark(report)


def against(report: Report) -> tuple[str, ...]:
    """Why nobody may rely on what a workbook says: the checks that deny, inputs that are refused, and error cells."""
    denied = (
        f"{'a check is an error' if check.state == 'error' else 'a check fails'}: {check.rule}: {check.advice}"
        for check in report.denied
    )
    refused = (f"{entry.place}: {entry.reason}" for entry in report.refused)
    errors = [f"{error.place} is {error.code}: {error.reason}" for error in report.errors[:MOST_ERRORS]]
    if len(report.errors) > MOST_ERRORS:
        errors.append(f"{len(report.errors) - MOST_ERRORS} more cells are errors")
    return (*denied, *refused, *errors)


def mark(report: Report) -> str:
    """The words that mark a page of such a workbook; empty where it stands."""
    for count, one, many in (
        (len(report.denied), "check fails", "checks fail"),
        (len(report.refused), "input is wrong", "inputs are wrong"),
        (len(report.errors), "cell is an error", "cells are errors"),
    ):
        if count:
            return f"DRAFT: {count} {one if count == 1 else many}"
    return ""


def marks_itself(package: Package, sheet: str) -> bool:
    """Whether a calculated sheet says across its own head that it is a draft."""
    for name in package.names:
        if name.name.casefold() != DRAFT_MARK or name.sheet != sheet:
            continue
        found = split_reference(name.refers_to)
        if found is None or found[0] != sheet:
            continue
        value = package.value(sheet, found[1].first_row, found[1].first_column)
        if value not in (None, "") and not isinstance(value, ErrorValue):
            return True
    return False
