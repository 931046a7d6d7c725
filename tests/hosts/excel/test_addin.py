"""Building and installing the add-in, with Excel stood in for."""

import sys
import types
from importlib.metadata import distribution
from pathlib import Path
from unittest import mock

import pytest

from hosts.excel.fake import CONTENT, FakeExcel
from hosts.excel.windows_stubs import ComError
from stillbook import __version__
from stillbook.hosts.excel import addin, com, wrapper
from stillbook.hosts.excel.com import AddIn, Busy, ComExcel, NotTrusted
from stillbook.hosts.host import HostError

# --- content ----------------------------------------------------------------------------------------------------------


def test_content():
    assert list(CONTENT.modules) == ["StillbookFormulas", "StillbookCalls", "StillbookValues", "StillbookBinding"]
    assert CONTENT.workbook_code == wrapper.workbook_code()
    assert [each.name for each in CONTENT.helps] == ["STILL_WIDER", "STILL_LOUDEST", "STILL_CORNERS", "STILL_TOLD"]
    assert [len(each.arguments) for each in CONTENT.helps] == [4, 1, 2, 5]
    assert dict(CONTENT.notes) == {
        "Stillbook": __version__,
        "Python": r"C:\py\python.exe",
        "Module": "stillbook.hosts.excel.functions",
        "Formulas": "4",
    }


@pytest.mark.parametrize(
    ("change", "same"),
    [
        ({}, True),
        ({"notes": ()}, True),
        ({"modules": {**CONTENT.modules, "StillbookValues": "x"}}, False),
        ({"workbook_code": "x"}, False),
        ({"helps": CONTENT.helps[1:]}, False),
    ],
)
def test_mark_tells_a_changed_add_in(change, same):
    fields = {name: getattr(CONTENT, name) for name in ("modules", "workbook_code", "helps", "notes")}
    assert (AddIn(**(fields | change)).mark == CONTENT.mark) is same


# --- xlwings' parts ---------------------------------------------------------------------------------------------------


class Package:
    """An installed xlwings, as pip leaves it on Windows: libraries two folders above the package."""

    version = "0.37.8"

    def __init__(self, site, names):
        self._site = site
        self.files = [types.SimpleNamespace(name=Path(name).name, path=name) for name in names]
        for name in names:
            file = site / name
            file.parent.mkdir(parents=True, exist_ok=True)
            file.touch()

    def locate_file(self, file):
        return self._site / file.path


FILES = ["xlwings/quickstart_addin.xlam", "../../xlwings32-0.37.8.dll", "../../xlwings64-0.37.8.dll"]


def test_parts_are_found_where_pip_puts_them(tmp_path):
    site = tmp_path / "env" / "Lib" / "site-packages"
    found = addin.parts(Package(site, ["xlwings/udfs.py", *FILES]))
    assert found.base == site / "xlwings" / "quickstart_addin.xlam"
    assert found.dll32 == tmp_path / "env" / "xlwings32-0.37.8.dll"
    assert found.dll64 == tmp_path / "env" / "xlwings64-0.37.8.dll"


@pytest.mark.parametrize("missing", FILES)
def test_missing_parts_are_named(tmp_path, missing):
    package = Package(tmp_path / "env" / "Lib" / "site-packages", [name for name in FILES if name != missing])
    with pytest.raises(HostError, match=rf"xlwings 0\.37\.8 lacks {Path(missing).name}: reinstall"):
        addin.parts(package)


def test_a_listed_file_that_is_gone_is_missing(tmp_path):
    package = Package(tmp_path / "env" / "Lib" / "site-packages", FILES)
    (tmp_path / "env" / "xlwings64-0.37.8.dll").unlink()
    with pytest.raises(HostError, match="lacks xlwings64"):
        addin.parts(package)


def test_the_installed_xlwings_ships_the_empty_add_in():
    files = {file.name for file in distribution("xlwings").files or ()}
    assert "quickstart_addin.xlam" in files


