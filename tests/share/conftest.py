"""The tests of sharing open the same few workbooks again and again, too: each sheet of one is read once."""

from templates.conftest import sheets_are_read_once

__all__ = ["sheets_are_read_once"]
