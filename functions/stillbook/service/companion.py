"""The calculation service for as long as the program that started it: ``python -m stillbook.service.companion``.

A spreadsheet program starts it where none runs, and keeps its standard input open. Once that closes, because the
program ended or was killed, the service stops.
"""

from __future__ import annotations

import os
import signal
import sys
import threading

from stillbook.service.server import ServiceError, serve


def main() -> None:
    """Run the service until standard input closes; exits with the reason if it cannot start."""
    threading.Thread(target=_stop_with_input, name="input", daemon=True).start()
    try:
        serve()
    except ServiceError:
        try:
            serve(port=0)
        except ServiceError as error:
            sys.exit(str(error))


def _stop_with_input() -> None:
    # Not through sys.stdin: Python cannot end while a thread waits in there.
    while os.read(sys.stdin.fileno(), 4096):
        pass
    signal.raise_signal(signal.SIGTERM)


if __name__ == "__main__":
    main()