@pytest.mark.parametrize(
    ("path", "told"),
    [
        (r"C:\Users\Zoë\python.exe", None),
        (r"C:\a & b\python.exe", None),
        (r"C:\Users\Ωmega\python.exe", "letters that this Windows cannot pass on"),
        (r"C:\100%\python.exe", "a percent sign"),
    ],
)
def test_paths_that_cannot_be_started(path, told):
    if told is None:
        addin.check_path(path, "cp1252")
    else:
        with pytest.raises(HostError, match=told):
            addin.check_path(path, "cp1252")


# --- installing -------------------------------------------------------------------------------------------------------


def test_install_builds_aside_and_moves_into_place(tmp_path, base):
    excel = FakeExcel(tmp_path / "XLSTART", refused=["STILL_TOLD"])
    target, refused = addin.install(CONTENT, base, excel)
    assert target == tmp_path / "XLSTART" / "Stillbook.xlam"
    assert target.read_text() == "built " + CONTENT.mark
    assert refused == ["STILL_TOLD"]
    assert [file.name for file in target.parent.iterdir()] == ["Stillbook.xlam"]
    assert base.read_text() == "empty"
    assert excel.closed


def test_a_busy_excel_is_asked_again(tmp_path, base):
    excel = FakeExcel(tmp_path, [Busy(), Busy()])
    target, _ = addin.install(CONTENT, base, excel, pause=0)
    assert target.read_text().startswith("built")


@pytest.mark.parametrize(
    ("failures", "told"),
    [
        ([Busy()] * addin.TRIES, "Excel stayed busy: close its windows and connect again"),
        ([NotTrusted()], "Trust access to the VBA project object model"),
        ([HostError("Excel could not build the add-in: x")], "could not build"),
    ],
)
def test_a_failure_leaves_the_earlier_add_in(tmp_path, base, failures, told):
    earlier = tmp_path / "XLSTART" / "Stillbook.xlam"
    earlier.parent.mkdir()
    earlier.write_text("earlier")
    with pytest.raises(HostError, match=told):
        addin.install(CONTENT, base, FakeExcel(earlier.parent, failures), pause=0)
    assert earlier.read_text() == "earlier"
    assert list(earlier.parent.iterdir()) == [earlier]


def test_an_add_in_in_use_is_left(tmp_path, base):
    earlier = tmp_path / "XLSTART" / "Stillbook.xlam"
    earlier.parent.mkdir()
    earlier.write_text("earlier")
    with (
        mock.patch.object(Path, "replace", side_effect=PermissionError),
        pytest.raises(HostError, match="is in use: close Excel"),
    ):
        addin.install(CONTENT, base, FakeExcel(earlier.parent))
    assert list(earlier.parent.iterdir()) == [earlier]


# --- the steps asked of Excel -----------------------------------------------------------------------------------------


def component(name, kind):
    return mock.MagicMock(Type=kind, **{"CodeModule.CountOfLines": 3}, component=name)


def application(tmp_path):
    """An Excel.Application with the empty add-in open: three modules, a sheet and the workbook's own code."""
    excel = mock.MagicMock(StartupPath=str(tmp_path))
    book = excel.Workbooks.Open.return_value
    book.Name = "Stillbook.xlam"
    named = {
        "ThisWorkbook": component("ThisWorkbook", 100),
        "Sheet2": component("Sheet2", 100),
        "Dictionary": component("Dictionary", 2),
        "xlwings": component("xlwings", 1),
        "Module1": component("Module1", 1),
    }
    components = book.VBProject.VBComponents
    components.Count = len(named)
    components.Item.side_effect = lambda at: named[at] if isinstance(at, str) else list(named.values())[at - 1]
    imported = {}
    components.Import.side_effect = lambda path: imported.update({Path(path).name: Path(path).read_bytes()})
    return excel, book, named, imported


