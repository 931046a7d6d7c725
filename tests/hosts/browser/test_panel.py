"""The panel as a page in a browser, as a person uses it."""

from __future__ import annotations

import re
from typing import Any

import pytest

from hosts.browser.browsing import Desk
from service.asking import started
from stillbook.catalogue import formulas
from stillbook.cautions import CAUTIONS
from stillbook.formula import PREFIX
from stillbook.trade.mass.materials import materials

pytestmark = pytest.mark.host

PARTS = ["formulas", "formulas/DOORMASS", "why", "materials", "cautions", "set-up"]


def names(page: Any) -> list[str]:
    """The formulas in the list."""
    return [text.removeprefix(PREFIX) for text in page.locator(".find .choices .name").all_inner_texts()]


# --- arriving ---------------------------------------------------------------------------------------------------------


def test_the_link_connects_and_leaves_no_token_in_the_address(desk: Desk) -> None:
    assert desk.page.url == f"{desk.service.service.address}/panel/#/formulas"
    assert desk.page.title() == "Formulas · Stillbook"


def test_the_page_asks_nothing_of_other_sites(desk: Desk) -> None:
    for part in PARTS:
        desk.open(part)
        desk.page.get_by_role("heading", level=1).first.wait_for()
    assert desk.sites() == {desk.service.service.address}
    assert desk.complaints == []


def test_the_page_is_connected_again_when_it_is_opened_later(desk: Desk) -> None:
    desk.page.goto("about:blank")
    desk.open("formulas")
    desk.page.get_by_text("What do you want to work out?").wait_for()


def test_a_person_without_the_link_is_asked_for_it(browser: Any, service: Any) -> None:
    class Stranger(Desk):
        def arrive(self) -> None:
            self.open("formulas")

    with Stranger.at(browser, service) as desk:
        desk.page.get_by_role("heading", name="Connect this page").wait_for()
        field = desk.page.get_by_label("The link that stillbook serve prints, or its token")
        field.fill("http://127.0.0.1/panel/")
        field.press("Enter")
        desk.page.get_by_text("This holds no token").wait_for()
        field.fill("a-token-that-is-of-some-other-service-entirely")
        field.press("Enter")
        desk.page.get_by_text("The token was not accepted").wait_for()
        field.fill(service.service.link)
        field.press("Enter")
        desk.page.get_by_text("What do you want to work out?").wait_for()
        assert service.service.token not in desk.page.url


def test_the_token_can_be_forgotten(desk: Desk) -> None:
    desk.open("set-up").get_by_role("button", name="Forget the token on this page").click()
    desk.page.get_by_role("heading", name="Connect this page").wait_for()
    assert desk.page.evaluate("localStorage.getItem('stillbook.token')") is None


# --- finding ----------------------------------------------------------------------------------------------------------

# Words an estimator may type, and a formula that must stand among the first of those found.
FINDS = [
    ("door weight", "DOORTARGETMASS", 2),
    ("door weight", "DOORMASS", 2),
    ("how heavy must a door be", "DOORTARGETMASS", 3),
    ("fresh air", "OUTDOORAIRFLOW", 2),
    ("cfm people", "OCCUPANTAIRFLOW", 2),
    ("duct size", "DUCTSIZES", 2),
    ("round duct", "DUCTROUND", 2),
    ("air speed in a duct", "DUCTVELOCITY", 3),
    ("cable hole", "HOLESIZE", 2),
    ("caulk", "SEALANTTUBES", 3),
    ("drywall screws", "SCREWS", 1),
    ("how many sheets of drywall", "SHEETS", 3),
    ("profit", "PRICEFROMMARGIN", 2),
    ("price from markup", "PRICEFROMMARKUP", 1),
    ("labor hours", "CREWHOURS", 1),
    ("floor load", "FLOORLOAD", 1),
    ("weight of a wall", "TOTALMASS", 8),
    ("mass per area", "SURFACEMASS", 2),
    ("stc", "STCRATING", 2),
    ("soundproof wall", "WALLTL", 5),
    ("hinges", "HINGES", 1),
    ("co2", "CO2LEVEL", 2),
    ("breaker", "CIRCUITAMPS", 1),
    ("fan curve", "FANFLOW", 2),
    ("door gap leak", "DOORLEAK", 2),
    ("doorm", "DOORMASS", 2),
    ("STILL_DOORMASS", "DOORMASS", 1),
    ("convert units", "QUANTITY", 3),
    ("DUCT SIZES", "DUCTSIZES", 1),
]


