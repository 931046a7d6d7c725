"""``formulas``: the reference of the catalogue."""

import pytest

from stillbook.catalogue import formulas


def test_the_list_of_formulas_is_whole(run):
    code, out, err = run("formulas")
    listed = [line.split()[0] for line in out.splitlines() if line.startswith("STILL_")]
    assert (code, err) == (0, "")
    assert listed == [entry.workbook_name for entry in formulas().values()]
    assert {entry.family for entry in formulas().values()} <= set(out.splitlines())


@pytest.mark.parametrize("name", formulas())
def test_a_formula_is_explained_within_eighty_columns(name, run):
    entry = formulas()[name]
    code, out, err = run("formulas", name)
    words = " ".join(out.split())
    assert (code, err) == (0, "")
    assert entry.workbook_name in words
    assert " ".join(entry.source.split()) in words
    assert all(argument.words in words for argument in entry.arguments)
    assert max(map(len, out.splitlines())) <= 80
    assert not {"\x1b", "`", "Args:", "Raises:", ">>>"} & set(out.split()) | {sign for sign in "\x1b`" if sign in out}


def test_brackets_are_shown_as_they_are(run):
    assert run("formulas", "still.doortargetmass")[1].startswith(
        "STILL_DOORTARGETMASS(side masses, width, height, [arrangement], [margin]"
    )


def test_an_unknown_formula_names_its_neighbours(refused):
    assert "STILL_DOORMASS" in refused("formulas", "DORMASS")


def test_a_wide_place_gets_one_line_a_row_without_lines_around(run, monkeypatch):
    monkeypatch.setenv("COLUMNS", "300")
    _, out, _ = run("formulas")
    for entry in formulas().values():
        assert any(line.startswith(entry.workbook_name) and line.endswith(entry.summary) for line in out.splitlines())
    assert not set(out) & set("│┃━─╭|")


@pytest.mark.parametrize(
    ("words", "found"),
    [(["co2"], "STILL_CO2LEVEL"), (["airflow"], "STILL_AIRCHANGES"), (["heavy", "door"], "STILL_DOOR")],
)
def test_formulas_are_found_by_words(words, found, run):
    code, out, err = run("formulas", *words)
    assert (code, err) == (0, "")
    assert found in out
