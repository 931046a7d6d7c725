"""Structured logs: one JSON object a line on standard error, without anything a cell holds."""

from __future__ import annotations

import json
import logging
import os
import traceback
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, Final

_LOGGER: Final = logging.getLogger("stillbook.service")


class JsonLines(logging.Formatter):
    """A log record as a line of JSON.

    Of an exception it tells the type and the places in the code. It leaves out the message: that often quotes the value
    which was wrong.
    """

    def format(self, record: logging.LogRecord) -> str:
        line: dict[str, Any] = {
            "time": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "event": record.getMessage().strip(),
            "process": os.getpid(),
            **getattr(record, "facts", {}),
        }
        if record.exc_info and record.exc_info[1] is not None:
            line["exception"] = type(record.exc_info[1]).__name__
            line["at"] = [
                f"{Path(frame.filename).name}:{frame.lineno} {frame.name}"
                for frame in traceback.extract_tb(record.exc_info[2])[-12:]
            ]
        return json.dumps(line)


def event(name: str, *, level: int = logging.INFO, **facts: Any) -> None:
    """Log an event with its facts; never anything a cell holds."""
    _LOGGER.log(level, name, extra={"facts": facts})


def failure(name: str, error: BaseException) -> None:
    """Log an error that the program should not have met."""
    _LOGGER.error(name, exc_info=error)


def settings(*, requests: bool) -> dict[str, Any]:
    """Settings for :mod:`logging.config`: warnings and failures, and with ``requests`` every request too."""
    loggers = {"uvicorn": "WARNING", "stillbook.service": "INFO" if requests else "WARNING"}
    return {
        "version": 1,
        "disable_existing_loggers": False,
        "formatters": {"json": {"()": JsonLines}},
        "handlers": {"stderr": {"class": "logging.StreamHandler", "formatter": "json"}},
        "loggers": {
            name: {"handlers": ["stderr"], "level": level, "propagate": False} for name, level in loggers.items()
        },
    }
