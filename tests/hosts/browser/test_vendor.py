"""The add-in through the vendor's own tools: npm packages that read manifests, metadata and the types of the API.

They are installed in a folder of their own for the time of the tests; nothing of them is part of the project.
"""

from __future__ import annotations

import json
import shutil
import subprocess
from collections.abc import Sequence
from importlib.resources import as_file, files
from pathlib import Path
from typing import Any

import pytest

from hosts.required import missing
from stillbook.catalogue import formulas
from stillbook.hosts.browser.generated import GENERATED
from stillbook.hosts.browser.metadata import metadata

pytestmark = pytest.mark.host

PACKAGES = [
    "office-addin-manifest@3",
    "custom-functions-metadata@2",
    "typescript@5",
    "@types/office-js@1",
    "@types/custom-functions-runtime@1",
]
ORIGIN = "https://localhost:8347"


@pytest.fixture(scope="module")
def tools(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the packages."""
    if shutil.which("npm") is None:
        missing("npm is not installed: it fetches the vendor's tools")
    folder = tmp_path_factory.mktemp("tools")
    (folder / "package.json").write_text('{"private": true}')
    done = run(folder, ["npm", "install", "--no-audit", "--no-fund", "--ignore-scripts", *PACKAGES])
    if done.returncode:
        missing(f"npm cannot install the vendor's tools: {done.stderr[-500:]}")
    return folder


def run(folder: Path, command: Sequence[str]) -> subprocess.CompletedProcess[str]:
    return subprocess.run(command, cwd=folder, capture_output=True, text=True, timeout=300, check=False)


def test_the_manifest_is_read(tools: Path) -> None:
    (tools / "manifest.xml").write_text(GENERATED["manifest.xml"].make(ORIGIN), "utf-8")
    done = run(tools, ["node", "node_modules/office-addin-manifest/cli.js", "info", "manifest.xml"])
    assert done.returncode == 0, done.stderr
    for fact in (
        "Name: Stillbook",
        "Type: TaskPaneApp",
        "Hosts: Workbook",
        f"Source Location: {ORIGIN}/panel/taskpane.html",
    ):
        assert fact in done.stdout, done.stdout


def described(function: dict[str, Any]) -> str:
    """A function as a person would write it for the vendor's generator of metadata."""
    lines = [
        function["description"],
        f"@customfunction {function['id']} {function['name']}",
        f"@helpurl {function['helpUrl']}",
    ]
    for each in function["parameters"]:
        name = f"[{each['name']}]" if each.get("optional") else each["name"]
        lines.append(f"@param {{{'any[][][]' if each.get('repeating') else 'any[][]'}}} {name} {each['description']}")
    lines += [
        "@param {CustomFunctions.Invocation} invocation Which cell asks.",
        "@requiresAddress",
        "@requiresParameterAddresses",
        "@returns {any[][]}",
    ]
    names = [*(each["name"] for each in function["parameters"]), "invocation"]
    comment = "\n".join(f" * {line}" for line in lines)
    return f"/**\n{comment}\n */\nfunction {function['id']}({', '.join(names)}) {{}}\n"


def test_the_metadata_is_what_the_vendors_generator_writes(tools: Path) -> None:
    ours = metadata(formulas(), f"{ORIGIN}/panel/")["functions"]
    (tools / "written.js").write_text("\n".join(map(described, ours)), "utf-8")
    done = run(
        tools, ["node", "node_modules/custom-functions-metadata/cli.js", "generate", "written.js", "written.json"]
    )
    assert done.returncode == 0, done.stdout + done.stderr
    theirs = json.loads((tools / "written.json").read_text("utf-8"))["functions"]
    for own, written in zip(ours, theirs, strict=True):
        # The generator leaves out the type of a result that is any.
        assert own | {"result": {"dimensionality": "matrix"}} == written


def test_the_scripts_use_the_api_as_its_types_say(tools: Path) -> None:
    with as_file(files("stillbook").joinpath("hosts/browser")) as web:
        shutil.copytree(web, tools / "web", ignore=shutil.ignore_patterns("*.py", "__pycache__"))
    (tools / "web/facts.js").write_text(GENERATED["facts.js"].make(ORIGIN))
    settings = {
        "compilerOptions": {
            "allowJs": True,
            "checkJs": True,
            "noEmit": True,
            "strict": False,
            "target": "es2023",
            "module": "es2022",
            "moduleResolution": "bundler",
            "lib": ["es2023", "dom", "dom.iterable"],
            "types": ["office-js", "custom-functions-runtime"],
        },
        "include": ["web/**/*.js"],
    }
    (tools / "tsconfig.json").write_text(json.dumps(settings))
    done = run(tools, ["node", "node_modules/typescript/bin/tsc", "-p", "."])
    assert done.returncode == 0, done.stdout
