"""``convert``: formulas respelled for another program; nothing is written over."""

from pathlib import Path

import pytest

from cli.command_line import cell


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["print", "small.xlsx", "--out", "there.pdf"], "there.pdf: it exists already"),
        (["convert", "small.xlsx", "there.xlsx", "--for", "excel"], "there.xlsx: it exists already"),
        (["convert", "small.xlsx", "new.ods", "--for", "libreoffice"], "new.ods: give a file name that ends in .xlsx"),
        (["convert", "gone.xlsx", "new.xlsx", "--for", "excel"], "gone.xlsx: there is no such file"),
        (["convert", "cut.xlsx", "new.xlsx", "--for", "excel"], "cut.xlsx"),
    ],
)
def test_nothing_is_written_over_or_half(arguments, said, small, refused):
    for name in ("there.pdf", "there.xlsx"):
        Path(name).write_bytes(b"mine")
    Path("cut.xlsx").write_bytes(Path(small).read_bytes()[:900])
    assert said in refused(*arguments)
    assert Path("there.pdf").read_bytes() == Path("there.xlsx").read_bytes() == b"mine"
    assert not Path("new.xlsx").exists()


@pytest.mark.parametrize(
    ("program", "written", "told"),
    [
        ("libreoffice", "=STILL_DOORTARGETMASS(", "0 formulas respelled for libreoffice, as nothing needed it"),
        ("browser", "=_xldudf_STILL_DOORTARGETMASS(", "1 formula respelled for browser"),
    ],
)
def test_a_workbook_goes_to_another_program_and_back(program, written, told, small, run):
    run("calc", small)
    code, out, err = run("convert", small, "theirs.xlsx", "--for", program)
    assert (code, err) == (0, "")
    assert " ".join(out.split()).endswith(f"theirs.xlsx: {told}")
    assert cell("theirs.xlsx", "B1", values=False).startswith(written)
    assert cell("theirs.xlsx", "B1") == pytest.approx(88)
    assert run("calc", "theirs.xlsx")[0] == 0
    assert run("convert", "theirs.xlsx", "theirs.xlsx", "--for", "excel")[0] == 0
    assert cell("theirs.xlsx", "B1", values=False) == cell(small, "B1", values=False)
    assert "0 formulas respelled for excel, as nothing needed it" in " ".join(
        run("convert", "theirs.xlsx", "again.xlsx", "--for", "excel")[1].split()
    )