def test_excel_is_told_to_build_the_add_in(tmp_path):
    excel, book, named, imported = application(tmp_path)
    file = tmp_path / "Stillbook.xlam"
    assert ComExcel(excel, ComError).fill(file, CONTENT) == []

    excel.Workbooks.Open.assert_called_once_with(str(file))
    removed = [each.args[0].component for each in book.VBProject.VBComponents.Remove.call_args_list]
    assert removed == ["Dictionary", "xlwings", "Module1"]
    assert imported == {
        f"{name}.bas": text.replace("\n", "\r\n").encode("ascii") for name, text in CONTENT.modules.items()
    }
    code = named["ThisWorkbook"].CodeModule
    code.DeleteLines.assert_called_once_with(1, 3)
    code.AddFromString.assert_called_once_with(CONTENT.workbook_code.replace("\n", "\r\n"))

    options = {each.args[0]: each.args for each in excel.MacroOptions.call_args_list}
    assert list(options) == [f"'Stillbook.xlam'!{each.name}" for each in CONTENT.helps]
    wider = options["'Stillbook.xlam'!STILL_WIDER"]
    assert len(wider) == 11  # up to ArgumentDescriptions
    assert (wider[1], wider[6]) == ("A width and what is added to it (in or mm). Source: invented.", "Stillbook: Ducts")
    assert wider[10] == list(CONTENT.helps[0].arguments)

    assert book.IsAddin is True
    steps = [each[0] for each in book.mock_calls]
    assert steps.index("VBProject.VBComponents.Import") < steps.index("Save") < steps.index("Close")
    book.Close.assert_called_once_with(False)


@pytest.mark.parametrize(
    ("where", "error", "raised"),
    [
        ("VBProject", ComError(-2146827284, "not trusted"), NotTrusted),
        ("VBProject", ComError(-2147418111, "call rejected"), Busy),
        ("Save", ComError(-2147418111, "call rejected"), Busy),
        ("Save", ComError(-2146827284, "disk full"), HostError),
    ],
)
def test_excels_refusals(tmp_path, where, error, raised):
    excel, book, _, _ = application(tmp_path)
    if where == "VBProject":
        type(book).VBProject = mock.PropertyMock(side_effect=error)
    else:
        getattr(book, where).side_effect = error
    with pytest.raises(raised):
        ComExcel(excel, ComError).fill(tmp_path / "Stillbook.xlam", CONTENT)
    book.Close.assert_called_once_with(False)


def test_functions_whose_help_is_refused_are_named(tmp_path):
    excel, book, _, _ = application(tmp_path)

    def refuse(macro, *_):
        if macro.endswith("STILL_CORNERS"):
            raise ComError(-2146827284, "1004")

    excel.MacroOptions.side_effect = refuse
    assert ComExcel(excel, ComError).fill(tmp_path / "Stillbook.xlam", CONTENT) == ["STILL_CORNERS"]
    book.Save.assert_called_once_with()


@pytest.fixture
def pywin32(monkeypatch):
    client, types_ = types.ModuleType("win32com.client"), types.ModuleType("pywintypes")
    client.DispatchEx = mock.MagicMock()
    types_.com_error = ComError
    for name, module in {
        "win32com": types.ModuleType("win32com"),
        client.__name__: client,
        "pywintypes": types_,
    }.items():
        monkeypatch.setitem(sys.modules, name, module)
    return client


def test_excel_is_started_and_closed(pywin32, tmp_path):
    excel = pywin32.DispatchEx.return_value
    excel.StartupPath = str(tmp_path)
    with com.started_excel() as started:
        assert started.start_folder() == tmp_path
        excel.Quit.assert_not_called()
    pywin32.DispatchEx.assert_called_once_with("Excel.Application")
    excel.Quit.assert_called_once_with()


def test_excel_that_does_not_start(pywin32):
    pywin32.DispatchEx.side_effect = ComError(-2147221005, "invalid class string")
    with pytest.raises(HostError, match="Excel did not start: is it installed"), com.started_excel():
        pass


def test_excel_that_fails_on_the_way_is_closed(pywin32):
    with pytest.raises(HostError, match="Excel failed"), com.started_excel():
        raise ComError(-1, "gone")
    pywin32.DispatchEx.return_value.Quit.assert_called_once_with()


def test_without_pywin32():
    with pytest.raises(HostError, match="pywin32 is not installed"), com.started_excel():
        pass
