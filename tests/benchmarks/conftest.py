"""Benchmarks run only when asked for by their path: ``pytest tests/benchmarks -s``."""

from pathlib import Path

import pytest


def pytest_ignore_collect(config: pytest.Config) -> bool | None:
    here = Path(__file__).parent
    asked = ((config.invocation_params.dir / argument.split("::")[0]).resolve() for argument in config.args)
    return None if any(path.is_relative_to(here) for path in asked) else True
