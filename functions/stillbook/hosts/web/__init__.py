"""Excel in the browser, on Mac and on Windows: an add-in of custom functions and a side panel, and the panel as a page.

The folder holds what the calculation service serves under ``/panel/``:

================  =====================================================================================================
``index.html``    the panel as a plain page in a browser; it asks nothing of any other site
``functions.js``  the custom functions: each call is queued and sent to the service with others
``parts/``        the modules both are made of
``guide.md``      what a user does to install the add-in, and a checklist for a first run; not served
================  =====================================================================================================

The rest of what is served is generated from the catalogue by :mod:`stillbook.hosts.web.generated`. A formula that is
added to the catalogue needs no edit here.
"""
