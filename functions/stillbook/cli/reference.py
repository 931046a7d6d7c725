"""The commands about the formulas and the program itself: evaluate, explain, list, and check the set-up."""

from __future__ import annotations

import json
import re
from collections import defaultdict
from typing import TYPE_CHECKING, Any

import click

from stillbook.cli.failures import ERROR_IN_RESULT, FINE, told
from stillbook.cli.screen import figure, heading, say, show_table

if TYPE_CHECKING:
    from stillbook.formula import Formula, Parameter


@click.command("formulas", short_help="List all formulas, or explain one.")
@click.argument("name", required=False)
def formulas(name: str | None) -> int:
    """List all formulas, or explain the one called NAME."""
    from stillbook import catalogue

    if name:
        _explain(catalogue.find(name))
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
    unit = both(entry.result_unit("US"), entry.result_unit("SI"))
    if unit:
        say(f"Gives    a number in {unit}")
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


@click.command("templates", short_help="List the templates.")
def templates() -> int:
    """List the templates that come with Stillbook."""
    from stillbook.templates.shipped import TEMPLATES

    rows = [(entry.name, " ".join(entry.systems) or "missing", entry.summary) for entry in TEMPLATES]
    show_table(("Template", "Units", "Purpose"), rows)
    say('\n"stillbook new TEMPLATE FILE" starts an estimate; "stillbook inputs TEMPLATE" lists what can be set.')
    return FINE


@click.command("eval", short_help="Print what one formula gives, with its unit.")
@click.argument("formula")
@click.option("--json", "as_json", is_flag=True, help="Print value, unit, error and reason for a program to read.")
def evaluate(formula: str, as_json: bool) -> int:
    """Print what FORMULA gives, with its unit. Put it in single quotes, as in

    \b
    stillbook eval '=STILL_DOORTARGETMASS(4.4,"36 in","80 in")'
    """
    from stillbook.cli.answer import answer

    if not formula.strip().removeprefix("=").strip():
        raise click.BadArgumentUsage("the formula is empty")
    found = answer(formula)
    error = found.error
    if as_json:
        alone = error is not None and not isinstance(found.value, list)
        report = {
            "value": None if alone else _plain(found.value),
            "unit": None if alone else found.unit or None,
            "error": str(error.code) if error else None,
            "reason": error.reason if error else None,
        }
        click.echo(json.dumps(report, allow_nan=False))
        return ERROR_IN_RESULT if error else FINE
    if isinstance(found.value, list):
        rows = [[figure(cell) for cell in row] for row in found.rows]
        headings = found.headings or (
            [found.unit] * len(rows[0]) if found.unit else rows.pop(0) if len(rows) > 1 else ()
        )
        show_table(headings, rows)
    elif error is None:
        click.echo(f"{figure(found.value)} {found.unit}".rstrip())
    return told(f"{error.code}: {error.reason}", ERROR_IN_RESULT) if error else FINE


def _plain(value: Any) -> Any:
    """A value as JSON has it; an error among rows is its name."""
    from stillbook.formula import ErrorValue

    if isinstance(value, list):
        return [_plain(item) for item in value]
    return str(value.code) if isinstance(value, ErrorValue) else value


@click.command("doctor", short_help="Show what is installed here, and whether it calculates right.")
def doctor() -> int:
    """Show what is installed and connected here, and whether it calculates right."""
    from stillbook.doctor import State, findings

    found = list(findings())
    show_table(("State", "What", "Version or place"), [(entry.state, entry.subject, entry.detail) for entry in found])
    return ERROR_IN_RESULT if any(entry.state is State.FAULT for entry in found) else FINE
