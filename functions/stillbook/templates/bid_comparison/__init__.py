"""The bid comparison: contractors' bids beside each other and our estimate, alike in scope. Plain formulas alone.

The ``bids`` command fills it from returned scopes; by hand it takes bids from paper.
"""

from __future__ import annotations

from stillbook.quantities import System
from stillbook.templates.bid_comparison import bidders, bids, checks, findings, inputs, lines, own_lines, start, steps, summary, workings
from stillbook.templates.page import Book
from stillbook.templates.parts import front
from stillbook.templates.parts.order import arrange
from stillbook.templates.parts.schedule import Schedule


def build(system: System) -> Book:
    """Build the template in one unit system; its values are not calculated yet."""
    book = Book(system, "Bid comparison")
    start.write(book)
    inputs.write(book)
    bidders.write(book, Schedule(book, bidders.ROWS))
    asked = Schedule(book, lines.ROWS, grows=True)
    page = lines.begin(book, asked)
    written = bids.write(book, asked)
    own_lines.write(book, Schedule(book, own_lines.ROWS, grows=True))
    own_lines.write_notes(book, Schedule(book, own_lines.NOTES, grows=True))
    workings.write(steps.write(book), asked)
    bids.mark(written, asked)
    lines.write(book, page, asked)
    findings.write(book)
    summary.write(book)
    checks.write(book)
    return arrange(book, front.order(start.SHEETS))
