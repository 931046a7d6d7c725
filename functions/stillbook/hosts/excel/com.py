"""The steps of building the add-in for which Excel itself is asked, through pywin32; all else runs without Excel."""

from __future__ import annotations

import hashlib
import importlib
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final, Protocol

from stillbook.hosts.host import HostError

DOCUMENT: Final = 100
"""The type of a VBA component that belongs to a sheet or to the workbook, and cannot be removed."""

BUSY: Final = frozenset({-2147418111, -2147417846, -2146777998})
"""COM results of an Excel that is starting or calculating: call rejected, retry later, application busy."""


@dataclass(frozen=True, slots=True)
class FunctionHelp:
    """What Excel is told of one function for its function wizard."""

    name: str
    description: str
    category: str
    arguments: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class AddIn:
    """All that is put into the add-in: VBA modules by name, the workbook's own code, wizard help, a sheet of notes."""

    modules: Mapping[str, str]
    workbook_code: str
    helps: tuple[FunctionHelp, ...]
    notes: tuple[tuple[str, str], ...]

    @property
    def mark(self) -> str:
        """A short text that changes with anything the add-in does or shows."""
        return hashlib.sha256(repr((self.modules, self.workbook_code, self.helps)).encode()).hexdigest()[:16]


class NotTrusted(Exception):
    """Excel refuses access to VBA projects."""


class Busy(Exception):
    """Excel was busy and refused a call."""


class Excel(Protocol):
    """What is asked of Excel."""

    def start_folder(self) -> Path:
        """The folder whose files Excel opens when it starts."""

    def fill(self, file: Path, content: AddIn) -> list[str]:
        """Put the content into the add-in file and save it; the names of functions whose help was refused.

        Raises:
            NotTrusted: If the user has to allow it first.
            Busy: If Excel did not listen: try again with a fresh file.
            HostError: If Excel failed otherwise.
        """


class ComExcel:
    """Excel through pywin32.

    Args:
        application: The ``Excel.Application`` object.
        com_error: The exception class of pywin32.
    """

    def __init__(self, application: Any, com_error: type[Exception]) -> None:
        self._application = application
        self._com_error = com_error

    def start_folder(self) -> Path:
        return Path(str(self._application.StartupPath))

    def fill(self, file: Path, content: AddIn) -> list[str]:
        try:
            self._application.DisplayAlerts = False
            self._application.EnableEvents = False
            # With no other workbook open, Excel has no window in which help for functions could be set.
            self._application.Workbooks.Add()
            book = self._application.Workbooks.Open(str(file))
            try:
                self._put_code(self._components(book), content, file.parent)
                _put_notes(book, content)
                refused = self._put_helps(book, content)
                book.Save()
            finally:
                book.Close(False)
        except self._com_error as error:
            if _is_busy(error):
                raise Busy from None
            raise HostError(f"Excel could not build the add-in: {error}") from None
        return refused

    def _components(self, book: Any) -> Any:
        try:
            return book.VBProject.VBComponents
        except self._com_error as error:
            if _is_busy(error):
                raise
            raise NotTrusted from None

    def _put_code(self, components: Any, content: AddIn, folder: Path) -> None:
        # The modules that come with the empty add-in are xlwings' own; ours take their place.
        for component in [components.Item(place) for place in range(1, components.Count + 1)]:
            if component.Type != DOCUMENT:
                components.Remove(component)
        for name, text in content.modules.items():
            source = folder / f"{name}.bas"
            source.write_bytes(text.replace("\n", "\r\n").encode("ascii"))
            components.Import(str(source))
        code = components.Item("ThisWorkbook").CodeModule
        if code.CountOfLines:
            code.DeleteLines(1, code.CountOfLines)
        code.AddFromString(content.workbook_code.replace("\n", "\r\n"))

    def _put_helps(self, book: Any, content: AddIn) -> list[str]:
        refused = []
        # Excel takes no help for the functions of a hidden workbook, and an add-in is one.
        book.IsAddin = False
        for each in content.helps:
            try:
                # Macro, description, menu and its text, shortcut and its key, category, status bar, help context and
                # file, arguments: by place, since names need a type library that may not have been read.
                self._application.MacroOptions(
                    f"'{book.Name}'!{each.name}",
                    each.description,
                    False,
                    None,
                    False,
                    None,
                    each.category,
                    None,
                    None,
                    None,
                    list(each.arguments),
                )
            except self._com_error as error:
                if _is_busy(error):
                    raise
                refused.append(each.name)
        book.IsAddin = True
        return refused


def _put_notes(book: Any, content: AddIn) -> None:
    sheet = book.Worksheets(1)
    sheet.Cells.ClearContents()
    sheet.Name = "Stillbook"
    for row, (title, text) in enumerate(content.notes, start=1):
        sheet.Cells(row, 1).Value = title
        sheet.Cells(row, 2).Value = text
    book.Title = book.Author = "Stillbook"


def _is_busy(error: Exception) -> bool:
    return getattr(error, "hresult", 0) in BUSY


@contextmanager
def started_excel() -> Iterator[Excel]:
    """An Excel of our own, hidden, closed again afterwards; any Excel the user has open is left alone.

    Raises:
        HostError: If it does not start.
    """
    try:
        client = importlib.import_module("win32com.client")
        com_error = importlib.import_module("pywintypes").com_error
    except ImportError:
        raise HostError("pywin32 is not installed: reinstall Stillbook on Windows") from None
    application = None
    try:
        application = client.DispatchEx("Excel.Application")
        yield ComExcel(application, com_error)
    except com_error as error:
        doing = "failed" if application else "did not start: is it installed on this computer?"
        raise HostError(f"Excel {doing} ({error})") from None
    finally:
        if application:
            with suppress(com_error):
                application.Quit()
