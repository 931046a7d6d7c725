"""Many workbooks, one after another: one bad file does not stop the rest."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TypeVar

from stillbook.cli.failures import is_expected, reason
from stillbook.cli.screen import screen

T = TypeVar("T")


def for_each(files: Sequence[Path], doing: str, work: Callable[[Path], T]) -> list[tuple[Path, T | str]]:
    """What ``work`` gives for each file or, where it fails as input or the system can make it fail, why in words."""
    done: list[tuple[Path, T | str]] = []
    with _progress(files, doing) as paths:
        for path in paths:
            try:
                done.append((path, work(path)))
            except Exception as error:
                if not is_expected(error):
                    raise
                done.append((path, reason(error)))
    return done


@contextmanager
def _progress(files: Sequence[Path], doing: str) -> Iterator[Iterable[Path]]:
    """The files one by one, counted on the terminal where there are many and someone is watching."""
    if len(files) == 1 or not sys.stderr.isatty():
        yield files
        return
    from rich.progress import Progress

    with Progress(console=screen(stderr=True), transient=True) as progress:
        yield progress.track(files, description=doing)
