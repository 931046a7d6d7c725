"""Each part of the panel against the rules of axe-core, in light and dark, narrow and wide."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import pytest

from hosts.browser.browsing import Desk, Sheet
from hosts.required import missing

pytestmark = pytest.mark.host

RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]

PARTS = [
    "formulas",
    "formulas/DOORTARGETMASS",
    "formulas/WALLTL",
    "formulas/DOORMAKEUP",
    "why",
    "materials",
    "cautions",
    "set-up",
]

BESIDE_A_SHEET = ["formulas/DOORTARGETMASS", "why", "set-up"]


def faults(page: Any) -> list[str]:
    """What axe-core finds, one line a fault."""
    try:
        from axe_playwright_python.sync_playwright import Axe
    except ImportError:
        missing("axe-playwright-python is not installed: it brings axe-core")
    # Every rule is run; what passes is not described place by place, which would take as long again.
    response = Axe().run(page, options={"runOnly": RULES, "resultTypes": ["violations"]}).response
    return [
        f"{rule['id']}: {node['target']} {node.get('failureSummary', '')}"
        for rule in response["violations"]
        for node in rule["nodes"]
    ]


@pytest.mark.parametrize(
    ("kind", "width", "scheme"),
    [(Desk, 320, "dark"), (Desk, 1200, "light"), (Desk, 1200, "dark"), (Sheet, 320, "light")],
)
def test_each_part_keeps_the_rules(browser: Any, service: Any, kind: type[Desk], width: int, scheme: str) -> None:
    with service.client() as client:
        client.post("/calls", json={"calls": [{"name": "HINGES", "arguments": [None, 80], "cell": "Doors!F4"}]})
    options = {"viewport": {"width": width, "height": 700}, "color_scheme": scheme}
    found = []
    with kind.at(browser, service, **options) as desk:
        for part in PARTS if kind is Desk else BESIDE_A_SHEET:
            page = desk.open(part)
            page.wait_for_load_state("networkidle")
            if part.startswith("formulas/"):
                page.get_by_role("button", name="Use these values").click()
                page.locator(".answer :is(data, table, .series)").first.wait_for()
            page.wait_for_timeout(150)
            found += [f"{part}: {fault}" for fault in faults(page)]
        page = desk.formula("SURFACEMASS")
        desk.type(leaf="88 lb")
        desk.answer("Error #VALUE!")
        found += [f"error: {fault}" for fault in faults(page)]
    assert found == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_asking_for_the_token_keeps_the_rules(browser: Any, service: Any, scheme: str) -> None:
    with Desk.at(browser, service, color_scheme=scheme) as desk:
        page = desk.open("set-up")
        page.get_by_role("button", name="Forget the token on this page").click()
        page.get_by_role("button", name="Connect").click()
        page.get_by_label("The link that stillbook serve prints, or its token").fill("nothing")
        page.get_by_role("button", name="Connect").click()
        page.get_by_text("This holds no token").wait_for()
        assert faults(page) == []


@pytest.mark.parametrize(("scheme", "dark"), [("light", False), ("dark", True)])
def test_the_page_follows_the_preferred_scheme(browser: Any, service: Any, scheme: str, dark: bool) -> None:
    with Desk.at(browser, service, color_scheme=scheme) as desk:
        ground = desk.page.evaluate("getComputedStyle(document.body).backgroundColor.match(/\\d+/g).map(Number)")
        assert (sum(ground) < 3 * 128) is dark


def test_headings_and_landmarks_are_in_order(desk: Desk) -> None:
    for part in PARTS:
        page = desk.open(part)
        page.wait_for_load_state("networkidle")
        page.wait_for_timeout(150)
        levels = page.evaluate(
            "[...document.querySelectorAll('h1,h2,h3')].filter(e => e.checkVisibility()).map(e => Number(e.tagName[1]))"
        )
        assert levels[0] == 1
        assert all(after - before <= 1 for before, after in pairwise(levels)), (part, levels)
        for landmark in ("banner", "navigation", "main", "contentinfo"):
            assert page.get_by_role(landmark).count() == 1
        assert page.get_by_role("navigation").get_by_role("link").count() == 5
        assert page.locator("[aria-current=page]").count() == 1
