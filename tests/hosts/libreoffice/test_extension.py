"""The files of the extension, and that they follow the catalogue by themselves."""

from __future__ import annotations

import ast
import json
import sys
from pathlib import Path

import pytest

import stillbook
from hosts import small
from stillbook import __version__
from stillbook.catalogue import formulas
from stillbook.hosts.libreoffice.extension import extension, installer, version
from workbook.books import parts

COMMAND = ["python", "-m", "stillbook.answering"]
INSIDE = Path(stillbook.__file__).parent / "hosts" / "libreoffice" / "stillbook_calc"
FEW = {name: small.CATALOGUE[name] for name in ("WIDER", "TOLD")}


MADE = parts(extension(formulas(), COMMAND, reads_neutral=False)[0])
CODE = {name: data.decode() for name, data in MADE.items() if name.endswith(".py")}


def test_it_holds_what_libreoffice_looks_for() -> None:
    assert sorted(MADE) == [
        "CalcAddIns.xcu",
        "Jobs.xcu",
        "META-INF/manifest.xml",
        "Stillbook.bas",
        "component.py",
        "description.xml",
        "formulas.rdb",
        "pythonpath/stillbook_calc/__init__.py",
        "pythonpath/stillbook_calc/basic_module.py",
        "pythonpath/stillbook_calc/client.py",
        "pythonpath/stillbook_calc/companion.py",
        "pythonpath/stillbook_calc/discovery.py",
        "pythonpath/stillbook_calc/documents.py",
        "pythonpath/stillbook_calc/infobar.py",
        "pythonpath/stillbook_calc/respelling.py",
        "pythonpath/stillbook_calc/values.py",
        "settings.json",
        "stillbook.components",
    ]
    for name in ("CalcAddIns.xcu", "Jobs.xcu", "formulas.rdb", "stillbook.components"):
        assert f'full-path="{name}"'.encode() in MADE["META-INF/manifest.xml"]


def test_what_installs_for_root_is_of_the_same_make() -> None:
    made = parts(installer())
    assert {"Jobs.xcu", "META-INF/manifest.xml", "component.py", "description.xml", "stillbook.components"} <= set(made)
    ast.parse(made["component.py"].decode(), feature_version=(3, 8))
    assert b"OnStartApp" in made["Jobs.xcu"]


def test_every_module_for_libreoffice_is_in_it() -> None:
    packed = {Path(name).name for name in CODE}
    assert packed == {path.name for path in INSIDE.glob("*.py")} | {"discovery.py"}


def test_it_finds_the_folder_for_notes_by_the_services_own_code() -> None:
    own = Path(stillbook.__file__).parent / "hosts" / "discovery.py"
    assert MADE["pythonpath/stillbook_calc/discovery.py"] == own.read_bytes()


@pytest.mark.parametrize("name", CODE)
def test_its_code_is_for_the_oldest_python_in_a_supported_libreoffice(name: str) -> None:
    ast.parse(CODE[name], feature_version=(3, 8))


@pytest.mark.parametrize("name", CODE)
def test_its_code_uses_the_standard_library_and_the_bridge_alone(name: str) -> None:
    bridge = {"uno", "unohelper", "com", "stillbook_calc"} if name == "component.py" else set()
    for found in ast.walk(ast.parse(CODE[name])):
        if isinstance(found, ast.Import):
            names = {alias.name for alias in found.names}
        elif isinstance(found, ast.ImportFrom) and not found.level:
            names = {found.module or ""}
        else:
            continue
        assert {each.partition(".")[0] for each in names} <= sys.stdlib_module_names | bridge


def test_its_settings_name_methods_formulas_and_command() -> None:
    settings = json.loads(parts(extension(FEW, COMMAND, reads_neutral=False)[0])["settings.json"])
    assert settings["methods"] == {"wider": ["WIDER", False, False], "told": ["TOLD", True, True]}
    assert settings["command"] == COMMAND


def test_a_new_formula_is_in_it_without_an_edit_here() -> None:
    before, after = (
        parts(extension(FEW, COMMAND, reads_neutral=False)[0]),
        parts(extension(small.CATALOGUE, COMMAND, reads_neutral=False)[0]),
    )
    for name in ("CalcAddIns.xcu", "Stillbook.bas", "formulas.rdb", "settings.json"):
        assert b"loudest" not in before[name].lower()
        assert b"loudest" in after[name].lower()


def test_the_same_catalogue_gives_the_same_bytes() -> None:
    assert extension(formulas(), COMMAND, reads_neutral=False) == extension(formulas(), COMMAND, reads_neutral=False)


def test_its_version_tells_what_is_inside() -> None:
    made = extension(FEW, COMMAND, reads_neutral=False)[1]
    assert made.startswith(f"{__version__}.")
    assert (
        f'<version value="{made}"/>'.encode()
        in parts(extension(FEW, COMMAND, reads_neutral=False)[0])["description.xml"]
    )
    assert version(FEW, COMMAND, reads_neutral=False) == made
    assert version(small.CATALOGUE, COMMAND, reads_neutral=False) != made
    assert version(FEW, COMMAND, reads_neutral=True) != made
    assert version(FEW, ["another-python", *COMMAND[1:]], reads_neutral=False) != made
