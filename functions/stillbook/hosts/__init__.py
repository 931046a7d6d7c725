"""Spreadsheet programs that use the formulas; each host is generated from the catalogue."""

from __future__ import annotations


class HostError(Exception):
    """A spreadsheet program cannot be connected or disconnected; the message says what to do."""
