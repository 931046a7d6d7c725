"""A schedule: many rows alike, some columns typed and the others calculated, by one formula in every row.

A row counts where its first typed column holds something; of a blank row every calculated cell stays blank. A row with
an error is one for itself: no cell of another row looks at it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, Final

from openpyxl.styles import Font
from openpyxl.utils import get_column_letter, quote_sheetname

from stillbook.quantities import Kind
from stillbook.templates import look, marks
from stillbook.templates.calls import with_units_in_place
from stillbook.templates.heights import height_for
from stillbook.templates.page import FIRST, Book, Given, Page
from stillbook.templates.validation import typing_rule
from stillbook.workbook.job.inputs import InputSpec

ROW_HEIGHT: Final = 14.5


@dataclass(frozen=True)
class Typed:
    """A column of boxed cells, each with its limits enforced where it is typed, and a note shown while it is."""

    spec: InputSpec
    width: float
    words: bool = False

    @property
    def name(self) -> str:
        """The name of the whole column."""
        return self.spec.name

    @property
    def headings(self) -> tuple[str, ...]:
        """Its heading."""
        return (self.spec.label,)

    def saying(self, help_text: str) -> Typed:
        """The same column with a sentence that says what to write."""
        return replace(self, spec=self.spec.saying(help_text))


def typed(
    book: Book,
    title: str,
    name: str,
    width: float,
    unit: Kind | str = "",
    least: Given = None,
    most: Given = None,
    number_format: Given = "",
    *,
    words: bool = False,
    **more: Any,
) -> Typed:
    """A column as :meth:`Book.input` takes it; a kind of quantity adds its unit to the title, ``words`` make it text."""
    if words and not (more.get("options") or more.get("choices")):
        unit, number_format = "text", number_format or look.GENERAL
    heading = title if isinstance(unit, str) else f"{title}, {book.unit(unit)}"
    spec = book.input(name, heading, unit, None, least, most, number_format, optional=True, **more)
    return Typed(spec, width, words)


@dataclass(frozen=True)
class Worked:
    """A calculated column.

    In its formula ``{name}`` stands for the row's cell of a column that stands before it or on an earlier sheet, a bare
    name for a whole column, ``{k}`` for the number of the row, and ``{n}`` for that of the cell where a row has several.
    """

    title: str
    formula: str
    width: float
    name: str = ""
    number_format: str = look.ONE
    words: bool = False
    states: bool = False
    """Whether it says Passes, Fails or Waits."""
    strong: bool = False
    titles: tuple[str, ...] = ()
    """Headings of the several cells, as by band, that a row has of it."""

    @property
    def headings(self) -> tuple[str, ...]:
        """The heading of each of its cells."""
        return self.titles or (self.title,)


@dataclass(frozen=True)
class Place:
    """Where a column of a schedule lies; ``wide`` and ``high`` where each row has a block of cells there."""

    page: Page
    column: int
    first: int
    wide: int = 1
    high: int = 1

    def cells(self, number: int) -> str:
        """The address, with its sheet, of the cells for one row of the schedule, the first being 0."""
        row = self.first + number * self.high
        address = f"{quote_sheetname(self.page.sheet.title)}!${get_column_letter(self.column)}{row}"
        if self.wide == self.high == 1:
            return address
        return f"{address}:${get_column_letter(self.column + self.wide - 1)}{row + self.high - 1}"


@dataclass
class Schedule:
    """Columns over the same rows, on one page or several."""

    book: Book
    count: int
    places: dict[str, Place] = field(default_factory=dict)
    """Where each named column lies."""
    settable: bool = False
    """Whether programs may set the typed cells, each by the name of its column and the number of its row."""
    grows: bool = False
    """Whether rows are as tall as their text, which every program finds for cells that are not merged; else all are alike."""
    key: str = ""
    """The name of the column that decides whether a row counts."""
    _rows: dict[int, Mapping[str, str]] = field(default_factory=dict)

    def page(
        self,
        sheet: str,
        purpose: str,
        columns: Sequence[Typed | Worked],
        rows: Sequence[Sequence[Any]] = (),
        *,
        note: str = "",
        caution: str = "",
        single: bool = True,
        wide: bool = True,
    ) -> Page:
        """Add a page of such columns alone, on ``wide`` paper, and what is said under them; if not ``single``, it repeats its head."""
        page = self.book.page(sheet, purpose, widths(columns), wide=wide, single=single)
        self.write(page, columns, rows)
        if note:
            page.note(note)
        if caution:
            page.caution(caution)
        page.finish(None if note or caution else page.at - 1, heading=not single)
        return page

    def write(self, page: Page, columns: Sequence[Typed | Worked], rows: Sequence[Sequence[Any]] = ()) -> int:
        """Write columns side by side under a heading row; gives the first row. ``rows`` fill the typed ones.

        Raises:
            ValueError: If a row has more or fewer values than there are typed columns, or there are too many rows.
        """
        asked = sum(isinstance(column, Typed) for column in columns)
        if len(rows) > self.count or any(len(row) != asked for row in rows):
            raise ValueError(f"{page.sheet.title}: rows must be at most {self.count}, each of {asked} values")
        titles: list[str] = []
        words = [0]
        for column in columns:
            words += [len(titles)] if column.words else []
            titles += column.headings
        page.head_row(titles, words=words)
        first, last = page.at, page.at + self.count - 1
        at = FIRST
        typed = 0
        for column in columns:
            if column.name:
                self._name(column, Place(page, at, first, wide=len(column.headings)))
            if isinstance(column, Typed):
                self._write_typed(page, column, first, at, [row[typed] for row in rows])
                typed += 1
            else:
                self._write_worked(page, column, first, at)
            if isinstance(column, Worked) and column.states:
                letter = get_column_letter(at)
                marks.states(page.sheet, f"${letter}${first}:${letter}${last}")
            if isinstance(column, Worked):
                area = f"{get_column_letter(at)}{first}:{get_column_letter(at + len(column.headings) - 1)}{last}"
                marks.show_where_filled(page.sheet, area, get_column_letter(FIRST), border=look.ROW)
            at += len(column.headings)
        for row in range(first, last + 1):
            page.sheet.row_dimensions[row].height = None if self.grows else ROW_HEIGHT
        page.at = last + 1
        return first

    def typed_column(self, page: Page, column: Typed, place: Place, last_column: int) -> None:
        """Write a column alone, blank, each of its cells made one with those beside it up to the last column."""
        self._name(column, place)
        self._write_typed(page, column, place.first, place.column, ())
        for row in range(place.first, place.first + self.count):
            for at in range(place.column, last_column + 1):
                page.sheet.cell(row, at).border = look.INPUT_BOX
            page.merge(row, place.column, last_column)
            page.sheet.row_dimensions[row].height = ROW_HEIGHT

    def cells(self, number: int) -> Mapping[str, str]:
        """The address of each named column's cells in a row of the schedule, the first being 0."""
        if len(self._rows.get(number, ())) != len(self.places):
            self._rows[number] = {name: place.cells(number) for name, place in self.places.items()}
        return self._rows[number]

    def _name(self, column: Typed | Worked, place: Place) -> None:
        self.key = self.key or column.name
        self.places[column.name] = place
        self._rows.clear()
        last = f"${get_column_letter(place.column + place.wide - 1)}${place.first + self.count - 1}"
        comment = column.spec.comment(column=True) if self.settable and isinstance(column, Typed) else ""
        self.book.name(column.name, place.page, place.first, place.column, last=last, comment=comment)

    def _write_typed(self, page: Page, column: Typed, first: int, at: int, values: Sequence[Any]) -> None:
        for number in range(self.count):
            value = values[number] if number < len(values) else None
            align = look.BOXED if column.words else look.BOXED_RIGHT
            page.box(first + number, at, value, number_format=column.spec.number_format, font=self._face(page), align=align)
        letter = get_column_letter(at)
        rule = typing_rule(column.spec, _limits(column.spec))
        rule.add(f"{letter}{first}:{letter}{first + self.count - 1}")
        page.sheet.add_data_validation(rule)

    def _face(self, page: Page) -> Font:
        """The face of what is typed: large enough in print where rows have the room."""
        least = page.least_type()
        return look.BODY if not self.grows or least <= look.BODY.size else Font(name=look.FACE, size=least, color=look.INK)

    def _write_worked(self, page: Page, column: Worked, first: int, at: int) -> None:
        """A formula in every row."""
        for number in range(self.count):
            cells = self.cells(number)
            for offset in range(len(column.headings)):
                _dress(page, first + number, at + offset, column)
                formula = column.formula.format_map({**cells, "k": number + 1, "n": offset + 1})
                page.sheet.cell(first + number, at + offset).value = with_units_in_place(f'=IF({cells[self.key]}="","",{formula})')


