"""``stillbook connect`` and ``stillbook disconnect``: spreadsheet programs that use the formulas."""

from __future__ import annotations

import re
import sys
from pathlib import Path

import click

from stillbook import __version__
from stillbook.cli.outcome import Outcome, Reporting
from stillbook.cli.screen import say
from stillbook.cli.shapes import Connected
from stillbook.cli.workbooks import FILE
from stillbook.hosts.registry import HOSTS

PROGRAM = click.Choice(list(HOSTS), case_sensitive=False)
"""A program by the name that commands give it."""

_program = click.argument("program", type=PROGRAM)

# Without encryption a token goes to this computer alone.
_LINK = re.compile(r"(https://[^/#?@\s]+|http://(?:localhost|127\.0\.0\.1)(?::\d+)?)/panel/#token=([\w-]{20,})")

_LIST = "\n".join(f"{host.name:{max(map(len, HOSTS))}}  {host.help}" for host in HOSTS.values())


@click.command(
    "connect",
    cls=Reporting,
    gives=Connected,
    short_help="Make the formulas known to a spreadsheet program.",
    help=f"Make the formulas known to PROGRAM, and say what there is to do in it.\n\n\b\n{_LIST}",
)
@_program
@click.option("--for-everyone", is_flag=True, help="For all users of this computer; an administrator may ask for it.")
@click.option("--service", "link", metavar="LINK", help='Have a team\'s service calculate; "here" for this computer.')
@click.option("--certificate", type=FILE, metavar="FILE", help="Issuer of its certificate, where an office's own.")
def connect(program: str, for_everyone: bool, link: str | None, certificate: Path | None) -> Outcome:
    """Connect a host."""
    chosen: list[str] = []
    if link is not None:
        chosen = [_choose(program, link, certificate)]
    elif certificate is not None:
        raise click.UsageError("--certificate goes with --service")
    if sys.stderr.isatty():
        click.echo("This can take a minute.", err=True)
    return _done(program, [*chosen, *HOSTS[program].connect(everyone=for_everyone)])


@click.command("disconnect", cls=Reporting, gives=Connected, short_help="Undo that.")
@_program
def disconnect(program: str) -> Outcome:
    """Take the formulas out of PROGRAM again. Workbooks stay as they are."""
    return _done(program, HOSTS[program].disconnect())


def _done(program: str, lines: list[str]) -> Outcome:
    return Outcome(lambda: say("\n".join(lines)), lambda: {"program": program, "lines": lines})


def _choose(program: str, link: str, certificate: Path | None) -> str:
    """Have a service on another computer calculate, once it answers; or this one again. Gives what is told of it."""
    from stillbook.hosts import discovery

    if program != "libreoffice":
        raise click.UsageError(f"--service is for libreoffice: {HOSTS[program].title} finds its service in another way")
    if link == "here":
        discovery.choose(None)
        return "This computer calculates."
    found = _LINK.fullmatch(link)
    if found is None:
        raise click.UsageError(
            "that is no link of a service: give one such as https://stillbook.example/panel/#token=…"
        )
    file = str(certificate.resolve()) if certificate is not None else ""
    service = discovery.Service(found[1], found[2], 0, __version__, certificate=file)
    if not discovery.answers(service, 10):
        raise click.UsageError(
            f"the service at {found[1]} does not answer, its certificate is not trusted, or the token is withdrawn: "
            "open the link in a browser to see which"
        )
    discovery.choose(service)
    return f"The service at {found[1]} calculates."
