"""Stands in for Windows and pywin32, so that the code xlwings runs inside Excel's Python can be run anywhere.

What is replaced is COM alone: xlwings' own registration, argument conversion and call path are the real ones.
"""

from __future__ import annotations

import ctypes
import datetime
import importlib
import sys
import types
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any
from unittest import mock

MODULES = (
    *("pywintypes", "pythoncom", "win32api", "win32con", "win32event", "win32gui", "win32process", "win32timezone"),
    *("win32com", "win32com.client", "win32com.server"),
    *("win32com.server.dispatcher", "win32com.server.policy", "win32com.server.util"),
)

RANGE_IID = "{00020846-0000-0000-C000-000000000046}"


class ComError(Exception):
    """pywin32's exception."""

    def __init__(self, hresult: int = 0, text: str = "") -> None:
        super().__init__(hresult, text)
        self.hresult = hresult


class Range:
    """An Excel range as COM hands it over, with the values its Value property has."""

    def __init__(self, value: Any) -> None:
        self.Value = value
        self.Worksheet = mock.MagicMock()
        self.Row = self.Column = 1
        self.Rows = self.Columns = types.SimpleNamespace(Count=1)
        self._oleobj_ = self

    def GetTypeInfo(self) -> Range:  # noqa: N802
        return self

    def GetTypeAttr(self) -> types.SimpleNamespace:  # noqa: N802
        return types.SimpleNamespace(iid=RANGE_IID)


def _modules() -> dict[str, types.ModuleType]:
    made: dict[str, Any] = {name: types.ModuleType(name) for name in MODULES}
    for name, module in made.items():
        parent, _, child = name.rpartition(".")
        if parent:
            setattr(made[parent], child, module)
    made["pywintypes"].TimeType = datetime.datetime
    made["pywintypes"].com_error = ComError
    made["pywintypes"].error = ComError
    made["pywintypes"].IID = str
    made["pythoncom"].__file__ = "pythoncom"
    made["pythoncom"].IID_IDispatch = "dispatch"
    made["pythoncom"].TypeIIDs = {"dispatch": type("PyIDispatch", (), {})}
    made["pythoncom"].CoInitialize = lambda: None
    made["pythoncom"].ole_error = ComError
    client = made["win32com.client"]
    for name in ("CDispatch", "CoClassBaseClass", "DispatchBaseClass"):
        setattr(client, name, type(name, (), {}))
    client.Dispatch = client.DispatchEx = lambda *_: None
    client.gencache = mock.MagicMock()
    made["win32process"].GetWindowThreadProcessId = lambda _: (0, 1)
    made["win32com.server.util"].unwrap = mock.Mock(side_effect=ComError)
    return made


@contextmanager
def _imported(stubs: dict[str, types.ModuleType]) -> Iterator[None]:
    """Let modules be imported, and take away these alone: no library can be loaded twice in a process."""
    before = {name: sys.modules.get(name) for name in stubs}
    sys.modules.update(stubs)
    try:
        yield
    finally:
        for name, module in before.items():
            if module is None:
                del sys.modules[name]
            else:
                sys.modules[name] = module


@contextmanager
def windows() -> Iterator[types.SimpleNamespace]:
    """xlwings and the module for Excel as Windows imports them: ``server`` is xlwings' COM object, ``functions`` ours."""

    def ours(name: str) -> bool:
        return name.partition(".")[0] == "xlwings" or name == "stillbook.hosts.excel.functions"

    import stillbook.hosts.excel

    before = {name: module for name, module in sys.modules.items() if ours(name)}
    attribute = getattr(stillbook.hosts.excel, "functions", None)
    for name in before:
        del sys.modules[name]
    with (
        _imported(_modules()),
        mock.patch.object(sys, "platform", "win32"),
        mock.patch.object(ctypes, "oledll", mock.MagicMock(), create=True),
        mock.patch.object(ctypes, "windll", mock.MagicMock(), create=True),
        mock.patch.object(ctypes, "PyDLL", mock.MagicMock()),
        mock.patch("atexit.register"),
    ):
        functions = importlib.import_module("stillbook.hosts.excel.functions")
        com_server = importlib.import_module("xlwings.com_server")
        try:
            yield types.SimpleNamespace(
                functions=functions, udfs=importlib.import_module("xlwings.udfs"), server=com_server.XLPython()
            )
        finally:
            for name in [name for name in sys.modules if ours(name)]:
                del sys.modules[name]
    sys.modules.update(before)
    if attribute is not None:
        stillbook.hosts.excel.functions = attribute  # type: ignore[attr-defined]
