"""Formula calls answered line by line, for the program that started it: ``python -m stillbook.answering``.

A line of standard input is one call as JSON, ``{"name": "DOORMASS", "arguments": [60, 1, 36, 80]}``; the line of
standard output is its answer as JSON, as the calculation service gives it. It ends with its input, which closes when
the program that started it ends, in whatever way. Nothing else can reach it: it has no address.

Where the user chose a service on another computer (``stillbook connect libreoffice --service LINK``), that one answers.
"""

from __future__ import annotations

import http.client
import json
import signal
import sys
from typing import Final, NoReturn

from stillbook.cells import Code, ErrorValue
from stillbook.hosts import discovery
from stillbook.service import wire
from stillbook.service.calls import answer
from stillbook.service.limits import Limits

_LIMITS: Final = Limits()
_SECONDS: Final = 9.0
"""How long a service on another computer may take: a little less than a spreadsheet program waits."""


def main() -> None:
    """Answer calls until standard input closes."""
    # Ctrl-C in the terminal that started the spreadsheet program is meant for that program.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    calls, answers = sys.stdin.buffer, sys.stdout.buffer
    sys.stdout = sys.stderr  # what anything prints must not stand among the answers
    chosen = discovery.chosen()
    asked = Elsewhere(chosen).reply if chosen is not None else reply
    for line in calls:
        answers.write(asked(line).encode() + b"\n")
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


class Elsewhere:
    """Asks a service on another computer.

    Args:
        service: Its address and the user's token for it.
    """

    def __init__(self, service: discovery.Service) -> None:
        self._service = service
        self._connection = discovery.connection(service, _SECONDS)

    def reply(self, line: bytes) -> str:
        """The answer to a line.

        Raises:
            SystemExit: If there is none: the program that started this one is told why by its last words.
        """
        body = b'{"calls":[%b]}' % line.strip()
        for again in (True, False):
            try:
                self._connection.request("POST", "/calls", body, self._headers)
                response = self._connection.getresponse()
                text = response.read()
                break
            except (OSError, http.client.HTTPException) as error:
                self._connection.close()  # the service ends connections that rest; the next request opens another
                if not again:
                    self._end(f"does not answer ({type(error).__name__}): is it running, and the network up?")
        if response.status == 401:
            self._end('refuses the token: ask for a new one, then "stillbook connect libreoffice --service LINK"')
        if response.status != 200:
            self._end(f"refuses the call (status {response.status})")
        return wire.encode(json.loads(text)["answers"][0])

    @property
    def _headers(self) -> dict[str, str]:
        return {"Authorization": f"Bearer {self._service.token}", "Content-Type": "application/json"}

    def _end(self, why: str) -> NoReturn:
        sys.exit(f"the service at {self._service.address} {why}")


if __name__ == "__main__":
    main()
