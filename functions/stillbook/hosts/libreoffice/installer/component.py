"""Installs an extension for one user from inside LibreOffice: its own program refuses to do that for root."""

from __future__ import annotations

import os
import traceback
from pathlib import Path
from typing import Any

import uno  # type: ignore[import-not-found]
import unohelper  # type: ignore[import-not-found]
from com.sun.star.task import XInteractionHandler, XJob  # type: ignore[import-not-found]
from com.sun.star.ucb import XCommandEnvironment  # type: ignore[import-not-found]
from stillbook_installer.basic_module import take  # type: ignore[import-not-found]


class Installer(unohelper.Base, XJob):  # type: ignore[misc]
    """Run as LibreOffice starts; the environment says what is to be done, and where to write what went wrong."""

    def __init__(self, context: Any) -> None:
        self._context = context

    def execute(self, _: Any) -> None:
        """Install the file named in the environment, or remove the extension where none is named."""
        wrong = ""
        try:
            manager = self._context.getByName("/singletons/com.sun.star.deployment.ExtensionManager")
            file, identifier = os.environ["STILLBOOK_INSTALLS"], os.environ["STILLBOOK_EXTENSION"]
            if file:
                manager.addExtension(Path(file).as_uri(), (), "user", None, Environment())
            else:
                manager.removeExtension(identifier, "stillbook.oxt", "user", None, Environment())
                # This start has put it there, and what would take it away at the end is removed now.
                libraries = "com.sun.star.script.ApplicationScriptLibraryContainer"
                take(self._context.ServiceManager.createInstanceWithContext(libraries, self._context))
        except Exception:
            wrong = traceback.format_exc()
        Path(os.environ["STILLBOOK_INSTALLED"]).write_text(wrong, encoding="utf-8")


class Environment(unohelper.Base, XCommandEnvironment, XInteractionHandler):  # type: ignore[misc]
    """Answers what LibreOffice would ask a person: yes, put the new in place of the old."""

    def getInteractionHandler(self) -> Any:  # noqa: N802
        """This, too."""
        return self

    def getProgressHandler(self) -> None:  # noqa: N802
        """None is shown."""

    def handle(self, request: Any) -> None:
        """Approve."""
        approve = uno.getTypeByName("com.sun.star.task.XInteractionApprove")
        for answer in request.getContinuations():
            if answer.queryInterface(approve) is not None:
                answer.select()
                return


g_ImplementationHelper = unohelper.ImplementationHelper()  # noqa: N816
g_ImplementationHelper.addImplementation(Installer, "stillbook.installer.Job", ("stillbook.installer.Job",))
