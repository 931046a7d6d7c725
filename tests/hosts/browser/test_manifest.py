"""The manifest against the published rules of add-in manifests (learn.microsoft.com, Office Add-ins manifest reference)."""

from __future__ import annotations

import re
import struct
from importlib.resources import files
from urllib.parse import urlsplit
from uuid import UUID

import pytest
from lxml import etree

from stillbook.hosts.browser.generated import GENERATED
from stillbook.hosts.browser.manifest import ICON_SIZES, manifest
from stillbook.hosts.host import HostError
from stillbook.hosts.showing import NAMESPACE

ORIGIN = "https://localhost:8347"
TREE = etree.fromstring(manifest(ORIGIN).encode())
WEB = files("stillbook").joinpath("hosts/browser")

APP = "{http://schemas.microsoft.com/office/appforoffice/1.1}"
OVERRIDE = "{http://schemas.microsoft.com/office/taskpaneappversionoverrides}"
BASIC = "{http://schemas.microsoft.com/office/officeappbasictypes/1.0}"
TYPE = "{http://www.w3.org/2001/XMLSchema-instance}type"

# The order in which the schema wants the parts of a task pane add-in.
ORDER = "Id Version ProviderName DefaultLocale DisplayName Description IconUrl HighResolutionIconUrl SupportUrl AppDomains Hosts Requirements DefaultSettings Permissions VersionOverrides"

HELD = next(TREE.iter(f"{OVERRIDE}Resources"))


def resources(kind: str) -> dict[str, str]:
    """Ids and values of the images, addresses or texts."""
    return {each.get("id"): each.get("DefaultValue") for each in HELD.iter(f"{BASIC}{kind}")}


URLS = resources("Url") | resources("Image")


def test_the_parts_stand_in_order() -> None:
    assert [etree.QName(child).localname for child in TREE] == ORDER.split()
    assert TREE.get(TYPE) == "TaskPaneApp"


def test_identity_and_version() -> None:
    assert str(UUID(TREE.findtext(f"{APP}Id"))) == TREE.findtext(f"{APP}Id")
    assert re.fullmatch(r"\d+\.\d+\.\d+\.\d+", TREE.findtext(f"{APP}Version"))


def test_every_resource_is_there_and_used() -> None:
    used = {each.get("resid") for each in TREE.iter() if each.get("resid")}
    held = [each.get("id") for each in HELD.iter(*(f"{BASIC}{kind}" for kind in ("Url", "Image", "String")))]
    assert used == set(held)
    assert len(held) == len(set(held))
    assert all(len(each) <= 32 for each in held)


def test_there_is_one_origin_and_it_is_secure() -> None:
    addresses = [
        value
        for each in TREE.iter()
        for value in [each.get("DefaultValue", ""), (each.text or "").strip()]
        if "://" in value
    ]
    assert len(addresses) > 10
    assert {f"{parts.scheme}://{parts.netloc}" for parts in map(urlsplit, addresses)} == {ORIGIN}
    assert TREE.findtext(f"{APP}AppDomains/{APP}AppDomain") == ORIGIN


def test_each_address_leads_to_a_file_that_is_served() -> None:
    for address in URLS.values():
        name = urlsplit(address).path.removeprefix("/panel/") or "index.html"
        assert name in GENERATED or WEB.joinpath(name).is_file(), address


def test_the_functions_run_in_the_task_pane() -> None:
    """With a shared runtime: "The shared runtime won't load if the resid uses different values"."""
    runtime = next(TREE.iter(f"{OVERRIDE}Runtime"))
    assert runtime.get("lifetime") == "long"
    page = next(TREE.iter(f"{OVERRIDE}Page")).find(f"{OVERRIDE}SourceLocation").get("resid")
    action = next(TREE.iter(f"{OVERRIDE}Action")).find(f"{OVERRIDE}SourceLocation").get("resid")
    assert {runtime.get("resid"), page, action, next(TREE.iter(f"{OVERRIDE}FunctionFile")).get("resid")} == {"Pane.Url"}
    assert URLS["Pane.Url"] == TREE.find(f"{APP}DefaultSettings/{APP}SourceLocation").get("DefaultValue")
    sets = {each.get("Name"): each.get("MinVersion") for each in TREE.iter(f"{APP}Set")}
    assert sets == {"SharedRuntime": "1.1", "CustomFunctionsRuntime": "1.3"}


def test_the_parts_of_the_functions() -> None:
    point = next(each for each in TREE.iter(f"{OVERRIDE}ExtensionPoint") if each.get(TYPE) == "CustomFunctions")
    assert [etree.QName(child).localname for child in point] == ["Script", "Page", "Metadata", "Namespace"]
    assert URLS["Metadata.Url"].endswith("/panel/functions.json")
    assert resources("String")["Namespace"] == NAMESPACE == "STILL"
    assert len(NAMESPACE) <= 32


# Lengths from the reference: ShortStrings 125, LongStrings 250, DisplayName 125, Description 250.
@pytest.mark.parametrize(("path", "longest"), [("ShortStrings", 125), ("LongStrings", 250)])
def test_texts_are_short_enough(path: str, longest: int) -> None:
    texts = [each.get("DefaultValue") for each in next(TREE.iter(f"{BASIC}{path}"))]
    assert texts
    assert all(0 < len(text) <= longest for text in texts)


def test_the_name_and_description_are_short_enough() -> None:
    assert 0 < len(TREE.find(f"{APP}DisplayName").get("DefaultValue")) <= 125
    assert 0 < len(TREE.find(f"{APP}Description").get("DefaultValue")) <= 250


@pytest.mark.parametrize("size", ICON_SIZES)
def test_icons_have_the_size_they_say(size: int) -> None:
    data = WEB.joinpath(f"icons/mark-{size}.png").read_bytes()
    assert data.startswith(b"\x89PNG\r\n\x1a\n")
    assert struct.unpack(">II", data[16:24]) == (size, size)


def test_the_three_icon_sizes_that_excel_needs() -> None:
    for icon in TREE.iter(f"{OVERRIDE}Icon"):
        assert [each.get("size") for each in icon] == ["16", "32", "80"]


@pytest.mark.parametrize(
    "origin", ["http://127.0.0.1:8347", "ftp://localhost", "localhost:8347", "https://", "https://a/b"]
)
def test_there_is_no_manifest_without_https(origin: str) -> None:
    with pytest.raises(HostError, match="https"):
        manifest(origin)


def test_a_port_may_be_left_out() -> None:
    assert 'DefaultValue="https://estimates.example/panel/taskpane.html"' in manifest("https://estimates.example/")


@pytest.mark.parametrize(
    "label",
    [
        "Set-up",
        "Why",
        "Enter its formulas again",
        "Calculate everything again",
        "Insert in the active cell",
        "Selected cells",
    ],
)
def test_the_guide_names_what_the_panel_shows(label: str) -> None:
    shown = "".join(each.read_text("utf-8") for each in [WEB.joinpath("index.html"), *WEB.joinpath("parts").iterdir()])
    assert label in WEB.joinpath("guide.md").read_text("utf-8")
    assert re.search(rf"[\">]{label}[\"<]", shown)
