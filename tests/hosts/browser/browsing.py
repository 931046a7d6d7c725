"""What a person does in a browser, and what Excel does with the add-in."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Self
from urllib.parse import urlsplit

from service.asking import Running
from stillbook.hosts.browser.generated import OFFICE_SCRIPT

STAND_IN = Path(__file__).with_name("excel.js").read_text("utf-8")


class Desk:
    """A page of the panel in a browser, with what it asked of the network and what it complained about."""

    start = ""

    def __init__(self, page: Any, service: Running) -> None:
        self.page = page
        self.service = service
        self.requests: list[str] = []
        self.complaints: list[str] = []
        page.set_default_timeout(15_000)
        page.on("request", lambda request: self.requests.append(request.url))
        page.on("pageerror", lambda error: self.complaints.append(str(error)))
        page.on("console", self._hear)

    def _hear(self, message: Any) -> None:
        if message.type in ("error", "warning"):
            self.complaints.append(message.text)

    @classmethod
    @contextmanager
    def at(cls, browser: Any, service: Running, **options: Any) -> Iterator[Self]:
        """A browser of its own: storage, size and preferences are not shared with others."""
        context = browser.new_context(**{"viewport": {"width": 1100, "height": 800}, **options})
        try:
            desk = cls(context.new_page(), service)
            desk.keep_in()
            desk.arrive()
            yield desk
        finally:
            context.close()

    def keep_in(self) -> None:
        """Let nothing be asked of other sites."""
        address = self.service.service.address
        self.page.context.route(lambda url: not url.startswith(address), lambda route: route.abort())

    def come_anew(self) -> None:
        """Be another person's browser: nothing stored, allowed, asked or complained about."""
        page, context = self.page, self.page.context
        page.evaluate("sessionStorage.clear()")
        page.goto("about:blank")
        page.unroute_all()
        context.unroute_all()
        context.clear_permissions()
        context.clear_cookies()
        asked = {"origin": self.service.service.address, "storageTypes": "all"}
        context.new_cdp_session(page).send("Storage.clearDataForOrigin", asked)
        self.keep_in()
        self.requests.clear()
        self.complaints.clear()
        self.arrive()

    def arrive(self) -> None:
        """Open the link that the service prints."""
        self.page.goto(self.service.service.link)
        self.page.get_by_role("heading", name="Formulas", level=1).wait_for()
        self.page.get_by_text("What do you want to work out?").wait_for()

    def open(self, part: str) -> Any:
        """Go to a part by its address, as a bookmark would."""
        self.page.goto(f"{self.service.service.address}/panel/{self.start}#/{part}")
        return self.page

    def formula(self, name: str) -> Any:
        """Go to a formula."""
        self.open(f"formulas/{name}")
        self.page.get_by_role("heading", name=f"STILL_{name}", exact=True).wait_for()
        return self.page

    def type(self, **values: str) -> None:
        """Type values in fields by the words of their arguments."""
        for words, value in values.items():
            label = re.compile(rf"^{words.replace('_', ' ').capitalize()}( \(optional\))?$")
            field = self.page.locator(".fields").get_by_label(label)
            if field.evaluate("field => field.tagName") == "SELECT":
                field.select_option(value)
            else:
                field.fill(value)

    def go(self, part: str) -> None:
        """Follow a link of the navigation."""
        self.page.get_by_role("navigation").get_by_role("link", name=part).click()

    def use_units(self, system: str) -> None:
        """Choose a unit system."""
        self.page.get_by_role("radio", name=system).check()

    def answer(self, text: str) -> None:
        """Wait until the answer reads like this."""
        self.page.locator(".answer .result").get_by_text(text).first.wait_for()

    def sites(self) -> set[str]:
        """Origins of everything that was asked for."""
        return {f"{parts.scheme}://{parts.netloc}" for parts in map(urlsplit, self.requests) if parts.scheme != "data"}

    def posts(self) -> int:
        """How many requests went to the calls of the service."""
        return sum(urlsplit(url).path == "/calls" for url in self.requests)


class Sheet(Desk):
    """The task pane with Excel stood in for."""

    start = "taskpane.html"

    def arrive(self) -> None:
        self.page.context.route(
            OFFICE_SCRIPT, lambda route: route.fulfill(body=STAND_IN, content_type="text/javascript")
        )
        self.page.goto(f"{self.service.service.address}/panel/{self.start}")
        self.connect()

    def connect(self) -> None:
        """Paste the link that the service prints."""
        self.page.get_by_label("The link that stillbook serve prints, or its token").fill(self.service.service.link)
        self.page.get_by_role("button", name="Connect").click()
        self.page.get_by_text("What do you want to work out?").wait_for()
        self.requests.clear()

    def call(self, name: str, *arguments: Any, cell: str = "Sheet1!A1", given: list[str | None] | None = None) -> Any:
        """What a cell shows that calls a formula: rows of values, or an error as ``{"code", "message"}``."""
        return self.calls([(name, arguments)], cell=cell, given=given)[0]

    def calls(
        self, calls: list[tuple[str, Any]], cell: str = "Sheet1!A1", given: list[str | None] | None = None
    ) -> list[Any]:
        """The same for many cells that Excel calculates at once."""
        asked = [
            {"name": name, "arguments": list(arguments), "cell": cell, "given": given} for name, arguments in calls
        ]
        return list(self.page.evaluate("calls => excel.calculate(calls)", asked))
