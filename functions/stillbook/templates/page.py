"""Page parts: title block, input rows, result rows, tables, notes, cautions, check rows and charts.

A template is content given to these parts. Every page has the same grid: a margin, then the columns the page asks
for; a part is written at the page's next free row.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from copy import copy
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any, Final

from openpyxl import Workbook
from openpyxl.styles import Font, PatternFill
from openpyxl.utils import get_column_letter, quote_sheetname
from openpyxl.utils.cell import coordinate_from_string
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.hyperlink import Hyperlink

from stillbook.quantities import TEMPERATURE_DIFFERENCE, Kind, System
from stillbook.templates import look
from stillbook.templates.calls import with_units_in_place
from stillbook.templates.heights import HEADING, ROW, height_for, lines_of
from stillbook.templates.paper import Paper
from stillbook.templates.validation import typing_rule
from stillbook.workbook.job.audience import DRAFT_MARK, Audience, name_for
from stillbook.workbook.job.draft import MARK
from stillbook.workbook.job.inputs import InputSpec
from stillbook.workbook.job.notes import keep_note
from stillbook.workbook.job.results import Best, ResultSpec

if TYPE_CHECKING:
    from openpyxl.cell import Cell
    from openpyxl.worksheet.worksheet import Worksheet

FIRST: Final = 2
"""The first column of content; column A is the margin."""

_GAP: Final = 9
"""Height of a blank row between two parts."""

_TITLE_LETTER: Final = 1.7
"""Width of a letter of the title, in letters of the columns."""

Value = str | float | None
Given = Value | tuple[Value, Value]
"""A value, or that of a US workbook and that of an SI one."""


@dataclass(frozen=True)
class ResultRow:
    """One result row: a formula, its unit and, where other cells or programs use it, its name."""

    label: str
    formula: str
    unit: str = ""
    name: str = ""
    number_format: str = look.ONE
    key: bool = False
    note: str = ""
    best: Best = ""

    def noting(self, note: str) -> ResultRow:
        """The same row with a note beside it."""
        return replace(self, note=note)


@dataclass
class Book:
    """A workbook under construction in one unit system."""

    system: System
    title: str
    workbook: Workbook = field(default_factory=Workbook)
    labels: dict[str, tuple[str, str]] = field(default_factory=dict)
    """What each named input and result is, in a few words, and its unit."""
    dressed: dict[tuple[int, ...], tuple[Any, tuple[Any, ...]]] = field(default_factory=dict)
    """How a bare cell is styled that was given these looks, by which objects they are; the looks are held, so that they stay those."""

    def __post_init__(self) -> None:
        self.workbook.remove(self.workbook.active)
        self.workbook.properties.title = self.title
        self.workbook.properties.creator = "Stillbook"

    def pick(self, us: Any, si: Any) -> Any:
        """The US or the SI one of two values."""
        return us if self.system == "US" else si

    @property
    def currency(self) -> str:
        """The currency of the invented example prices."""
        return "USD" if self.system == "US" else "EUR"

    def unit(self, kind: Kind) -> str:
        """The unit of a kind of quantity in this workbook."""
        return kind.unit(self.system)

    def units_in(self, small: Kind, large: Kind) -> str:
        """How many of the unit of one kind of size make one of another's, as a number in a formula: inches in a foot."""
        return f"{large.scales[self.system][0] / small.scales[self.system][0]:.10g}"

    def input(
        self,
        name: str,
        label: str,
        unit: Kind | str = "",
        default: Given = None,
        least: Given = None,
        most: Given = None,
        number_format: Given = "",
        **more: Any,
    ) -> InputSpec:
        """An input of this workbook; :meth:`InputSpec.saying` adds the sentence that says what to write.

        Args:
            name: The defined name of its cell, or of its column.
            label: What it is, in a few words.
            unit: The kind of quantity it takes, or its unit where that is a mere word.
            default: What a new workbook holds.
            least: Smallest number allowed.
            most: Largest number allowed.
            number_format: How it is shown; that of the unit when left out.
            more: What else :class:`InputSpec` takes.
        """
        default, least, most, number_format = (self.pick(*given) if isinstance(given, tuple) else given for given in (default, least, most, number_format))
        if unit is TEMPERATURE_DIFFERENCE:
            more["difference"] = True
        unit = unit if isinstance(unit, str) else self.unit(unit)
        shown = number_format or look.usual_format(unit, whole=more.get("whole", False))
        spec = {"least": least, "most": most, "default": default, "label": label, "number_format": shown, **more}
        return InputSpec(name, unit=unit, **spec)

    def name(self, name: str, page: Page, row: int, column: int, *, comment: str = "", last: str = "") -> None:
        """Name a cell, or the range from it to the cell ``last``.

        Raises:
            ValueError: If something else of the workbook has that name already.
        """
        if name.casefold() in {known.casefold() for known in self.workbook.defined_names}:
            raise ValueError(f"the name {name} is given twice, the second time on {page.sheet.title}")
        first = f"${get_column_letter(column)}${row}"
        area = f"{quote_sheetname(page.sheet.title)}!{first}" + (f":{last}" if last else "")
        keep_note(self.workbook, name, area, comment)

    def place(self, name: str) -> tuple[str, str]:
        """The sheet of a named cell, and the cell that a link to it leads to: of a row that is closed, the heading over it.

        Raises:
            KeyError: If there is no such name.
        """
        sheet, _, area = self.workbook.defined_names[name].attr_text.rpartition("!")
        page = self.workbook[sheet.strip("'").replace("''", "'")]
        column, row = coordinate_from_string(area.partition(":")[0].replace("$", ""))
        while row > 1 and page.row_dimensions[row].hidden:
            row -= 1
        return page.title, f"{column}{row}"

    def result_comment(self, name: str, label: str, unit: str, best: Best = "") -> str:
        """The note on a defined name that makes its cell a key result."""
        return ResultSpec(name=name, label=label, unit=unit, best=best).comment()

    def page(
        self,
        sheet: str,
        purpose: str,
        widths: Sequence[float],
        *,
        title: str = "",
        wide: bool = False,
        single: bool = False,
        printed: int | None = None,
        scale: int = 0,
    ) -> Page:
        """Add a page with its title block.

        Args:
            sheet: Name of the sheet.
            purpose: What it is for.
            widths: Of its columns, in letters.
            title: What stands over it, where that is not its name.
            wide: Whether it is printed on landscape paper.
            single: Whether it is printed on one sheet of paper.
            printed: How many of the columns are printed; all when left out.
            scale: Of the page in print, in percent, or less if its paper has not the width. Only so does it break where it is told: a page that is fitted
                to sheets of paper breaks where the program likes, and LibreOffice then leaves out the breaks.
        """
        return Page(self, self.workbook.create_sheet(sheet), title or sheet, purpose, widths, wide=wide, single=single, printed=printed, scale=scale)


