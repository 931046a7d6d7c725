"""What LibreOffice shows of the formulas: names, category, descriptions and argument help of its function wizard."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final
from xml.sax.saxutils import escape, quoteattr

from stillbook.hosts.libreoffice.signatures import SERVICE, Argument, Method
from stillbook.hosts.showing import description

CATEGORY: Final = "Add-In"
"""The category of the wizard that is meant for formulas which LibreOffice does not bring itself."""

_NEW: Final = ' oor:op="replace"'


def configuration(methods: Sequence[Method]) -> str:
    """The configuration file that makes Calc know the formulas, with all that its function wizard shows.

    Every formula and every argument needs an entry: Calc does not know a formula without one.
    """
    functions = _node("AddInFunctions", *map(_function, methods))
    content = _node("AddInInfo", _node(SERVICE, functions, mark=_NEW))
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        '<oor:component-data xmlns:oor="http://openoffice.org/2001/registry" '
        'xmlns:xs="http://www.w3.org/2001/XMLSchema" oor:name="CalcAddIns" oor:package="org.openoffice.Office">\n'
        f"{content}</oor:component-data>\n"
    )


def _function(method: Method) -> str:
    return _node(
        method.name,
        _shown("DisplayName", method.formula.workbook_name),
        _shown("Description", description(method.formula)),
        f'<prop oor:name="Category"><value>{CATEGORY}</value></prop>\n',
        # The name that current versions read and write in .xlsx files.
        _shown("CompatibilityName", method.formula.workbook_name),
        _node("Parameters", *map(_argument, method.arguments)),
        mark=_NEW,
    )


def _argument(argument: Argument) -> str:
    return _node(
        argument.name,
        _shown("DisplayName", argument.parameter.words),
        _shown("Description", argument.parameter.help_for_both),
        mark=_NEW,
    )


def _node(name: str, *content: str, mark: str = "") -> str:
    return f"<node oor:name={quoteattr(name)}{mark}>\n{''.join(content)}</node>\n"


def _shown(name: str, text: str) -> str:
    """A text for readers. Where the user's language has none LibreOffice takes the American English one."""
    return f'<prop oor:name="{name}"><value xml:lang="en-US">{escape(text)}</value></prop>\n'
