"""What is installed with Stillbook: under which licences, and that what one system needs is asked of it alone."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
import tomllib
from importlib import metadata
from pathlib import Path

import pytest

import stillbook
from stillbook.templates.shipped import template

ROOT = Path(__file__).parent.parent
PACKAGE = Path(stillbook.__file__).parent
DECLARED = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]["dependencies"]


def name_of(requirement: str) -> str:
    match = re.match(r"[\w.-]+", requirement)
    assert match is not None
    return re.sub(r"[-_.]+", "-", match[0]).lower()


DIRECT = {name_of(requirement) for requirement in DECLARED}


def installed() -> set[str]:
    """Stillbook's dependencies and theirs, as far as they are installed."""
    found: set[str] = set()
    waiting = set(DIRECT)
    while waiting:
        name = waiting.pop()
        try:
            needs = metadata.requires(name) or ()
        except metadata.PackageNotFoundError:
            continue
        found.add(name)
        # A marker names a system or a version of Python on which alone it is needed, or an extra that nobody asked for.
        waiting |= {name_of(each) for each in needs if ";" not in each} - found
    return found


def table() -> dict[str, str]:
    rows = re.findall(
        r"^\| ([\w-]+) \| ([^|]+) \| [^|]+ \|$", (ROOT / "docs/licences.md").read_text("utf-8"), re.MULTILINE
    )
    return {name: licence for name, licence in rows if name != "Package"}


def licence_of(name: str) -> str:
    """The licence in the metadata's own words: an expression, or a line, or the classifier."""
    told = metadata.metadata(name)
    line = told.get("License") or ""
    short = line if line and len(line) < 30 else ""
    classifiers = [
        each.rpartition(" :: ")[2] for each in told.get_all("Classifier") or () if each.startswith("License")
    ]
    return told.get("License-Expression") or short or classifiers[0]


def test_every_package_is_in_the_table() -> None:
    assert installed() - set(table()) == set()
    assert DIRECT - set(table()) == set()


@pytest.mark.parametrize("name", sorted(table()))
def test_the_table_gives_the_licence_of_the_package_itself(name: str) -> None:
    try:
        assert table()[name] == licence_of(name)
    except metadata.PackageNotFoundError:
        assert name not in DIRECT, f"{name} is not installed"
        pytest.skip("not needed by the versions that are installed here")


BLOCKED = """
import sys
class Blocked:
    def find_spec(self, name, path=None, target=None):
        if name in {blocked!r}:
            raise ModuleNotFoundError(f"No module named {{name!r}}", name=name)
sys.meta_path.insert(0, Blocked())
from stillbook.cli import main
sys.argv = ["stillbook", *{arguments!r}]
main()
"""


@pytest.mark.parametrize("suffix", [".svg", ".dxf"])
def test_a_drawing_needs_no_more_than_is_installed_with_stillbook(suffix: str, tmp_path: Path) -> None:
    """Whoever installs it has none of what the tests bring."""
    here = installed() | {"stillbook"}
    blocked = {
        module
        for module, brought_by in metadata.packages_distributions().items()
        if not {name_of(each) for each in brought_by} & here
    }
    assert "hypothesis" in blocked
    drawing = tmp_path / f"plan{suffix}"
    arguments = ["draw", str(template("booth-estimate").path("US")), "--to", str(drawing)]
    program = BLOCKED.format(blocked=blocked, arguments=arguments)
    done = subprocess.run([sys.executable, "-c", program], check=False, capture_output=True, text=True)
    assert (done.returncode, done.stderr) == (0, "")
    assert drawing.stat().st_size > 10_000


def test_what_windows_alone_needs_is_asked_of_windows_alone() -> None:
    assert [each for each in DECLARED if ";" in each] == ["xlwings>=0.37,<0.38; sys_platform == 'win32'"]
    importing = {
        str(path.relative_to(PACKAGE).as_posix())
        for path in PACKAGE.rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if (isinstance(node, ast.Import) and any(alias.name.startswith("xlwings") for alias in node.names))
        or (isinstance(node, ast.ImportFrom) and (node.module or "").startswith("xlwings"))
    }
    assert importing == {"hosts/excel/functions.py"}, "Excel's own Python alone imports xlwings"
    imported = {
        name
        for path in PACKAGE.rglob("*.py")
        if path.name != "functions.py"
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.ImportFrom | ast.Import)
        for name in ([node.module or ""] if isinstance(node, ast.ImportFrom) else [alias.name for alias in node.names])
    }
    assert "stillbook.hosts.excel.functions" not in imported
