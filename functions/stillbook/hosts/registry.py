"""The hosts there are."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from stillbook.hosts.browser import Browser
from stillbook.hosts.excel import Excel
from stillbook.hosts.host import Host
from stillbook.hosts.libreoffice import LibreOffice

HOSTS: Final[Mapping[str, Host]] = {host.name: host for host in (Excel(), LibreOffice(), Browser())}
"""Every host by its name, in the order in which they are offered. A new one is a folder, and stands here."""