def test_formulas_are_found_by_trade_words(desk: Desk) -> None:
    field = desk.page.get_by_label("What do you want to work out?")
    wrong = []
    for words, name, among in FINDS:
        field.fill(words)
        desk.page.wait_for_timeout(150)
        found = names(desk.page)
        if name not in found[:among]:
            wrong.append(f"{words}: {name} is not among {found[:among]}")
    assert wrong == []


def test_words_that_fit_nothing_are_told(desk: Desk) -> None:
    desk.page.get_by_label("What do you want to work out?").fill("zzz")
    desk.page.get_by_text("No formula goes by these words").wait_for()
    assert desk.page.locator(".find .count").inner_text() == "0 formulas"


def test_all_formulas_are_listed_by_subject(desk: Desk) -> None:
    assert names(desk.page) == list(formulas())
    families = list(dict.fromkeys(entry.family for entry in formulas().values()))
    assert desk.page.locator(".find h2").all_inner_texts() == families
    desk.page.get_by_label("Subject").select_option("Doors")
    assert names(desk.page) == [name for name, entry in formulas().items() if entry.family == "Doors"]


# --- trying -----------------------------------------------------------------------------------------------------------


def test_values_are_calculated_as_they_are_typed(desk: Desk) -> None:
    desk.formula("DOORTARGETMASS")
    desk.answer("Still needed: side masses, width, height.")
    desk.type(side_masses="4.4", width="36", height="80")
    desk.answer("88")
    assert desk.page.locator(".answer .figure").inner_text() == "88 lb"
    desk.type(arrangement="single")
    desk.answer("176")
    desk.type(height="6'-8\"", width="914.4 mm")
    desk.page.locator(".call").get_by_text("914.4").wait_for()
    desk.answer("176")
    assert desk.page.locator(".call").inner_text() == '=STILL_DOORTARGETMASS(4.4,"914.4 mm","6\'-8""","single")'


def test_two_sides_of_a_wall_give_two_doors(desk: Desk) -> None:
    desk.formula("DOORTARGETMASS")
    desk.type(side_masses="4.4, 6", width="36", height="80")
    desk.answer("120")
    cells = [" ".join(text.split()) for text in desk.page.locator(".answer .named > div").all_inner_texts()]
    assert cells == ["Door 88 lb", "Door on the second side 120 lb"]
    assert desk.page.locator(".call").inner_text() == "=STILL_DOORTARGETMASS({4.4,6},36,80)"


def test_a_build_up_is_typed_line_by_line(desk: Desk) -> None:
    desk.formula("SURFACEMASS")
    desk.type(leaf="Gypsum board 5/8 in type X, , 2\nPlywood 3/4 in")
    desk.answer("lb/ft²")
    plywood = desk.page.locator(".answer data").inner_text()
    desk.type(leaf="Gypsum board 5/8 in type X\t\t2")
    desk.answer("4.4")
    assert float(plywood) > 4.4


def test_a_material_is_added_from_the_table(desk: Desk) -> None:
    page = desk.formula("SURFACEMASS")
    picker = page.get_by_label("A material from the table")
    picker.focus()
    page.locator("datalist option").nth(100).wait_for(state="attached")
    assert page.locator("datalist option").count() == len(materials())
    picker.fill("Gypsum board 5/8 in type X")
    picker.press("Enter")
    picker.fill("Gypsum board 5/8 in type X")
    page.get_by_role("button", name="Add as a line").click()
    desk.answer("4.4")


def test_an_error_tells_its_reason(desk: Desk) -> None:
    desk.formula("SURFACEMASS")
    desk.type(leaf="88 lb")
    desk.answer("Error #VALUE!")
    assert desk.page.locator(".answer .problem").inner_text() == (
        'Error #VALUE! Leaf: "88 lb" is a mass where a mass per area is needed (lb/ft² or kg/m²).'
    )