def _dress(page: Page, row: int, at: int, column: Worked) -> None:
    page.put(
        row,
        at,
        None,
        font=look.STRONG if column.strong else look.BODY,
        number_format=None if column.words else column.number_format,
        align=(look.LEFT if at == FIRST else look.UNIT) if column.words else look.RIGHT,
    )


def widths(columns: Sequence[Typed | Worked]) -> list[float]:
    """The widths of a page that holds these columns."""
    return [column.width for column in columns for _ in column.headings]


def notes(page: Page, columns: Sequence[Typed | Worked]) -> None:
    """What to write in each typed column, a row for each."""
    for column in columns:
        if isinstance(column, Typed):
            row = page.at
            title = column.spec.label
            page.put(row, FIRST, title, font=look.SMALL)
            text = f"{column.spec.help}{_allowed(column.spec)}"
            page.put(row, FIRST + 1, text, font=look.QUIET)
            page.merge(row, FIRST + 1)
            room = height_for(text, sum(page.widths[1:]), 9), height_for(title, page.widths[0], 9)
            page.sheet.row_dimensions[row].height = max(room) + 1
            page.at += 1


def _limits(spec: InputSpec) -> str:
    """The limits in words; empty without both."""
    return "" if spec.least is None or spec.most is None else f"{spec.least:,.10g} to {spec.most:,.10g}"


def _allowed(spec: InputSpec) -> str:
    """What may be written, as the end of its help."""
    if spec.choices:
        return f" One of: {', '.join(spec.choices)}."
    limits = _limits(spec)
    return f" {limits}." if limits else ""
