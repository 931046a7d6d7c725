"""The shape of the house: imports run only downward, and only one module knows the engine."""

import ast
from pathlib import Path

import pytest

import stillbook

PACKAGE = Path(stillbook.__file__).parent
ORDER = [
    {"quantities", "tables"},
    {"cells"},
    {"readers"},
    {"formula"},
    {"trade"},
    {"catalogue"},
    {"workbook", "templates", "hosts"},
    {"service"},
    {"doctor"},
    {"cli"},
]
LEVEL = {name: level for level, names in enumerate(ORDER) for name in names}
MODULES = sorted(path.relative_to(PACKAGE) for path in PACKAGE.rglob("*.py"))


def imported(path: Path) -> set[str]:
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            found |= {node.module, *(f"{node.module}.{alias.name}" for alias in node.names)}
    return found


def part(dotted: str) -> str:
    return dotted.split(".")[1] if "." in dotted else ""


@pytest.mark.parametrize("module", [str(path) for path in MODULES])
def test_imports_run_downward(module):
    own = module.split("/")[0].removesuffix(".py")
    if own == "__init__":
        return
    for name in imported(PACKAGE / module):
        if name.startswith("stillbook.") and part(name) in LEVEL and part(name) != own:
            assert LEVEL[part(name)] <= LEVEL[own], f"{module} imports {name}"


@pytest.mark.parametrize(("library", "home"), [("formualizer", "workbook/engine.py"), ("pint", "quantities.py")])
def test_a_library_that_may_move_is_known_in_one_place(library, home):
    users = {str(path) for path in MODULES if any(name.split(".")[0] == library for name in imported(PACKAGE / path))}
    assert users == {home}


def test_no_module_is_a_drawer_of_odds_and_ends():
    assert not [path for path in MODULES if path.stem in {"utils", "helpers", "misc", "common"}]