def test_the_units_can_be_changed(desk: Desk) -> None:
    desk.formula("DOORTARGETMASS")
    desk.use_units("SI")
    desk.type(side_masses="21.5", width="900", height="2030")
    desk.answer("39.28")
    assert desk.page.locator(".answer .figure").inner_text() == "39.281 kg"
    assert desk.page.locator(".call").inner_text() == '=STILL_DOORTARGETMASS(21.5,900,2030,"","","SI")'
    desk.page.reload()
    desk.formula("DOORTARGETMASS")
    assert desk.page.get_by_role("radio", name="SI").is_checked()


def test_the_values_of_the_example_can_be_used(desk: Desk) -> None:
    page = desk.formula("DOORMASS")
    desk.use_units("SI")
    page.get_by_role("button", name="Use these values").click()
    desk.answer("96.872")
    assert page.get_by_role("radio", name="US").is_checked()
    assert page.locator(".call").inner_text() == "=" + formulas()["DOORMASS"].example.call
    assert page.locator(":focus").input_value() == "60"


def test_typed_values_are_there_when_a_person_comes_back(desk: Desk) -> None:
    desk.formula("HINGES")
    desk.type(mass="90", height="80")
    desk.go("Materials")
    desk.page.get_by_role("heading", name="Materials").wait_for()
    desk.page.go_back()
    desk.answer("3")
    assert desk.page.locator(".fields").get_by_label("Mass", exact=True).input_value() == "90"


def test_the_formula_is_copied(desk: Desk) -> None:
    desk.page.context.grant_permissions(["clipboard-read", "clipboard-write"])
    page = desk.formula("HINGES")
    assert page.get_by_role("button", name="Copy the formula").is_disabled()
    desk.type(mass="90", height="80")
    page.get_by_role("button", name="Copy the formula").click()
    page.get_by_text("Copied: paste it in a cell.").wait_for()
    assert page.evaluate("navigator.clipboard.readText()") == "=STILL_HINGES(90,80)"


def test_cells_cannot_be_named_away_from_a_sheet(desk: Desk) -> None:
    desk.formula("HINGES")
    desk.type(mass="=Doors!B3", height="80")
    desk.answer("Cells can be named beside a spreadsheet only: type the values here.")


READ_FORMULA = """name => {
  const formula = document.querySelector(".formula");
  if (formula?.querySelector("h2").textContent !== name) return null;
  const example = document.querySelector("section[aria-labelledby=example-heading]");
  if (!example || formula.innerText.includes("Calculating…")) return null;
  return [document.querySelectorAll(".fields > .field").length, formula.innerText, example.innerText];
}"""
"""The fields of a formula's page, its text and that of its example, once its example is calculated."""


def test_every_formula_has_its_fields_its_source_and_its_example_calculated(desk: Desk) -> None:
    wrong = []
    for name, entry in formulas().items():
        page = desk.open(f"formulas/{name}")
        fields, text, example = page.wait_for_function(READ_FORMULA, arg=f"{PREFIX}{name}", polling=10).json_value()
        wanted = len(entry.parameters) + (5 if any(each.variadic for each in entry.parameters) else 0)
        if fields != wanted or entry.source[1:] not in text or entry.summary not in text:
            wrong.append(f"{name}: fields, summary or source")
        if "Error" in example or f"={entry.example.call}" not in example or not shows(example, entry.example.gives):
            wrong.append(f"{name}: {example}")
    assert wrong == []


def shows(text: str, gives: Any) -> bool:
    """Whether a text shows what an example gives, numbers in the figures that people read."""
    first = gives[0] if isinstance(gives, tuple) else gives
    if isinstance(first, str):
        return first in text
    numbers = [float(number.replace(",", "")) for number in re.findall(r"-?[\d,]*\.?\d+(?:e-?\d+)?", text)]
    return any(abs(number - first) <= 1e-3 * abs(first) + 1e-9 for number in numbers)


# --- keyboard ---------------------------------------------------------------------------------------------------------


