"""Asking a person at the terminal for the inputs that an estimate still needs."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

import click

from stillbook.cli.outcome import for_a_program
from stillbook.cli.screen import heading, say

if TYPE_CHECKING:
    from stillbook.workbook.job.estimate import Job
    from stillbook.workbook.job.interface import Input


def someone_is_there() -> bool:
    """Whether a person can be asked: both what is read and what is written are a terminal, for a person to read."""
    return not for_a_program() and sys.stdin.isatty() and sys.stdout.isatty()


def ask_for_missing(job: Job) -> None:
    """Ask for each input that must be filled in and is not, and set it; an empty answer leaves it for later."""
    missing = [entry for entry in job.inputs.values() if entry.missing]
    if missing:
        say("These are still to be filled in. Press Enter alone to leave one for later.\n")
    for entry in missing:
        _ask(job, entry)


def _ask(job: Job, entry: Input) -> None:
    from stillbook.cli.inputs import wanted
    from stillbook.workbook.job.inputs import InputError

    heading(entry.name)
    if entry.spec.help:
        say(entry.spec.help)
    for offer in entry.offers:
        say(f"  {offer}")
    words = "one of these, or something else as said above" if entry.offers else wanted(entry)
    while answer := click.prompt(words[0].upper() + words[1:], default="", show_default=False).strip():
        try:
            job.set({entry.name: answer})
        except InputError as error:
            say(str(error))
        else:
            break
    say()
