"""What a command gives, printed for a person or, with ``--json``, for a program.

The function of a command gives an :class:`Outcome`; the command, a :class:`Reporting`, takes ``--json`` by itself and
prints either. It declares the shape of its data, one of :mod:`stillbook.cli.shapes`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import click

from stillbook.cli.failures import AS_JSON, FINE, WRONG_INPUT, told
from stillbook.cli.screen import print_data

_ASKED: Final = "stillbook.json"


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a command gives.

    Args:
        show: Prints it for a person.
        data: Gives it for a program, in the shape that the command declares.
        code: The exit code.
    """

    show: Callable[[], object]
    data: Callable[[], Mapping[str, Any]]
    code: int = FINE


def failed(path: Path, reason: str) -> Outcome:
    """What is given in the place of a file that could not be worked on, while others could."""
    return Outcome(
        lambda: told(reason, WRONG_INPUT),
        lambda: {"file": path, "error": "input", "reason": reason},
        WRONG_INPUT,
    )


def for_a_program() -> bool:
    """Whether the command that runs was asked for its result as data, so that nobody is there to read or answer."""
    context = click.get_current_context(silent=True)
    return bool(context and context.meta.get(_ASKED))


class Reporting(click.Command):
    """A command that prints its outcome either way.

    Args:
        gives: The shape of what it prints with ``--json``.
    """

    def __init__(self, *arguments: Any, gives: type, **settings: Any) -> None:
        super().__init__(*arguments, **settings)
        self.gives = gives
        self.params.append(
            click.Option(
                [AS_JSON],
                is_flag=True,
                expose_value=False,
                callback=_remember,
                help="Print the result as JSON, for a program to read.",
            )
        )

    def invoke(self, ctx: click.Context) -> Any:
        """Run the command, print its outcome, and give the exit code."""
        outcome = super().invoke(ctx)
        if not isinstance(outcome, Outcome):
            return outcome
        if ctx.meta.get(_ASKED):
            print_data(outcome.data())
        else:
            outcome.show()
        return outcome.code


class ReportingGroup(Reporting, click.Group):
    """A command with commands of its own, which prints its outcome where it is given none of them."""


def _remember(context: click.Context, _: click.Parameter, value: bool) -> None:
    context.meta[_ASKED] = value