def focused(page: Any) -> str:
    """What the focused element is called."""
    return str(
        page.evaluate(
            "(e => e.labels?.[0]?.innerText || e.getAttribute('aria-label') || e.innerText)(document.activeElement)"
        )
    ).strip()


def test_the_whole_way_by_keyboard(desk: Desk) -> None:
    page = desk.page
    page.reload()
    page.get_by_text("What do you want to work out?").wait_for()
    press = page.keyboard.press
    press("Tab")
    assert focused(page) == "Skip to the content"
    press("Enter")
    press("Tab")
    assert focused(page) == "What do you want to work out?"
    page.keyboard.type("door weight target")
    page.wait_for_timeout(200)
    press("Enter")
    page.get_by_role("heading", name="STILL_DOORTARGETMASS").wait_for()
    assert focused(page) == "STILL_DOORTARGETMASS"
    for label, keys in (("Side masses", "4.4"), ("Width", "36"), ("Height", "80")):
        press("Tab")
        assert focused(page).startswith(label)
        page.keyboard.type(keys)
    desk.answer("88")
    press("Tab")
    assert focused(page).startswith("Arrangement")
    press("s")
    desk.answer("176")


@pytest.mark.parametrize("size", [(1100, 800), (320, 640)])
def test_what_has_the_focus_is_seen(browser: Any, service: Any, size: tuple[int, int]) -> None:
    """WCAG 2.2, success criteria 2.4.7 and 2.4.11: a visible focus that nothing covers."""
    with Desk.at(browser, service, viewport={"width": size[0], "height": size[1]}) as desk:
        page = desk.formula("WALLTL")
        page.get_by_role("button", name="Use these values").click()
        desk.answer("dB")
        page.get_by_role("heading", name="STILL_WALLTL").focus()
        hidden = []
        for _ in range(40):
            page.keyboard.press("Tab")
            page.wait_for_timeout(30)
            if page.evaluate("document.activeElement === document.body"):
                break
            seen = page.evaluate(
                """() => {
                  const e = document.activeElement, r = e.getBoundingClientRect();
                  const x = Math.min(Math.max(r.left + r.width / 2, 1), innerWidth - 1);
                  const tops = [r.top + 4, r.bottom - 4].map(y => document.elementFromPoint(x, y));
                  return { ring: getComputedStyle(e).outlineStyle, seen: tops.some(t => t && (e.contains(t) || t.contains(e))) };
                }"""
            )
            if seen["ring"] == "none" or not seen["seen"]:
                hidden.append((focused(page), seen))
        assert hidden == []


# --- the other parts --------------------------------------------------------------------------------------------------


def test_why_lists_the_errors_of_workbooks(desk: Desk) -> None:
    call = {"name": "SURFACEMASS", "arguments": ["88 lb"], "cell": "Shell!Q7"}
    with desk.service.client() as client:
        client.post(
            "/calls", json={"calls": [call, call, {"name": "HINGES", "arguments": [None, 80], "cell": "Doors!F4"}]}
        )
        client.post("/calls", json={"calls": [call]})
    page = desk.open("why")
    items = page.locator(".errors > li")
    items.first.wait_for()
    first = " ".join(items.nth(0).inner_text().split())
    assert first.startswith(
        '#VALUE! Shell!Q7 STILL_SURFACEMASS Leaf: "88 lb" is a mass where a mass per area is needed'
    )
    assert "2 times" in first
    page.get_by_text("Mass is blank: give a mass in lb").wait_for()
    with desk.service.client() as client:
        client.post("/calls", json={"calls": [{"name": "HINGES", "arguments": [-1, 80], "cell": "Doors!F5"}]})
    page.get_by_role("button", name="Look again").click()
    page.get_by_text("Doors!F5").wait_for()
    items.nth(0).get_by_role("link", name="STILL_HINGES").click()
    page.get_by_role("heading", name="STILL_HINGES").wait_for()


def test_what_a_person_tries_out_is_not_listed(desk: Desk) -> None:
    desk.formula("HINGES")
    desk.type(mass="-4321", height="80")
    desk.answer("Error #NUM!")
    with desk.service.client() as client:
        assert "-4321" not in client.get("/recent-errors").text


