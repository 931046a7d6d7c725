"""At which of LibreOffice's events the extension's job runs, as the configuration file that tells it."""

from __future__ import annotations

from typing import Final

from stillbook.hosts.libreoffice.signatures import JOB

EVENTS: Final = (
    "OnStartApp",
    "OnCloseApp",
    "OnNew",
    "OnLoadFinished",
    "OnSave",
    "OnSaveAs",
    "OnSaveTo",
    "OnCopyTo",
)
"""Each is waited for by LibreOffice: a file is opened after the start, and written after a job that comes before it."""


def events() -> bytes:
    """The configuration file."""
    named = '<node oor:name="stillbook.calc" oor:op="replace"'
    bound = "".join(
        f'<node oor:name="{event}" oor:op="fuse"><node oor:name="JobList">{named}/></node></node>\n' for event in EVENTS
    )
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        '<oor:component-data xmlns:oor="http://openoffice.org/2001/registry" '
        'xmlns:xs="http://www.w3.org/2001/XMLSchema" oor:name="Jobs" oor:package="org.openoffice.Office">\n'
        f'<node oor:name="Jobs">{named}><prop oor:name="Service"><value>{JOB}</value></prop></node></node>\n'
        f'<node oor:name="Events">\n{bound}</node>\n</oor:component-data>\n'
    ).encode()
