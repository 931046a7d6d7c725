"""The module of Basic functions in a user's library, which is stood in for."""

from __future__ import annotations

import pytest

from stillbook.hosts.libreoffice.stillbook_calc.basic_module import MARK, put, take

OURS = f"{MARK}\nFunction STILL_X\nEnd Function"
OLD = f"{MARK}\nold"


class Library(dict[str, str]):
    """LibreOffice's container of one library, and the library itself, by the names of its methods."""

    def __init__(self, modules: dict[str, str]) -> None:
        super().__init__(modules)
        self.loaded: list[str] = []
        self.written: list[str] = []

    def loadLibrary(self, name: str) -> None:  # noqa: N802
        self.loaded.append(name)

    def getByName(self, name: str) -> object:  # noqa: N802
        if name == "Standard":
            assert self.loaded == ["Standard"], "a library that is not loaded looks empty"
            return self
        return self[name]

    def hasByName(self, name: str) -> bool:  # noqa: N802
        return name in self

    def getElementNames(self) -> tuple[str, ...]:  # noqa: N802
        return tuple(self)

    def insertByName(self, name: str, source: str) -> None:  # noqa: N802
        assert name not in self
        self.written.append(name)
        self[name] = source

    def replaceByName(self, name: str, source: str) -> None:  # noqa: N802
        assert name in self
        self.written.append(name)
        self[name] = source

    def removeByName(self, name: str) -> None:  # noqa: N802
        del self[name]


@pytest.mark.parametrize(
    ("before", "after", "written"),
    [
        ({}, {"Stillbook": OURS}, ["Stillbook"]),
        ({"Stillbook": OLD}, {"Stillbook": OURS}, ["Stillbook"]),
        ({"Stillbook": OURS}, {"Stillbook": OURS}, []),
        (
            {"Stillbook": "REM mine", "Stillbook2": "REM too"},
            {"Stillbook": "REM mine", "Stillbook2": "REM too", "Stillbook3": OURS},
            ["Stillbook3"],
        ),
        ({"Stillbook": "REM mine", "Stillbook2": OLD}, {"Stillbook": "REM mine", "Stillbook2": OURS}, ["Stillbook2"]),
        ({"Module1": OLD}, {"Module1": OLD, "Stillbook": OURS}, ["Stillbook"]),
    ],
)
def test_it_is_put_beside_the_users_own(before: dict[str, str], after: dict[str, str], written: list[str]) -> None:
    library = Library(before)
    put(library, OURS)
    assert (dict(library), library.written) == (after, written)


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ({}, {}),
        ({"Stillbook": OURS, "Stillbook2": OLD, "Module1": "REM mine"}, {"Module1": "REM mine"}),
        ({"Stillbook": "REM mine", "Module1": OURS}, {"Stillbook": "REM mine", "Module1": OURS}),
    ],
)
def test_it_is_taken_out_again_and_nothing_else(before: dict[str, str], after: dict[str, str]) -> None:
    library = Library(before)
    take(library)
    assert dict(library) == after
