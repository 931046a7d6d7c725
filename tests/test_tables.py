"""The shipped tables: each row has a source and the right number of cells."""

from importlib.resources import files

import pytest

from stillbook.tables import TableError, table

NAMES = sorted(
    path.name.removesuffix(".csv")
    for path in files("stillbook").joinpath("data").iterdir()
    if path.name.endswith(".csv")
)


@pytest.mark.parametrize("name", NAMES)
def test_every_row_names_its_source(name):
    assert len(table(name)) > 0


def test_a_row_without_source_is_refused(monkeypatch, tmp_path):
    (tmp_path / "data").mkdir()
    (tmp_path / "data" / "bad.csv").write_text("a,source\n1,\n")
    (tmp_path / "data" / "ragged.csv").write_text("a,source\n1,x,2\n")
    monkeypatch.setattr("stillbook.tables.files", lambda package: tmp_path)
    with pytest.raises(TableError, match=r"bad\.csv line 2 names no source"):
        table("bad")
    with pytest.raises(TableError, match=r"ragged\.csv line 2 has the wrong number of cells"):
        table("ragged")
