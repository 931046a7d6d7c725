"""What each row of a schedule passes: the columns of the Row checks sheet, and their count on the Checks sheet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from stillbook.templates import look
from stillbook.templates.page import Page
from stillbook.templates.parts.check_sheet import AT_MOST, CheckRow, row_state
from stillbook.templates.parts.schedule import Schedule, Worked

_BROKEN: Final = ("Rows with a cell in error", "row_states", "See the Row checks sheet; the cell in error says what is wrong.", "Error")


@dataclass(frozen=True)
class RowRule:
    """A rule that each row passes or fails, and what to do in a row that fails."""

    title: str
    name: str
    formula: str
    advice: str
    width: float = 8


holds = row_state
"""The formula of a rule from its condition on cells of the row: it waits for a blank, and is an error where one is."""


def write(schedule: Schedule, purpose: str, states: Sequence[RowRule], width: float, advice_width: float) -> Page:
    """Write the Row checks sheet: a column for each rule, one for all, of that width, and one that says what to do."""
    wrong, waits, fails = ("+".join(f'({{{state.name}}}="{word}")' for state in states) for word in ("Error", "Waits", "Fails"))
    advice = "&".join(f'IF({{{state.name}}}="Fails","{state.advice} ","")' for state in states)
    waiting = "&".join(f'IF({{{state.name}}}="Waits","{state.title}, ","")' for state in states)
    said = (
        'IF({row_states}="Passes","",IF({row_states}="Waits","An input of this row is missing: "&'
        f'{waiting}&"cannot be judged.",'
        f'IF({{row_states}}="Error","A cell of this row is an error, which has a reason.",{advice})))'
    )
    columns = (
        Worked("Mark", f"{{{schedule.key}}}", 7, words=True),
        *(Worked(state.title, state.formula, state.width, state.name, words=True, states=True) for state in states),
        Worked("State", f'IF({wrong},"Error",IF({waits},"Waits",IF({fails},"Fails","Passes")))', width, "row_states", words=True, states=True, strong=True),
        Worked("What to do", said, advice_width, words=True),
    )
    return schedule.page("Row checks", purpose, columns)


def counted(once: tuple[str, str, str], *rules: tuple[str, str, str]) -> list[CheckRow]:
    """How many rows fail each rule, given with its name and what to do, and whether one waits, and how many are in error."""
    told = ((*once, "Fails"), _BROKEN, *((*rule, "Fails") for rule in rules))
    counts = [CheckRow(rule, f'=COUNTIF({name},"{word}")', AT_MOST, "=0", look.WHOLE, advice) for rule, name, advice, word in told]
    return [counts[0], _waiting([name for _, name, _ in rules]), *counts[1:]]


def _waiting(names: Sequence[str]) -> CheckRow:
    """Whether every row has its inputs: a missing one waits, in the row in which the first of some rules waits."""
    row = "0"
    for name in reversed((*names, "row_states")):
        row = f'IFERROR(MATCH("Waits",{name},0),{row})'
    value = '=IF(COUNTIF(row_states,"Waits")=0,"yes","")'
    advice = f'="See the Row checks sheet, and fill in what is blank, first in row "&{row}&"."'
    return CheckRow("Every row has its inputs", value, number_format=look.GENERAL, advice=advice)
