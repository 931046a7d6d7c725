"""Formula calls answered line by line, for the program that started it: ``python -m stillbook.answering``.

A line of standard input is one call as JSON, ``{"name": "DOORMASS", "arguments": [60, 1, 36, 80]}``; the line of
standard output is its answer as JSON, as the calculation service gives it. It ends with its input, which closes when
the program that started it ends, in whatever way. Nothing else can reach it: it has no address.
"""

from __future__ import annotations

import json
import signal
import sys
from typing import Final

from stillbook.cells import Code, ErrorValue
from stillbook.service import wire
from stillbook.service.calls import answer
from stillbook.service.limits import Limits

_LIMITS: Final = Limits()


def main() -> None:
    """Answer calls until standard input closes."""
    # Ctrl-C in the terminal that started the spreadsheet program is meant for that program.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    calls, answers = sys.stdin.buffer, sys.stdout.buffer
    sys.stdout = sys.stderr  # what anything prints must not stand among the answers
    for line in calls:
        answers.write(reply(line).encode() + b"\n")
        answers.flush()


def reply(line: bytes) -> str:
    """The answer to a line. It never raises: whatever goes wrong is an error value with its reason."""
    try:
        call = json.loads(line)
        name, arguments = call["name"], call["arguments"]
        if not isinstance(name, str) or not isinstance(arguments, list):
            raise TypeError
    except (ValueError, LookupError, TypeError, RecursionError):
        return wire.encode(ErrorValue(Code.VALUE, 'not a call: give {"name": text, "arguments": list} in one line'))
    return wire.encode(answer(name, arguments, _LIMITS))


if __name__ == "__main__":
    main()
