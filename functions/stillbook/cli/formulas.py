"""``stillbook formulas``: the list of formulas, and one of them explained."""

from __future__ import annotations

import re
from collections import defaultdict
from typing import TYPE_CHECKING

import click

from stillbook.cli.failures import FINE
from stillbook.cli.screen import figure, heading, say, show_table

if TYPE_CHECKING:
    from stillbook.formula import Formula, Parameter


@click.command("formulas", short_help="List all formulas, or explain one.")
@click.argument("name", nargs=-1)
def command(name: tuple[str, ...]) -> int:
    """List all formulas, explain the one called NAME, or list those that hold the words given."""
    from stillbook import catalogue
    from stillbook.cells import FormulaError

    if name:
        words = " ".join(name)
        try:
            _explain(catalogue.find(words))
        except FormulaError:
            found = catalogue.search(words)
            if not found:
                raise
            show_table(("Formula", "Gives"), [(entry.workbook_name, entry.summary) for entry in found])
        return FINE
    families: dict[str, list[Formula]] = defaultdict(list)
    for entry in catalogue.formulas().values():
        families[entry.family].append(entry)
    for family, entries in families.items():
        heading(family)
        show_table(("Formula", "Gives"), [(entry.workbook_name, entry.summary) for entry in entries])
        say()
    say('"stillbook formulas NAME" explains one of them.')
    return FINE


def _explain(entry: Formula) -> None:
    """Print all that is known of one formula."""
    heading(entry.signature)
    say(f"\n{entry.summary}.\n")
    if entry.arguments:
        rows = [(argument.words, _unit(argument), _help(argument)) for argument in entry.arguments]
        show_table(("Argument", "Unit", "Meaning"), rows)
        say()
    gives = entry.example.gives
    shown = "; ".join(map(figure, gives)) if isinstance(gives, tuple) else figure(gives)
    say(f"Gives    {entry.result.said(both(entry.result.unit('US'), entry.result.unit('SI')))}")
    say(f"Example  ={entry.example.call}  →  {shown}")
    say(f"Source   {entry.source}\n")
    say(prose(entry.function.__doc__ or ""))


def both(us: str, si: str) -> str:
    """What stands for the two unit systems, said once where it is the same: ``in or mm``, ``lb or kg, a row``."""
    if us == si:
        return us
    (us_unit, us_mark, us_form), (si_unit, _, si_form) = us.partition(", "), si.partition(", ")
    return f"{us_unit} or {si_unit}{us_mark}{us_form}" if us_form == si_form else f"{us} or {si}"


def _unit(argument: Parameter) -> str:
    if argument.reader.choices:
        return "text"
    return both(argument.reader.label("US"), argument.reader.label("SI"))


def _help(argument: Parameter) -> str:
    text = argument.help.rstrip(".")
    if argument.reader.choices:
        text += ": one of " + ", ".join(argument.reader.choices)
    if argument.default is not None:
        text += f"; {both(argument.default_shown('US'), argument.default_shown('SI'))} when left out"
    elif not argument.required and "left out" not in text:
        text += "; may be left out"
    return text + "."


def prose(doc: str) -> str:
    """A docstring for readers of the terminal: without what only Python readers need."""
    import inspect

    text = re.sub(r"^(?:Args|Raises):\n(?:[ \t]+.*\n?|\n)+", "", inspect.cleandoc(doc) + "\n", flags=re.MULTILINE)
    text = re.sub(r"^>>> .*\n(?:.+\n)*", "", text, flags=re.MULTILINE)
    text = re.sub(r"(?<=\S)\n(?=\S)", " ", text)
    text = re.sub(r":\w+:`~?([^`]+)`", r"\1", text).replace("``", "")
    return re.sub(r"\n{3,}", "\n\n", text).strip()