def test_materials_are_searched(desk: Desk) -> None:
    page = desk.open("materials")
    page.get_by_text(f"{len(materials())} of {len(materials())} materials").wait_for()
    page.get_by_label("Find a material").fill("gypsum 5/8")
    row = page.get_by_role("row", name="Gypsum board 5/8 in type X")
    assert " ".join(row.inner_text().split()) == "Gypsum board 5/8 in type X 0.625 2.2 42.24"
    page.wait_for_timeout(150)
    shown = page.locator("tbody tr:not(.group) th").all_inner_texts()
    assert shown
    assert all("gypsum" in name.lower() and "5/8" in name for name in shown)
    page.get_by_label("Find a material").fill("drywall 5/8 x")
    page.get_by_text(f"1 of {len(materials())} materials").wait_for()
    assert page.get_by_role("row", name="Gypsum board 5/8 in type X").is_visible()
    page.get_by_label("Show where each comes from").check()
    page.get_by_text("C1396").first.wait_for()
    desk.use_units("SI")
    page.get_by_role("columnheader", name="Mass per area (kg/m²)").wait_for()
    page.get_by_label("Find a material").fill("")
    page.get_by_label("Group").select_option("Lead")
    page.wait_for_timeout(150)
    assert set(page.locator("tbody tr.group").all_inner_texts()) == {"Lead"}


def test_the_cautions_are_shown_without_the_service(desk: Desk) -> None:
    page = desk.open("cautions")
    assert page.locator(".cautions li").all_inner_texts() == list(CAUTIONS)
    assert page.get_by_role("contentinfo").inner_text() == "Estimates, not certified designs. Read the cautions."


def test_set_up_tells_how_it_stands(desk: Desk) -> None:
    page = desk.open("set-up")
    page.get_by_text(f"Connected to {desk.service.service.address.partition('//')[2]}").wait_for()
    page.get_by_text("Excel loads add-ins over https alone").wait_for()


def test_a_service_that_stopped_is_told_and_asked_again(browser: Any, tmp_path: Any) -> None:
    with started(tmp_path / "home") as first, Desk.at(browser, first) as desk:
        port = int(first.service.address.rpartition(":")[2])
        desk.formula("HINGES")
        desk.type(mass="90", height="80")
        desk.answer("3")
        first.stop()
        desk.type(mass="100")
        desk.answer("The calculation service does not answer: start it with “stillbook serve”, then calculate again.")
        desk.go("Why")
        desk.page.get_by_role("button", name="Try again").wait_for()
        with started(tmp_path / "home", port=port):
            desk.page.get_by_role("button", name="Try again").click()
            desk.page.get_by_text("No formula gave an error lately.").wait_for()


def test_help_links_of_excel_lead_to_the_formula(desk: Desk) -> None:
    desk.open("formula/DOORMASS")
    desk.page.get_by_role("heading", name="STILL_DOORMASS").wait_for()


# --- how it looks -----------------------------------------------------------------------------------------------------


def test_nothing_runs_out_of_the_page(browser: Any, service: Any) -> None:
    """No script looks at the width, so that each part is opened once and shown in all of them."""
    wide = []
    with Desk.at(browser, service) as desk:
        for part in [*PARTS, "formulas/DOORMAKEUP", "formulas/WALLTL", "formulas/MATERIALS"]:
            page = desk.open(part)
            page.wait_for_load_state("networkidle")
            page.wait_for_timeout(200)
            for width in (320, 360, 640, 1280):
                page.set_viewport_size({"width": width, "height": 640})
                shown, needed = page.evaluate("[innerWidth, document.documentElement.scrollWidth]")
                assert shown == width
                wide += [(part, width, needed)] if needed > width else []
    assert wide == []


def test_nothing_moves(desk: Desk) -> None:
    """Nothing is animated, whatever a person's preference for motion."""
    for part in PARTS:
        page = desk.open(part)
        page.wait_for_timeout(200)
        moving = page.evaluate(
            "[...document.querySelectorAll('*')].filter(e => { const s = getComputedStyle(e);"
            " return s.animationName !== 'none' || parseFloat(s.transitionDuration) > 0 }).length"
        )
        assert (moving, page.evaluate("document.getAnimations().length")) == (0, 0)
