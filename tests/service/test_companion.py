"""The service as a companion of the program that started it."""

import os
import signal
import subprocess
import sys

import pytest

from service.asking import wait_until
from stillbook.hosts import discovery


@pytest.fixture
def companion(home):
    """A companion that can be found."""
    with subprocess.Popen(
        [sys.executable, "-m", "stillbook.service.companion"],
        stdin=subprocess.PIPE,
        stderr=subprocess.PIPE,
    ) as process:

        def is_there():
            assert process.poll() is None, process.stderr.read()
            found = discovery.find()
            return found is not None and found.pid == process.pid

        try:
            wait_until(is_there)
            yield process
        finally:
            process.kill()


def test_it_ends_when_its_input_closes(companion):
    companion.stdin.close()
    assert companion.wait(timeout=30) == 0
    assert companion.stderr.read() == b""
    assert discovery.find() is None


@pytest.mark.skipif(os.name != "posix", reason="stops a process as POSIX systems do")
@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT])
def test_it_ends_in_order_when_it_is_told_to(companion, number):
    """Its input stays open meanwhile, and is being read."""
    companion.send_signal(number)
    assert companion.wait(timeout=30) == 0
    assert companion.stderr.read() == b""
    assert discovery.find() is None
