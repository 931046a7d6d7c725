"""Excel in the browser, on Mac and on Windows: an add-in of custom functions and a side panel, and the panel as a page.

The folder holds what the calculation service serves under ``/panel/``:

================  =====================================================================================================
``index.html``    the panel as a plain page in a browser; it asks nothing of any other site
``functions.js``  the custom functions: each call is queued and sent to the service with others
``parts/``        the modules both are made of
``guide.md``      what a user does to install the add-in, and a checklist for a first run; not served
================  =====================================================================================================

The rest of what is served is generated from the catalogue by ``generated.py``. A formula that is added to the catalogue
needs no edit here.
"""

from __future__ import annotations

from stillbook.hosts.host import Host, Steps
from stillbook.workbook.calculation.spelling import Spelling


class Browser(Host):
    """Excel in the browser, on Mac, and on Windows where it loads add-ins of the web."""

    name = "browser"
    title = "Excel in the browser"
    help = "Excel in the browser or on Mac, from a service with https"
    spelling = Spelling.WEB
    reads = "Other spellings show #NAME? until the panel's Set-up enters the formulas again."

    def steps(self) -> Steps:
        from stillbook.hosts.browser import connection

        return connection
