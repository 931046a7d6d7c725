"""What can go wrong around a command, told in one line that says what to do."""

from __future__ import annotations

import errno
import io
import os
import sys
from collections.abc import Sequence
from typing import Final

import click

from stillbook.cli.screen import complain, print_data

AS_JSON: Final = "--json"
"""The option that every command takes which prints a result."""

FINE: Final = 0
ERROR_IN_RESULT: Final = 1
WRONG_INPUT: Final = 2
READER_GONE: Final = 1
STOPPED: Final = 130
"""The shells' own code for a program that Ctrl-C ended."""

_ADVICE: Final = {
    errno.ENOENT: "there is no such file or folder: check the name",
    errno.EACCES: "no permission: choose a place you may write to, or close the program that holds the file",
    errno.EPERM: "no permission: choose a place you may write to, or close the program that holds the file",
    errno.EROFS: "the disk is read-only: choose another place",
    errno.ENOSPC: "the disk is full: free some space and run it again; no file was left half written",
    errno.EDQUOT: "your share of the disk is full: free some space and run it again; no file was left half written",
    errno.EISDIR: "this is a folder: name a file",
    errno.ENOTDIR: "a part of this path is a file, not a folder: check the name",
    errno.ENAMETOOLONG: "the name is too long: choose a shorter one",
}

_NO_MEMORY: Final = "this computer may have too little free memory: close other programs and run it again"


def guarded(command: click.Command, arguments: Sequence[str]) -> int:
    """Run a command and give its exit code; an expected failure is one line on standard error, never a traceback."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            # A terminal that cannot show a sign such as ² shows a ? in its place.
            stream.reconfigure(errors="replace")
    try:
        code = command.main(list(arguments), prog_name="stillbook", standalone_mode=False) or FINE
        sys.stdout.flush()
        return int(code)
    except BrokenPipeError:
        _drop_output()
        return READER_GONE
    except Exception as error:
        if isinstance(error, OSError):
            _drop_output()
        kind, sentence = explained(error)
        if AS_JSON in arguments:
            print_data({"error": kind, "reason": " ".join(sentence.split())})
        return told(sentence, STOPPED if kind == "stopped" else WRONG_INPUT)


def explained(error: Exception) -> tuple[str, str]:
    """What an expected failure is, in a word or the code of a cell, and the sentence for it; any other is raised."""
    if isinstance(error, click.Abort):
        return "stopped", "stopped; files already finished are kept, and no file was left half written"
    if isinstance(error, click.UsageError):
        path = error.ctx.command_path if error.ctx else "stillbook"
        return "usage", f'{error.format_message().rstrip(".")} (run "{path} --help" to see what it takes)'
    if isinstance(error, MemoryError):
        return "input", _NO_MEMORY
    if isinstance(error, ImportError):
        return "input", f"a part of this program could not be loaded ({error}): {_mending(error)}"
    if not is_expected(error):
        raise error
    return _code_of(error), reason(error)


def _mending(error: ImportError) -> str:
    """What to do where a part of the program is missing, or there and not loaded."""
    if isinstance(error, ModuleNotFoundError):
        return 'it is missing: install Stillbook anew, and look at what "stillbook doctor" says'
    short = any(word in str(error).casefold() for word in ("memory", "failed to map", "cannot allocate"))
    return _NO_MEMORY if short else f"install Stillbook anew; or {_NO_MEMORY}"


def _code_of(error: Exception) -> str:
    from stillbook.cells import FormulaError

    return str(error.code) if isinstance(error, FormulaError) else "input"


def told(message: str, code: int) -> int:
    """Print a failure as one sentence, and give the exit code."""
    complain(f"stillbook: {' '.join(message.split())}")
    return code


def is_expected(error: Exception) -> bool:
    """Whether an error is one that input, files or the system can cause, whose message is meant for the user."""
    from stillbook.cells import FormulaError
    from stillbook.hosts.host import HostError
    from stillbook.quantities import QuantityError
    from stillbook.workbook import WorkbookError

    known = FormulaError | HostError | QuantityError | WorkbookError | OSError | click.ClickException
    return isinstance(error, known) or _is_of_service(error)


def _is_of_service(error: Exception) -> bool:
    """Whether it is a sentence of the service; its libraries load slowly, so this is asked last."""
    from stillbook.service.server import ServiceError
    from stillbook.service.tokens import TokenError

    return isinstance(error, ServiceError | TokenError)


def reason(error: Exception) -> str:
    """The sentence for an expected error."""
    if isinstance(error, click.ClickException):
        return error.format_message()
    if not isinstance(error, OSError) or error.errno is None:
        return str(error)
    advice = _ADVICE.get(error.errno, os.strerror(error.errno))
    return f"{error.filename}: {advice}" if error.filename else f"cannot write the output: {advice}"


def _drop_output() -> None:
    """Send output that cannot be written nowhere: flushing it at exit would fail again."""
    try:
        sys.stdout.flush()
    except OSError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
