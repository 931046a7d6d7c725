"""``stillbook formulas``: the list of formulas, and one of them explained."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any

import click

from stillbook.cli.completion import formula_names
from stillbook.cli.outcome import Outcome, Reporting
from stillbook.cli.screen import figure, heading, say, show_table
from stillbook.cli.shapes import Formulas

if TYPE_CHECKING:
    from stillbook.formula import Formula


@click.command("formulas", cls=Reporting, gives=Formulas, short_help="List all formulas, or explain one.")
@click.argument("name", nargs=-1, shell_complete=formula_names)
def command(name: tuple[str, ...]) -> Outcome:
    """List all formulas, explain the one called NAME, or list those that hold the words given."""
    from stillbook import catalogue
    from stillbook.cells import FormulaError

    words = " ".join(name)
    if not words:
        return _outcome(list(catalogue.formulas().values()), _show_all)
    try:
        return _outcome([catalogue.find(words)], lambda found: _explain(found[0]))
    except FormulaError:
        found = catalogue.search(words)
        if not found:
            raise
        return _outcome(found, _show_list)


def _outcome(found: list[Formula], show: Callable[[list[Formula]], None]) -> Outcome:
    def data() -> Mapping[str, Any]:
        from stillbook.service.listing import described

        return {"formulas": [described(entry).model_dump() for entry in found]}

    return Outcome(lambda: show(found), data)


def _show_all(found: list[Formula]) -> None:
    families: dict[str, list[Formula]] = defaultdict(list)
    for entry in found:
        families[entry.family].append(entry)
    for family, entries in families.items():
        heading(family)
        _show_list(entries)
        say()
    say('"stillbook formulas NAME" explains one of them.')


def _show_list(found: list[Formula]) -> None:
    show_table(("Formula", "Gives"), [(entry.workbook_name, entry.summary) for entry in found])


def _explain(entry: Formula) -> None:
    """Print all that is known of one formula."""
    from stillbook.formula import both

    heading(entry.signature)
    say(f"\n{entry.summary}.\n")
    if entry.arguments:
        rows = [(argument.words, argument.unit_for_both, argument.meaning) for argument in entry.arguments]
        show_table(("Argument", "Unit", "Meaning"), rows)
        say()
    gives = entry.example.gives
    shown = "; ".join(map(figure, gives)) if isinstance(gives, tuple) else figure(gives)
    say(f"Gives    {entry.result.said(both(entry.result.unit('US'), entry.result.unit('SI')))}")
    say(f"Example  ={entry.example.call}  →  {shown}")
    say(f"Source   {entry.source}\n")
    say(entry.notes)
