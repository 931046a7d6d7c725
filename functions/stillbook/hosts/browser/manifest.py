"""The manifest by which Excel loads the add-in: an XML file that the user gives to Excel once."""

from __future__ import annotations

from itertools import takewhile
from typing import Final
from urllib.parse import urlsplit
from xml.sax.saxutils import quoteattr

from stillbook import __version__
from stillbook.hosts.host import HostError
from stillbook.hosts.showing import NAMESPACE

IDENTITY: Final = "5c2faf24-f075-44a3-824a-43d34b2853ef"
"""Never changes: Excel knows the add-in by it."""

NEEDS_HTTPS: Final = "Excel loads add-ins over https alone"

ICON_SIZES: Final = (16, 32, 64, 80)

_MANIFEST: Final = """\
<?xml version="1.0" encoding="UTF-8"?>
<OfficeApp xmlns="http://schemas.microsoft.com/office/appforoffice/1.1"
           xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance"
           xmlns:bt="http://schemas.microsoft.com/office/officeappbasictypes/1.0"
           xsi:type="TaskPaneApp">
  <Id>{identity}</Id>
  <Version>{version}</Version>
  <ProviderName>Stillbook</ProviderName>
  <DefaultLocale>en-US</DefaultLocale>
  <DisplayName DefaultValue="Stillbook"/>
  <Description DefaultValue="The arithmetic of small, quiet rooms as workbook formulas."/>
  <IconUrl DefaultValue={icon_32}/>
  <HighResolutionIconUrl DefaultValue={icon_64}/>
  <SupportUrl DefaultValue={page}/>
  <AppDomains>
    <AppDomain>{origin}</AppDomain>
  </AppDomains>
  <Hosts>
    <Host Name="Workbook"/>
  </Hosts>
  <Requirements>
    <Sets DefaultMinVersion="1.1">
      <Set Name="SharedRuntime" MinVersion="1.1"/>
      <Set Name="CustomFunctionsRuntime" MinVersion="1.3"/>
    </Sets>
  </Requirements>
  <DefaultSettings>
    <SourceLocation DefaultValue={pane}/>
  </DefaultSettings>
  <Permissions>ReadWriteDocument</Permissions>
  <VersionOverrides xmlns="http://schemas.microsoft.com/office/taskpaneappversionoverrides"
                    xsi:type="VersionOverridesV1_0">
    <Hosts>
      <Host xsi:type="Workbook">
        <Runtimes>
          <Runtime resid="Pane.Url" lifetime="long"/>
        </Runtimes>
        <AllFormFactors>
          <ExtensionPoint xsi:type="CustomFunctions">
            <Script>
              <SourceLocation resid="Script.Url"/>
            </Script>
            <Page>
              <SourceLocation resid="Pane.Url"/>
            </Page>
            <Metadata>
              <SourceLocation resid="Metadata.Url"/>
            </Metadata>
            <Namespace resid="Namespace"/>
          </ExtensionPoint>
        </AllFormFactors>
        <DesktopFormFactor>
          <GetStarted>
            <Title resid="Start.Title"/>
            <Description resid="Start.Text"/>
            <LearnMoreUrl resid="Page.Url"/>
          </GetStarted>
          <FunctionFile resid="Pane.Url"/>
          <ExtensionPoint xsi:type="PrimaryCommandSurface">
            <OfficeTab id="TabHome">
              <Group id="Stillbook.Group">
                <Label resid="Group.Label"/>
                <Icon>
                  <bt:Image size="16" resid="Icon.16"/>
                  <bt:Image size="32" resid="Icon.32"/>
                  <bt:Image size="80" resid="Icon.80"/>
                </Icon>
                <Control xsi:type="Button" id="Stillbook.Open">
                  <Label resid="Button.Label"/>
                  <Supertip>
                    <Title resid="Button.Label"/>
                    <Description resid="Button.Tip"/>
                  </Supertip>
                  <Icon>
                    <bt:Image size="16" resid="Icon.16"/>
                    <bt:Image size="32" resid="Icon.32"/>
                    <bt:Image size="80" resid="Icon.80"/>
                  </Icon>
                  <Action xsi:type="ShowTaskpane">
                    <TaskpaneId>Stillbook.Pane</TaskpaneId>
                    <SourceLocation resid="Pane.Url"/>
                  </Action>
                </Control>
              </Group>
            </OfficeTab>
          </ExtensionPoint>
        </DesktopFormFactor>
      </Host>
    </Hosts>
    <Resources>
      <bt:Images>
        <bt:Image id="Icon.16" DefaultValue={icon_16}/>
        <bt:Image id="Icon.32" DefaultValue={icon_32}/>
        <bt:Image id="Icon.80" DefaultValue={icon_80}/>
      </bt:Images>
      <bt:Urls>
        <bt:Url id="Pane.Url" DefaultValue={pane}/>
        <bt:Url id="Page.Url" DefaultValue={page}/>
        <bt:Url id="Script.Url" DefaultValue={script}/>
        <bt:Url id="Metadata.Url" DefaultValue={metadata}/>
      </bt:Urls>
      <bt:ShortStrings>
        <bt:String id="Namespace" DefaultValue="{namespace}"/>
        <bt:String id="Group.Label" DefaultValue="Quiet rooms"/>
        <bt:String id="Button.Label" DefaultValue="Stillbook"/>
        <bt:String id="Start.Title" DefaultValue="Stillbook is here"/>
      </bt:ShortStrings>
      <bt:LongStrings>
        <bt:String id="Button.Tip" DefaultValue="Find a formula, see what it takes, and see why a cell fails."/>
        <bt:String id="Start.Text" DefaultValue="Press Stillbook on the Home tab to find formulas for quiet rooms."/>
      </bt:LongStrings>
    </Resources>
  </VersionOverrides>
</OfficeApp>
"""


def manifest(origin: str) -> str:
    """The manifest of the add-in as served at an origin such as ``https://localhost:8347``.

    Raises:
        HostError: If the origin is not https: Excel loads nothing else.
    """
    parts = urlsplit(origin)
    if parts.scheme != "https" or not parts.netloc or parts.path.strip("/"):
        raise HostError(f"{NEEDS_HTTPS}, and the service answers at {origin}: start it with a certificate and its key")
    origin = f"https://{parts.netloc}"
    panel = f"{origin}/panel/"
    return _MANIFEST.format(
        identity=IDENTITY,
        version=four_part_version(__version__),
        namespace=NAMESPACE,
        origin=origin,
        page=quoteattr(panel),
        pane=quoteattr(f"{panel}taskpane.html"),
        script=quoteattr(f"{panel}functions.js"),
        metadata=quoteattr(f"{panel}functions.json"),
        **{f"icon_{size}": quoteattr(f"{panel}icons/mark-{size}.png") for size in ICON_SIZES},
    )


def four_part_version(version: str) -> str:
    """A version as the manifest writes it: four numbers.

    >>> four_part_version("1.2.0rc1")
    '1.2.0.0'
    """
    numbers = ["".join(takewhile(str.isdigit, part)) or "0" for part in version.split(".")]
    return ".".join([*numbers, "0", "0", "0", "0"][:4])