class Page(Paper):
    """One sheet, written from the top down."""

    def __init__(
        self, book: Book, sheet: Worksheet, title: str, purpose: str, widths: Sequence[float], *, wide: bool, single: bool, printed: int | None, scale: int
    ) -> None:
        header = " · ".join(dict.fromkeys((book.title, title)))
        super().__init__(sheet, book.system, header, FIRST, widths, wide=wide, single=single, printed=printed, scale=scale)
        self.book = book
        sheet.sheet_view.showGridLines = False
        sheet.protection.sheet = True
        sheet.protection.formatColumns = False
        sheet.protection.formatRows = False
        self._title(title, purpose)

    def _title(self, title: str, purpose: str) -> None:
        self.put(self.at, FIRST, title, font=look.TITLE).alignment = look.UNWRAPPED
        self.sheet.row_dimensions[self.at].height = 26
        self.at += 1
        self.across(purpose, font=look.PURPOSE)
        self.rule(self.at - 1, look.UNDER_TITLE)
        self.skip()
        self.sheet.freeze_panes = f"A{self.at}"

    # --- single cells -------------------------------------------------------------------------------------------------

    def put(
        self,
        row: int,
        column: int,
        value: Any,
        *,
        font: Font = look.BODY,
        number_format: str | None = None,
        align: Any = None,
        border: Any = None,
        fill: Any = None,
    ) -> Cell:
        """Write one cell in the page's style."""
        if isinstance(value, str) and value.startswith("="):
            value = with_units_in_place(value)
        cell: Cell = self.sheet.cell(row, column, value)
        is_text = isinstance(value, str) and not value.startswith("=")
        if is_text and cell.data_type == "f":
            cell.data_type = "s"
        self._dress(cell, font, align or (look.LEFT if is_text else look.RIGHT), number_format, border, fill)
        return cell

    def _dress(self, cell: Cell, *looks: Any) -> None:
        """Give a cell its font, alignment, format of numbers, border and fill, of which None leaves what it has.

        The workbook lists every look once, and finds one among them slowly: a bare cell takes the look of the first that was dressed alike.
        """
        bare, alike = not cell.has_style, tuple(map(id, looks))
        if bare and alike in self.book.dressed:
            cell._style = copy(self.book.dressed[alike][0])
            return
        for attribute, given in zip(("font", "alignment", "number_format", "border", "fill"), looks, strict=True):
            if given is not None:
                setattr(cell, attribute, given)
        if bare:
            self.book.dressed[alike] = copy(cell._style), looks

    def across(self, text: str, *, font: Font = look.BODY, border: Any = None, align: Any = look.TOP_LEFT, room: float = 0) -> None:
        """Text over the full width of the page, in a row tall enough for it and ``room`` points more."""
        row = self.at
        self.put(row, FIRST, text, font=font, align=align, border=border)
        self.merge(row, FIRST, self.last_printed)
        self.sheet.row_dimensions[row].height = height_for(text, sum(self.printed) - 2, max(font.size, self.least_type())) + room
        self.at += 1

    # --- parts --------------------------------------------------------------------------------------------------------

    def skip(self, rows: int = 1) -> None:
        """Leave rows blank; one alone is a low one."""
        alone = self.sheet.row_dimensions[self.at]
        if rows == 1 and alone.height is None and all(cell.value is None for cell in self.sheet[self.at]):
            alone.height = _GAP
        self.at += rows

    def heading(self, text: str, note: str = "") -> None:
        """A heading with a rule under it, and at its right a short note."""
        self.put(self.at, FIRST, text, font=look.HEADING).alignment = look.UNWRAPPED
        if note:
            self.put(self.at, self.last_printed, note, font=look.QUIET).alignment = look.UNWRAPPED_RIGHT
        self.rule(self.at, look.UNDER_HEADING)
        self.sheet.row_dimensions[self.at].height = HEADING
        self.at += 1

    def note(self, text: str, formula: str = "") -> None:
        """A quiet sentence under the part above; where a ``formula`` gives it, ``text`` is the longest that it may be."""
        self.across(text, font=look.QUIET, align=look.UNDER, room=4)
        if formula:
            self.put(self.at - 1, FIRST, formula, font=look.QUIET, align=look.UNDER)

    def caution(self, text: str) -> None:
        """A caution, marked by its edge and by its first word."""
        self.across(text, border=look.CAUTION, align=look.MARKED, room=3)

    def cautions(self, heading: str, texts: Iterable[str]) -> None:
        """Cautions under a heading of their own."""
        self.heading(heading)
        for text in texts:
            self.caution(text)
        self.skip()

    def input(self, entry: InputSpec) -> None:
        """An input row: label, boxed value, unit, what is allowed, help."""
        row = self.at
        self.put(row, FIRST, entry.label)
        self.input_cell(row, FIRST + 1, entry)
        self.put(row, FIRST + 2, "" if entry.unit == "text" else entry.unit, font=look.QUIET, align=look.UNIT)
        self.put(row, FIRST + 3, _allowed(entry), font=look.QUIET)
        self.put(row, FIRST + 4, entry.help, font=look.QUIET)
        self.sheet.row_dimensions[row].height = max(
            height_for(entry.help, self.widths[4], 9), height_for(entry.label, self.widths[0], 10.5), height_for(longest_typed(entry), self.widths[1] - 2, 10.5)
        )
        self.at += 1

    def input_cell(self, row: int, column: int, entry: InputSpec) -> None:
        """The boxed, unlocked, named cell of an input, with its limits enforced where it is typed."""
        text = isinstance(entry.default, str) or entry.unit == "text" or bool(entry.choices and entry.default is None)
        align = look.BOXED if text else look.BOXED_RIGHT
        cell = self.box(row, column, entry.default, number_format=entry.number_format, align=align)
        self.book.labels[entry.name] = (entry.label, "" if entry.unit == "text" else entry.unit)
        self.book.name(entry.name, self, row, column, comment=entry.comment())
        rule = typing_rule(entry, f"{_limits(entry)} {entry.unit}")
        if rule.type is not None:
            rule.add(cell.coordinate)
            self.sheet.add_data_validation(rule)

    def result(self, entry: ResultRow) -> None:
        """A result row: label, formula, unit and a note."""
        row = self.at
        self.put(row, FIRST, entry.label, font=look.STRONG if entry.key else look.BODY, border=look.ROW)
        cell = self.put(row, FIRST + 1, entry.formula, number_format=entry.number_format, border=look.ROW)
        cell.font = look.STRONG if entry.key else look.BODY
        self.put(row, FIRST + 2, entry.unit, font=look.QUIET, align=look.UNIT, border=look.ROW)
        self.put(row, FIRST + 3, entry.note or None, font=look.QUIET, align=look.LEFT, border=look.ROW)
        width = sum(self.widths[3:])
        if len(self.widths) > 4:
            self.rule(row, first=FIRST + 4)
            self.merge(row, FIRST + 3)
        note = height_for(entry.note, width, max(look.QUIET.size, self.least_type()))
        self.sheet.row_dimensions[row].height = max(note, height_for(entry.label, self.widths[0], look.BODY.size))
        if entry.name:
            self.name_result(entry, row, FIRST + 1)
        self.at += 1

    def name_result(self, entry: ResultRow, row: int, column: int) -> None:
        """Name the cell of a result; a key one also for programs."""
        comment = self.book.result_comment(entry.name, entry.label, entry.unit, entry.best) if entry.key else ""
        self.book.labels[entry.name] = (entry.label, "" if entry.unit.startswith("=") else entry.unit)
        self.book.name(entry.name, self, row, column, comment=comment)

    def results(self, *entries: ResultRow) -> None:
        """Result rows, one under the other."""
        for entry in entries:
            self.result(entry)

    def part(self, heading: str, *entries: ResultRow, note: str = "") -> None:
        """Result rows under a heading, with the short note at its right, and a blank row after them."""
        self.heading(heading, note)
        self.results(*entries)
        self.skip()

    def head_row(self, titles: Sequence[str], *, words: Sequence[int] = (0,)) -> None:
        """The heading row of a table; ``words`` are the places of columns that hold text.

        Raises:
            ValueError: If there are more headings than columns.
        """
        if len(titles) > len(self.widths):
            raise ValueError(f"{self.sheet.title}, row {self.at}: {len(titles)} headings for {len(self.widths)} columns")
        for offset, title in enumerate(titles):
            self.put(
                self.at,
                FIRST + offset,
                title,
                font=look.STRONG,
                align=look.LEFT if offset == 0 else look.UNIT if offset in words else look.HEAD_RIGHT,
                border=look.HEAD_ROW,
                fill=look.HEAD,
            )
        lines = max((lines_of(title, self.widths[place] - 0.5) for place, title in enumerate(titles) if title), default=1)
        self.sheet.row_dimensions[self.at].height = 4 + 13.5 * lines
        self.at += 1

    def row(self, values: Sequence[Any], formats: Sequence[str], *, strong: bool = False, border: Any = look.ROW, names: Sequence[str] = ()) -> int:
        """A table row with the format of each value, ``text`` for words; gives its row number.

        Its rule runs on over columns right of the values.

        Raises:
            ValueError: If there are more values than columns, or other than one format, and one name if any, for each.
        """
        if not len(values) == len(formats) <= len(self.widths) or (names and len(names) != len(values)):
            counts = f"{len(values)} values, {len(formats)} formats and {len(names)} names"
            raise ValueError(f"{self.sheet.title}, row {self.at}: {counts} in {len(self.widths)} columns")
        row = self.at
        tallest = ROW
        for offset in range(len(self.widths)):
            value, wanted = (values[offset], formats[offset]) if offset < len(values) else (None, "")
            words = wanted == "text" or (isinstance(value, str) and not value.startswith("="))
            self.put(
                row,
                FIRST + offset,
                value,
                font=look.STRONG if strong else look.BODY,
                number_format=wanted if wanted and wanted != "text" else None,
                align=(look.LEFT if offset == 0 else look.UNIT) if words else look.RIGHT,
                border=border,
            )
            if isinstance(value, str) and not value.startswith("="):
                tallest = max(tallest, height_for(value, self.widths[offset], 10.5))
            if offset < len(names) and names[offset]:
                self.book.name(names[offset], self, row, FIRST + offset)
        self.sheet.row_dimensions[row].height = tallest
        self.at += 1
        return row

    def link(self, row: int, column: int, text: str, sheet: str, cell: str = "A1", *, font: Font = look.BODY) -> None:
        """Words that lead to a cell of the workbook."""
        at = self.put(row, column, text, align=look.UNIT)
        at.hyperlink = Hyperlink(ref=at.coordinate, location=f"{quote_sheetname(sheet)}!{cell}")
        at.font = font

    def close(self, first: int, last: int) -> None:
        """Put rows in a closed group under the row above them, which opens it.

        Programs open no group of a locked sheet: this one is not locked.
        """
        self.sheet.protection.sheet = False
        self.sheet.sheet_properties.outlinePr.summaryBelow = False
        self.sheet.sheet_format.outlineLevelRow = 1
        for row in range(first, last + 1):
            rows = self.sheet.row_dimensions[row]
            rows.outlineLevel, rows.hidden = 1, True
        self.sheet.row_dimensions[first - 1].collapsed = True

    def box(
        self, row: int, column: int, value: Any = None, *, number_format: str = look.GENERAL, font: Font = look.BODY, align: Any = look.BOXED_RIGHT
    ) -> Cell:
        """A boxed, unlocked cell of a table, without limits of its own."""
        cell = self.put(row, column, value, font=font, number_format=number_format, align=align, border=look.INPUT_BOX, fill=look.INPUT)
        cell.protection = look.UNLOCKED
        return cell

    def name(self, name: str, row: int, column: int, last_row: int = 0, last_column: int = 0) -> None:
        """Name a cell, or the block from it to the last row and the last column that are given."""
        last = f"${get_column_letter(last_column or column)}${last_row or row}" if last_row or last_column else ""
        self.book.name(name, self, row, column, last=last)

    def rule(self, row: int, border: Any = look.ROW, *, first: int = FIRST) -> None:
        """Draw a border under a row, from a column to the last."""
        for column in range(first, self.last_column + 1):
            self.sheet.cell(row, column).border = border

    def ink(self, row: int, font: Font, *, first: int = FIRST) -> None:
        """Set a row in a font, from a column to the last."""
        for column in range(first, self.last_column + 1):
            self.sheet.cell(row, column).font = font

    def merge(self, row: int, first: int, last: int = 0) -> None:
        """Make one cell of those in a row from a column to another, or to the last."""
        self.sheet.merge_cells(start_row=row, start_column=first, end_row=row, end_column=last or self.last_column)

    def clear_right_of(self, column: int, first: int, last: int) -> None:
        """Leave the columns after one bare of rules and fills in these rows, as room for a chart."""
        for row in range(first, last + 1):
            for at in range(column + 1, self.last_column + 1):
                cell = self.sheet.cell(row, at)
                cell.border, cell.fill = look.NONE, PatternFill()

    def show_to(self, audience: Audience) -> None:
        """Let a shared copy for such a reader show what this finished page prints."""
        self._name_printed(name_for(audience))
        self._mark_drafts()
        self.sheet.oddFooter.right.text = None

    def _mark_drafts(self) -> None:
        """Say across the head, and on each page of paper, that the page is a draft while a check denies."""
        title = self.sheet.cell(1, FIRST).value
        taken = 1 + next((n for n in range(len(self.widths)) if sum(self.widths[: n + 1]) > len(title) * _TITLE_LETTER), 0)
        first = min(FIRST + taken, self.last_column)
        cell = self.put(1, first, MARK, font=look.DRAFT, align=look.UNWRAPPED_RIGHT)
        if first < self.last_column:
            self.merge(1, first)
        mark = f"{quote_sheetname(self.sheet.title)}!${cell.column_letter}$1"
        self.sheet.defined_names.add(DefinedName(DRAFT_MARK, attr_text=mark))
        head = int(self.sheet.print_title_rows.partition(":")[0].strip("$"))
        if head > 1:
            self.put(head - 1, self.last_column, MARK, font=look.DRAFT, align=look.UNWRAPPED_RIGHT)
            self.sheet.print_title_rows = f"{head - 1}:{head}"


def _limits(entry: InputSpec) -> str:
    """The limits in words; empty without both."""
    return "" if entry.least is None or entry.most is None else f"{entry.least:g} to {entry.most:g}"


def _allowed(entry: InputSpec) -> str:
    """What may be written, in words, for the page."""
    if limits := _limits(entry):
        return limits
    if entry.choices:
        choices = " · ".join(entry.choices)
        return choices if len(choices) < 26 else "choose from the list"
    if entry.options:
        return "choose, or type a mass" if entry.material else "choose from the list"
    return "may be left blank" if entry.optional else ""


def longest_typed(entry: InputSpec) -> str | None:
    """What an input's box must have room for: its words, or two lines of words that are still to be typed."""
    if entry.default is None and entry.unit == "text" and not entry.choices:
        return "\n"
    return entry.default if isinstance(entry.default, str) else None
