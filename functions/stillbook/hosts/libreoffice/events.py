"""At which of LibreOffice's events a job of an extension runs, as the configuration file that tells it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

EVENTS: Final = (
    "OnStartApp",
    "OnCloseApp",
    "OnCreate",
    "OnLoadFinished",
    "OnSave",
    "OnSaveAs",
    "OnSaveTo",
    "OnCopyTo",
)
"""Each is waited for by LibreOffice: a file is opened after the start, and written after a job that comes before it."""


def jobs(name: str, service: str, events: Sequence[str]) -> bytes:
    """The configuration file that has a service run at events.

    Args:
        name: Of the job, in the configuration.
        service: The UNO service.
        events: LibreOffice's names of them.
    """
    named = f'<node oor:name="{name}" oor:op="replace"'
    bound = "".join(
        f'<node oor:name="{event}" oor:op="fuse"><node oor:name="JobList">{named}/></node></node>\n' for event in events
    )
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        '<oor:component-data xmlns:oor="http://openoffice.org/2001/registry" '
        'xmlns:xs="http://www.w3.org/2001/XMLSchema" oor:name="Jobs" oor:package="org.openoffice.Office">\n'
        f'<node oor:name="Jobs">{named}><prop oor:name="Service"><value>{service}</value></prop></node></node>\n'
        f'<node oor:name="Events">\n{bound}</node>\n</oor:component-data>\n'
    ).encode()
