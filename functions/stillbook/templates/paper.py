"""How a sheet is printed: its paper, its size of type, where it breaks, and the sets of prints it stands in."""

from __future__ import annotations

import math
from collections.abc import Sequence
from copy import copy
from typing import TYPE_CHECKING, Final

from openpyxl.utils import get_column_letter, quote_sheetname
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.pagebreak import Break

from stillbook.quantities import System
from stillbook.workbook.job.audience import FOR_SITE, NEVER_PRINTED, NOTHING

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet

_SIDE: Final = 0.4
"""Margin at the left and at the right of a sheet of paper, in inches."""

_LEAST_TYPE: Final = 7.1
"""Smallest type in print, in points."""

_LETTER: Final = 5.56
"""Width of a letter of the columns in points, as LibreOffice takes it; that of Excel is 5.25."""


class Paper:
    """A sheet with columns of content, and how they are printed.

    Args:
        sheet: The sheet.
        system: The unit system of its workbook, which goes with the size of its paper.
        header: What stands over each sheet of paper.
        first: The first column of content; those before it are the margin.
        widths: Of the columns of content, in letters.
        wide: Whether the paper lies on its side.
        single: Whether it is printed on one sheet of paper.
        printed: How many of the columns are printed; None for all.
        scale: Of the page in print, in percent; 0 fits it to the width of its paper.
    """

    def __init__(
        self, sheet: Worksheet, system: System, header: str, first: int, widths: Sequence[float], *, wide: bool, single: bool, printed: int | None, scale: int
    ) -> None:
        self.sheet = sheet
        self.system = system
        self.first = first
        self.widths = list(widths)
        self.printed = self.widths[:printed]
        """Widths of the columns that are printed."""
        self.scale = scale
        self.at = 1
        """The next free row."""
        sheet.column_dimensions["A"].width = 2
        for offset, width in enumerate(widths):
            sheet.column_dimensions[get_column_letter(first + offset)].width = width
        self._set_print(header, wide=wide, single=single)

    @property
    def last_column(self) -> int:
        """The last column of content."""
        return self.first + len(self.widths) - 1

    @property
    def last_printed(self) -> int:
        """The last column that is printed."""
        return self.first + len(self.printed) - 1

    def _set_print(self, header: str, *, wide: bool, single: bool) -> None:
        sheet = self.sheet
        sheet.page_setup.orientation = "landscape" if wide else "portrait"
        sheet.page_setup.paperSize = 1 if self.system == "US" else 9
        sheet.page_setup.fitToWidth = 1
        sheet.page_setup.fitToHeight = 1 if single else 0
        sheet.sheet_properties.pageSetUpPr.fitToPage = not self.scale
        if self.scale:
            sheet.page_setup.fitToWidth = sheet.page_setup.fitToHeight = None
            sheet.page_setup.scale = math.floor(100 * self._share())
        sheet.page_margins.left = sheet.page_margins.right = _SIDE
        sheet.page_margins.top, sheet.page_margins.bottom = 0.5, 0.45
        sheet.page_margins.header = sheet.page_margins.footer = 0.2
        sheet.HeaderFooter.scaleWithDoc = False
        size = f"&{max(9, math.ceil(self.least_type()))}"
        sheet.oddHeader.left.text = size + header
        sheet.oddHeader.right.text = f"{size}Page &P of &N"
        sheet.oddFooter.left.text = f"{size}Estimate, not a certified design. Local codes and licensed trades decide."
        sheet.oddFooter.right.text = f"{size}&F"
        sheet.print_options.horizontalCentered = True

    def break_here(self) -> None:
        """Start a new sheet of paper at the next row."""
        self.sheet.row_breaks.append(Break(self.at - 1))

    def finish(self, last_row: int | None = None, *, heading: bool = False, head: int | None = None) -> None:
        """Set the print area and the rows repeated on each page.

        Args:
            last_row: The last row printed; the page's last when left out.
            heading: Whether the heading row of a table just below the title is repeated with it.
            head: The heading row of a table further down, repeated in place of the title on the pages after it.
        """
        self._raise_type(last_row or self.at)
        last = get_column_letter(self.last_printed)
        self.sheet.print_area = f"A1:{last}{last_row or self.at}"
        self.sheet.print_title_rows = f"{head}:{head}" if head else "1:4" if heading else "1:3"

    def fit(self, sheets: int) -> None:
        """Shrink the page in print to a number of sheets of paper, where its rows then break as they come."""
        self.sheet.page_setup.fitToHeight = sheets

    def least_type(self) -> float:
        """The smallest type that is large enough once the page is shrunk to the width of its paper, in points."""
        return math.ceil(_LEAST_TYPE / self._share() * 2) / 2

    def _share(self) -> float:
        """What is left of the page's size once it is shrunk as asked, and to the width of its paper."""
        paper = ((11.0, 11.69) if self.sheet.page_setup.orientation == "landscape" else (8.5, 8.27))[self.system == "SI"]
        return min(1.0, self.scale / 100 or 1.0, (paper - 2 * _SIDE) * 72 / (_LETTER * sum((2.0, *self.printed))))

    def _raise_type(self, last_row: int) -> None:
        """Set larger what would be too small once the page is shrunk to the width of its paper."""
        least = self.least_type()
        raised: dict[int, int] = {}
        for row in self.sheet.iter_rows(1, last_row, self.first, self.last_column):
            for cell in row:
                if cell.value is None:
                    continue
                known = raised.get(cell._style.fontId)
                if known is not None:
                    cell._style.fontId = known
                    continue
                was = cell._style.fontId
                if cell.font.size < least:
                    font = copy(cell.font)
                    font.size = least
                    cell.font = font
                raised[was] = cell._style.fontId

    def print_for_site(self) -> None:
        """Let this finished page be printed with those for the people who build; it must show no price."""
        self._name_printed(FOR_SITE)
        self.sheet.oddFooter.right.text = None

    def never_print(self) -> None:
        """Leave this finished page out of all sets of prints, and let any program print only a blank cell of it: nothing."""
        self._name_printed(NEVER_PRINTED)
        self.sheet.print_area, self.sheet.print_title_rows = NOTHING, None

    def _name_printed(self, name: str) -> None:
        """Give the cells that this finished page prints a name of the sheet's own."""
        area = f"{quote_sheetname(self.sheet.title)}!{self.sheet.print_area.rpartition('!')[2]}"
        self.sheet.defined_names.add(DefinedName(name, attr_text=area))
