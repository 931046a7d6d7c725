"""An add-in of the small catalogue, and an Excel that is stood in for."""

from contextlib import contextmanager
from pathlib import Path, PureWindowsPath

from hosts.small import CATALOGUE
from stillbook.hosts.excel import wrapper
from stillbook.hosts.excel.addin import addin
from stillbook.hosts.excel.com import AddIn

SERVER = wrapper.Server(
    PureWindowsPath(r"C:\py\python.exe"),
    PureWindowsPath(r"C:\py\xlwings32-0.37.8.dll"),
    PureWindowsPath(r"C:\py\xlwings64-0.37.8.dll"),
)
CONTENT = addin(CATALOGUE, SERVER)


class FakeExcel:
    """An Excel that keeps what it is told in the file, after the failures it was made with."""

    def __init__(self, folder, failures=(), refused=()):
        self.folder = folder
        self.failures = list(failures)
        self.refused = list(refused)
        self.closed = False

    @contextmanager
    def __call__(self):
        yield self
        self.closed = True

    def start_folder(self):
        return self.folder

    def fill(self, file: Path, content: AddIn):
        assert file.read_text() == "empty"  # a fresh copy at each try
        file.write_text("half built")
        if self.failures:
            raise self.failures.pop(0)
        file.write_text("built " + content.mark)
        return self.refused
