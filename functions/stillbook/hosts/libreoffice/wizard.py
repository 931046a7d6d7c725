"""What LibreOffice shows of the formulas: names, category, descriptions and argument help of its function wizard."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final
from xml.sax.saxutils import escape, quoteattr

from stillbook.hosts.libreoffice.signatures import SERVICE, Argument, Method
from stillbook.hosts.showing import NAMESPACE, description

CATEGORY: Final = "Add-In"
"""The category of the wizard that is meant for formulas which LibreOffice does not bring itself."""

_NEW: Final = ' oor:op="replace"'


def configuration(methods: Sequence[Method], *, reads_neutral: bool) -> str:
    """The configuration file that makes Calc know the formulas, with all that its function wizard shows.

    Every formula and every argument needs an entry: Calc does not know a formula without one.

    Args:
        methods: The formulas.
        reads_neutral: Whether this LibreOffice takes ``STILL_DOORMASS`` of a file for the formula. Where it does not
            that name is a function of Basic, in a file and typed, so the formula must not bear it too.
    """
    functions = _node("AddInFunctions", *(_function(method, reads_neutral) for method in methods))
    content = _node("AddInInfo", _node(SERVICE, functions, mark=_NEW))
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        '<oor:component-data xmlns:oor="http://openoffice.org/2001/registry" '
        'xmlns:xs="http://www.w3.org/2001/XMLSchema" oor:name="CalcAddIns" oor:package="org.openoffice.Office">\n'
        f"{content}</oor:component-data>\n"
    )


def _function(method: Method, reads_neutral: bool) -> str:
    neutral = method.formula.workbook_name
    return _node(
        method.name,
        _shown("DisplayName", neutral if reads_neutral else f"{NAMESPACE}.{method.formula.name}"),
        _shown("Description", description(method.formula)),
        f'<prop oor:name="Category"><value>{CATEGORY}</value></prop>\n',
        _shown("CompatibilityName", neutral) if reads_neutral else "",
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
