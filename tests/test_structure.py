"""The shape of the house: imports run only downward, between packages as between files."""

import ast
from functools import cache
from itertools import combinations
from pathlib import Path

import pytest

import stillbook

PACKAGE = Path(stillbook.__file__).parent

HOUSE = """
    cli
    doctor answering manual
    service
    hosts
    office
    share
    templates
    workbook functions
    calling
    catalogue cautions
    trade
    formula
    readers results
    cells
    quantities
    units
    tables
"""
"""The floors from the top down. What stands on one floor does not import its neighbours."""


def folders(package: str) -> str:
    """The folders of a package that share a floor: each host is one, each template, and a new one belongs there too."""
    return " ".join(sorted(path.parent.name for path in PACKAGE.glob(f"{package}/*/__init__.py")))


STOREYS = {
    "": HOUSE,
    "formula": """
        declare
        call
        describe
    """,
    "workbook": """
        job
        calculation
        file
    """,
    "manual": """
        folder
        formulas templates guides search
        page
    """,
    "hosts": f"""
        registry
        {folders("hosts")}
        host showing
        conversion discovery
    """,
    "templates": f"""
        build custom
        {folders("templates").replace(" parts", "")}
        parts saving demo
        charts
        page marks faults shipped
        calls look validation paper heights
    """,
    "templates.parts": """
        quiet_room
        inputs
        input_sheet job_inputs scope states job_checks
        letter said unit_costs priced_lines octaves room_drawing wall_drawing front
        bands
        walls table check_sheet
        closed schedule drawing examples order words
    """,
    "trade": """
        quiet_path room doors
        ducts services isolation
        air mass pricing
        physics
    """,
}
"""The floors of the house, and of the packages in it that have floors of their own."""

MODULES = sorted(path.relative_to(PACKAGE) for path in PACKAGE.rglob("*.py"))


def dotted(path: Path) -> str:
    return ".".join(("stillbook", *path.with_suffix("").parts)).removesuffix(".__init__")


NAMES = {dotted(path) for path in MODULES}


def arrows(path: Path) -> set[str]:
    """The modules of ours that a file imports anywhere in it, inside functions and for types alone too."""
    found: set[str] = set()
    for node in ast.walk(ast.parse((PACKAGE / path).read_text("utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
            parts = {f"{node.module}.{alias.name}" for alias in node.names} & NAMES
            found |= parts or {node.module}
    return found & NAMES - {dotted(path)}


@cache
def every_arrow() -> list[tuple[str, str]]:
    """The imports between modules of ours, as source and target."""
    return sorted((dotted(path), target) for path in MODULES for target in arrows(path))


def floors(text: str) -> dict[str, int]:
    lines = [line.split() for line in text.split("\n") if line.strip()]
    return {name: len(lines) - number for number, names in enumerate(lines) for name in names}


def rooms(package: str, module: str) -> str:
    """The room of a package that a module stands in; empty outside it and for the package's own face."""
    home = f"stillbook.{package}".rstrip(".") + "."
    return module.removeprefix(home).split(".")[0] if module.startswith(home) else ""


@pytest.mark.parametrize("package", STOREYS)
def test_every_room_has_its_floor(package):
    folder = PACKAGE.joinpath(*package.split("."))
    there = {path.stem for path in folder.glob("*.py")} | {path.parent.name for path in folder.glob("*/__init__.py")}
    assert there - {"__init__"} == set(floors(STOREYS[package]))


@pytest.mark.parametrize("package", STOREYS)
def test_imports_run_downward(package):
    level = floors(STOREYS[package])
    upward = [
        f"{source} imports {target}"
        for source, target in every_arrow()
        if (own := rooms(package, source)) and (other := rooms(package, target)) and own != other
        if level[other] >= level[own]
    ]
    assert not upward


def test_no_module_imports_itself_through_others():
    below: dict[str, set[str]] = {}
    for source, target in every_arrow():
        below.setdefault(source, set()).add(target)

    def reached(start: str) -> set[str]:
        found, ahead = set(), [start]
        while ahead:
            for target in below.get(ahead.pop(), ()):
                if target not in found:
                    found.add(target)
                    ahead.append(target)
        return found

    reach = {source: reached(source) for source in below}
    circles = [
        f"{one} and {other}"
        for one, other in combinations(sorted(reach), 2)
        if other in reach[one] and one in reach[other]
    ]
    assert not circles


@pytest.mark.parametrize(("library", "home"), [("formualizer", "workbook/calculation/engine.py"), ("pint", "units.py")])
def test_a_library_that_may_move_is_known_in_one_place(library, home):
    def uses(path: Path) -> bool:
        nodes = list(ast.walk(ast.parse((PACKAGE / path).read_text("utf-8"))))
        plain = {alias.name for node in nodes if isinstance(node, ast.Import) for alias in node.names}
        froms = {node.module or "" for node in nodes if isinstance(node, ast.ImportFrom)}
        return library in {name.split(".")[0] for name in plain | froms}

    assert {path.as_posix() for path in MODULES if uses(path)} == {home}


def test_a_host_is_known_by_its_contract_and_by_what_it_alone_can_do():
    from stillbook.hosts.registry import HOSTS

    faces = {f"stillbook.hosts.{name}" for name in HOSTS}
    known = {
        (source, target)
        for source, target in every_arrow()
        for face in faces
        if f"{target}.".startswith(f"{face}.") and not f"{source}.".startswith(f"{face}.")
    }
    assert known == {
        *(("stillbook.hosts.registry", face) for face in faces),
        ("stillbook.cli.printing", "stillbook.hosts.libreoffice.printing"),
        ("stillbook.service.app", "stillbook.hosts.browser.generated"),
    }


def test_a_formula_stands_in_the_folder_of_its_family():
    from stillbook.catalogue import formulas

    homes = {
        "Mass": "mass",
        "Isolation": "isolation",
        "Doors": "doors",
        "Air": "air",
        "Ducts": "ducts",
        "Quiet air path": "quiet_path",
        "Services": "services",
        "Inside the room": "room",
        "Taking off and pricing": "pricing",
    }
    astray = [
        entry.name
        for entry in formulas().values()
        if entry.family in homes and entry.function.__module__.split(".")[2] != homes[entry.family]
    ]
    assert not astray


def test_no_module_is_a_drawer_of_odds_and_ends():
    assert not [path for path in MODULES if path.stem in {"utils", "helpers", "misc", "common"}]


def test_no_sum_is_left_to_the_processor():
    """A matrix product adds in the order that suits the processor, and so ends in another digit on another machine."""
    products = [
        f"{path}:{node.lineno}"
        for path in MODULES
        for node in ast.walk(ast.parse((PACKAGE / path).read_text("utf-8")))
        if isinstance(node, ast.BinOp) and isinstance(node.op, ast.MatMult)
    ]
    assert not products
