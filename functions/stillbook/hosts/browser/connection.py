"""Connect Excel in the browser and on Mac: the manifest of the running service, and what to click."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from stillbook import __version__
from stillbook.hosts import discovery
from stillbook.hosts.browser.manifest import IDENTITY, NEEDS_HTTPS, manifest
from stillbook.hosts.host import HostError, Standing, State
from stillbook.workbook.file.saving import save

FILE: Final = Path("stillbook-manifest.xml")

_START: Final = (
    "start it with a certificate that this computer trusts, as in "
    '"stillbook serve --host localhost --certificate FILE --key FILE"'
)

_MAC: Final = "Library/Containers/com.microsoft.Excel/Data/Documents/wef in your home folder"


def connect() -> list[str]:
    """Write the manifest of the running service into this folder; lines that say what to click.

    Raises:
        HostError: If no service runs, it does not answer over https, or the file is another's.
    """
    running = discovery.running()
    if running is None:
        raise HostError(f"the calculation service is not running: {_START}, and connect in another window")
    text = manifest(running.entrance)
    if FILE.exists() and IDENTITY not in FILE.read_text("utf-8", errors="replace"):
        raise HostError(f"{FILE} is here already and is another's: connect in another folder")
    save(FILE, text.encode())
    return [
        f"Excel finds the service at {running.entrance} by this file, written now:",
        str(FILE.absolute()),
        "In the browser: Home > Add-ins > More add-ins > My add-ins > Upload my add-in, and give that file.",
        f"On Mac: put the file in {_MAC}, start Excel again, and choose it at Home > Add-ins.",
        "On Windows: put it in a shared folder, name the folder at File > Options > Trust Center > Trusted Add-in "
        "Catalogs, tick Show in menu, start Excel again, and choose it at Home > Add-ins > Shared folder.",
        "Then open the Stillbook panel on the Home tab, and paste this link there:",
        running.link,
        "The service must run while you work, at the same address each time.",
        "No copy of Excel was at hand in our tests: the menus may be named otherwise in yours.",
    ]


def disconnect() -> list[str]:
    """Lines that say how to take the add-in out of Excel, which alone knows of it."""
    return [
        "In the browser: clear what it has stored for Excel's site (cookies and site data).",
        f"On Mac: delete {FILE} from {_MAC}, and start Excel again.",
        "On Windows: delete it from the shared folder, tick Next time Office starts, clear all previously-started web "
        "add-ins cache at File > Options > Trust Center > Trusted Add-in Catalogs, and start Excel again.",
        "Workbooks keep their formulas and the numbers last calculated; Excel shows #NAME? where it calculates again.",
    ]


def state() -> State:
    """Whether Excel could use the add-in: that it has loaded it, Excel alone knows."""
    running = discovery.running()
    if running is None:
        return State(Standing.ABSENT, "the calculation service is not running", _START)
    if not running.entrance.startswith("https://"):
        return State(Standing.ABSENT, f"{NEEDS_HTTPS}, and the service answers at {running.entrance}", _START)
    if running.version != __version__:
        detail = f"the service at {running.address} is of version {running.version}"
        return State(Standing.OUTDATED, detail, "stop it and start it again")
    return State(
        Standing.GOOD,
        f"the service answers at {running.entrance}; Excel itself shows whether it has the add-in",
    )
