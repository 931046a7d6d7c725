"""What is typed for the price range: how far low and high lie from the likely cost, and the confidence to name."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from stillbook.templates import look
from stillbook.templates.page import FIRST, Book, Page
from stillbook.templates.parts import closed
from stillbook.templates.parts.unit_costs import TRADES
from stillbook.workbook.job.inputs import InputSpec

MATERIAL, LABOUR, OTHER = "material", "labour", "Other lines"

LINES: Final = (*((trade, what) for trade in TRADES for what in (MATERIAL, LABOUR)), (OTHER, ""))
"""Trade of each line of the range, and what of it; the last holds what is of no trade."""

_USUAL: Final = {MATERIAL: (0.05, 0.15), LABOUR: (0.1, 0.3), "": (0.05, 0.15)}
"""By how much low lies under the likely, and high over it: common practice, no source."""


def ask(book: Book, page: Page) -> None:
    """Write the part on the Inputs sheet."""
    with closed.closed(page, "Price range", "how far a likely cost may be off; common practice, no source: put your own in"):
        closed.write(page, _overall(book))
        page.head_row(("Cost of", "Low, under the likely by", "High, over", "", "", ""))
        first = page.at
        for number, (label, usual) in enumerate(zip(labels(), (_USUAL[what] for _, what in LINES), strict=True)):
            entries = _pair(book, _key(*LINES[number]), label, usual)
            page.put(page.at, FIRST, label, border=look.ROW)
            for offset, entry in enumerate(entries, start=1):
                page.input_cell(page.at, FIRST + offset, entry)
            closed.tell(page, page.at, *entries)
            page.sheet.row_dimensions[page.at].height = 17
            page.at += 1
        for offset, name in ((1, "range_shares_low"), (2, "range_shares_high")):
            page.name(name, first, FIRST + offset, page.at - 1)


def _overall(book: Book) -> list[InputSpec]:
    """What holds for all lines."""
    return [
        book.input("price_confidence", "Confidence to name", "share", 0.8, 0.5, 0.95).saying(
            "Share of such jobs that cost no more than the price at that confidence covers."
        ),
        book.input("trade_correlation", "Correlation within a trade", "share", 0.3, 0, 1, look.TWO).saying(
            "How far costs of one trade are off together: 0 not at all, 1 always. Common practice, no source."
        ),
        book.input("say_confidence", "Say it on the proposal", "", "no", choices=("yes", "no")).saying(
            "A sentence for the client: the price that is not exceeded with that confidence."
        ),
    ]


def _pair(book: Book, key: str, label: str, usual: tuple[float, float]) -> tuple[InputSpec, InputSpec]:
    """How far low and high of a line lie from its likely cost."""
    low, high = usual
    return (
        book.input(f"range_low_{key}", f"{label}: low is under the likely by", "share", low, 0, 0.9).saying("Hardly ever undercut; 0 where it is fixed."),
        book.input(f"range_high_{key}", f"{label}: high is over the likely by", "share", high, 0, 3).saying("Hardly ever exceeded; 0 where it is fixed."),
    )


def _key(trade: str, what: str) -> str:
    return f"{trade} {what}".strip().lower().replace(" ", "_")


def labels() -> Iterator[str]:
    for trade, what in LINES:
        yield f"{trade}, {what}" if what else trade
