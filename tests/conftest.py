"""The suite as a whole: its tests run beside each other, and it says where chance began."""

from __future__ import annotations

import gc
import os
import sys
from pathlib import Path, PurePosixPath
from typing import Any

import pytest

from chance import SEED

# Three processes and the programs that they start load the same modules some hundred times: compiled once, also where
# the surroundings ask for nothing to be kept.
sys.dont_write_bytecode = False
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)

# Threads of numpy's for products of matrices spin at the start of each of these processes, and nothing here uses them.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

TOGETHER = {"browser"}
"""Folders whose tests share a browser and a service, and so run one after another; elsewhere each file is for itself."""


def unit(node: str) -> str:
    """What a test runs together with in one process: its file, or a folder."""
    file = PurePosixPath(node.partition("::")[0])
    return next((str(folder) for folder in file.parents if folder.name in TOGETHER), str(file))


def is_whole(config: pytest.Config) -> bool:
    """Whether the whole suite is asked for, so that starting more processes is worth it."""
    chosen = ("keyword", "markexpr", "lf", "stepwise", "collectonly", "usepdb", "trace")
    if any(config.getoption(name, default=None) for name in chosen) or config.getoption("capture") == "no":
        return False
    asked = {(config.invocation_params.dir / argument).resolve() for argument in config.args}
    return asked == {Path(__file__).resolve().parent}


@pytest.hookimpl(tryfirst=True)
def pytest_cmdline_main(config: pytest.Config) -> None:
    """Use every core for the whole suite, where the command line says nothing else (``-n 0`` for one process).

    One process more than there are cores: tests often wait for a program that they drive, or for a time to pass.
    """
    if not config.pluginmanager.hasplugin("xdist") or hasattr(config, "workerinput"):
        return
    if config.option.dist == "no":
        if config.option.numprocesses is None and is_whole(config):
            config.option.numprocesses = 1 + (os.cpu_count() or 1)
        if config.option.numprocesses:
            config.option.dist = "loadfile"
            config.option.loadscopereorder = False  # long files are among the first, short ones among the last


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> Any:
    """Keep the tests of a file in one process, as they share what its fixtures make, and those of some folders too."""
    if config.option.dist != "loadfile":
        return None
    from xdist.scheduler import LoadFileScheduling

    class ByUnit(LoadFileScheduling):
        def _split_scope(self, nodeid: str) -> str:
            return unit(nodeid)

    return ByUnit(config, log)


@pytest.hookimpl(tryfirst=True)
def pytest_configure(config: pytest.Config) -> None:
    if config.getoption("hypothesis_seed", default=None) is None:
        config.option.hypothesis_seed = SEED


def pytest_collection_finish() -> None:
    """Look through what is held more rarely: each process holds all tests and many workbooks, which none of them lets go."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(50_000, 20, 20)


def pytest_report_header() -> str:
    return said()


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    terminalreporter.write_line(said())


def said() -> str:
    return f"Chance began at STILLBOOK_SEED={SEED}"


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder of its own for discovery file and token, in this process too."""
    folder = tmp_path / "home"
    monkeypatch.setenv("STILLBOOK_HOME", str(folder))
    return folder
