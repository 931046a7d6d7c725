"""The LibreOffice extension, ``stillbook.oxt``: made from the catalogue, for the Python that is to calculate."""

from __future__ import annotations

import io
import json
import zipfile
import zlib
from collections.abc import Mapping, Sequence
from importlib.resources import files
from pathlib import Path
from typing import Final
from xml.sax.saxutils import escape, quoteattr

from stillbook import __version__
from stillbook.formula import Formula
from stillbook.hosts.libreoffice.basic import module
from stillbook.hosts.libreoffice.events import EVENTS, jobs
from stillbook.hosts.libreoffice.signatures import CALLS, IMPLEMENTATION, INTERFACE, JOB, SERVICE, Method, methods
from stillbook.hosts.libreoffice.typelibrary import type_library
from stillbook.hosts.libreoffice.wizard import configuration

IDENTIFIER: Final = "stillbook.calc"
FILE_NAME: Final = "stillbook.oxt"

_COMPONENT: Final = "component.py"
_COMPONENTS: Final = "stillbook.components"
_MEDIA: Final = {
    ".rdb": "application/vnd.sun.star.uno-typelibrary;type=RDB",
    ".components": "application/vnd.sun.star.uno-components",
    ".xcu": "application/vnd.sun.star.configuration-data",
}
"""The kinds of the files that LibreOffice is told of, by the end of their names."""

_MODULES: Final = (
    "__init__.py",
    "basic_module.py",
    "client.py",
    "companion.py",
    "documents.py",
    "infobar.py",
    "respelling.py",
    "values.py",
)
_STAMP: Final = (2000, 1, 1, 0, 0, 0)
"""The date of every file inside, so that the same catalogue always gives the same bytes."""


def extension(catalogue: Mapping[str, Formula], command: Sequence[str], *, reads_neutral: bool) -> tuple[bytes, str]:
    """The bytes of the extension, and its version.

    Args:
        catalogue: The formulas.
        command: Starts the process that calculates, which runs until its standard input closes.
        reads_neutral: Whether this LibreOffice takes ``STILL_DOORMASS`` of a file for a formula of an extension; where
            it does not the extension brings functions of Basic that bear such names.
    """
    content = _parts(methods(catalogue), command, reads_neutral)
    version = _version(content)
    content["description.xml"] = _description(IDENTIFIER, version)
    return _packed(content), version


def installer() -> bytes:
    """An extension that installs another for the user, for one start of LibreOffice from which it does that."""
    here = files("stillbook") / "hosts" / "libreoffice"
    modules = {"__init__.py": "installer", "basic_module.py": "stillbook_calc"}
    name = "stillbook.installer.Job"
    return _packed(
        {
            "META-INF/manifest.xml": _manifest("Jobs.xcu", _COMPONENTS),
            "Jobs.xcu": jobs("stillbook.installer", name, ("OnStartApp",)),
            _COMPONENTS: _components({name: name}),
            _COMPONENT: (here / "installer" / _COMPONENT).read_bytes(),
            **{f"pythonpath/stillbook_installer/{k}": (here / v / k).read_bytes() for k, v in modules.items()},
            "description.xml": _description("stillbook.installer", __version__),
        }
    )


def _packed(content: Mapping[str, bytes]) -> bytes:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        for name, text in content.items():
            archive.writestr(zipfile.ZipInfo(name, _STAMP), text, zipfile.ZIP_DEFLATED)
    return packed.getvalue()


def version(catalogue: Mapping[str, Formula], command: Sequence[str], *, reads_neutral: bool) -> str:
    """The version of the extension: that of Stillbook, and a number that changes with anything inside."""
    return _version(_parts(methods(catalogue), command, reads_neutral))


def _version(content: Mapping[str, bytes]) -> str:
    mark = 0
    for name, text in content.items():
        mark = zlib.crc32(name.encode() + b"\0" + text, mark)
    return f"{__version__}.{mark}"


def _parts(found: Sequence[Method], command: Sequence[str], reads_neutral: bool) -> dict[str, bytes]:
    """The files inside, but for the one that tells the version."""
    package = files("stillbook")
    inside = package / "hosts" / "libreoffice" / "stillbook_calc"
    # It knows the folder for this user's notes.
    discovery = package / "hosts" / "discovery.py"
    return {
        "META-INF/manifest.xml": _manifest("formulas.rdb", _COMPONENTS, "CalcAddIns.xcu", "Jobs.xcu"),
        "CalcAddIns.xcu": configuration(found, reads_neutral=reads_neutral).encode(),
        "Jobs.xcu": jobs(IDENTIFIER, JOB, EVENTS),
        "Stillbook.bas": module(found).encode(),
        "formulas.rdb": type_library(INTERFACE, found),
        _COMPONENTS: _components({IMPLEMENTATION: SERVICE, CALLS: CALLS, JOB: JOB}),
        "settings.json": _settings(found, command, reads_neutral),
        _COMPONENT: (inside / _COMPONENT).read_bytes(),
        "pythonpath/stillbook_calc/discovery.py": discovery.read_bytes(),
        **{f"pythonpath/stillbook_calc/{name}": (inside / name).read_bytes() for name in _MODULES},
    }


def _settings(found: Sequence[Method], command: Sequence[str], reads_neutral: bool) -> bytes:
    """What the component needs to know: its names in UNO, its methods, and how to start what calculates."""
    settings = {
        "interface": INTERFACE,
        "implementation": IMPLEMENTATION,
        "service": SERVICE,
        "calls": CALLS,
        "job": JOB,
        "basic": not reads_neutral,
        "command": list(command),
        "methods": {
            method.name: [method.formula.name, method.repeats, method.formula.result.is_text] for method in found
        },
    }
    return json.dumps(settings, indent=1).encode()


def _manifest(*names: str) -> bytes:
    entries = "".join(
        f'<manifest:file-entry manifest:full-path="{name}" manifest:media-type="{_MEDIA[Path(name).suffix]}"/>\n'
        for name in names
    )
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        '<manifest:manifest xmlns:manifest="http://openoffice.org/2001/manifest">\n'
        f"{entries}</manifest:manifest>\n"
    ).encode()


def _components(made: Mapping[str, str]) -> bytes:
    """Says which file has the component, so that LibreOffice need not run it to know."""
    listed = "".join(f'<implementation name="{k}"><service name="{v}"/></implementation>\n' for k, v in made.items())
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        '<components xmlns="http://openoffice.org/2010/uno-components">\n'
        f'<component loader="com.sun.star.loader.Python" uri="{_COMPONENT}">\n'
        f"{listed}"
        "</component>\n</components>\n"
    ).encode()


def _description(identifier: str, version: str) -> bytes:
    name = "Stillbook: formulas for small, quiet rooms"
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        '<description xmlns="http://openoffice.org/extensions/description/2006">\n'
        f'<identifier value="{identifier}"/>\n<version value={quoteattr(version)}/>\n'
        f'<display-name><name lang="en">{escape(name)}</name></display-name>\n'
        "</description>\n"
    ).encode()
