"""How differences between workbooks look in the terminal."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from stillbook.cli.failures import ERROR_IN_RESULT, FINE
from stillbook.cli.screen import figure, heading, show_table

if TYPE_CHECKING:
    from stillbook.cells import Cell
    from stillbook.office.compare import Difference


def show_differences(differences: Sequence[Difference]) -> None:
    """Print differences, subject by subject."""
    from stillbook.office.compare import SUBJECTS

    for subject, title in SUBJECTS.items():
        found = [difference for difference in differences if difference.subject == subject]
        if not found:
            continue
        heading(f"\n{title}")
        if subject == "check":
            show_table(("Before", "After", "Rule"), [(*_sides(check), check.name) for check in found])
            continue
        rows = [(d.name, *_sides(d), _change(d.change), d.unit, d.label) for d in found]
        show_table(("Name", "Before", "After", "Change", "Unit", "What"), rows, right=("Change",))


def differences_data(differences: Sequence[Difference]) -> list[dict[str, Any]]:
    """Differences for a program."""
    told = ("subject", "name", "label", "unit", "before", "after", "change", "only")
    return [{name: getattr(difference, name) for name in told} for difference in differences]


def code_for(differences: Sequence[Difference]) -> int:
    """The exit code: whether something shows an error now."""
    from stillbook.cells import ErrorValue

    return ERROR_IN_RESULT if any(isinstance(entry.after, ErrorValue) for entry in differences) else FINE


def _sides(difference: Difference) -> tuple[str, str]:
    before, after = (_short(value) or "blank" for value in (difference.before, difference.after))
    return (
        "not there" if difference.only == "second" else before,
        "not there" if difference.only == "first" else after,
    )


def _short(value: Cell) -> str:
    """A value without the last figures, which no price or mass is good for."""
    return f"{value:.7g}" if isinstance(value, int | float) and not isinstance(value, bool) else figure(value)


def _change(change: float | None) -> str:
    return "" if change is None else f"{change:+.6g}"
