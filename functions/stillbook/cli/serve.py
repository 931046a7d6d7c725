"""``stillbook serve``: the calculation service, until it is stopped; and the tokens of those who share it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from stillbook.cli.outcome import Outcome, Reporting
from stillbook.cli.screen import say, show_table
from stillbook.cli.shapes import TokenGone, TokenMade, Tokens
from stillbook.cli.workbooks import FILE

if TYPE_CHECKING:
    from stillbook.hosts.discovery import Service


@click.group(
    "serve", invoke_without_command=True, short_help="Run the calculation service, and show the link to its panel."
)
@click.option("--host", help="Name or address to answer at; 127.0.0.1, this computer alone, when left out.")
@click.option("--port", type=int, help="Port to answer at; 8347 when left out, any free one when 0.")
@click.option("--workers", type=int, default=1, help="Number of processes that calculate; 1 when left out.")
@click.option("--certificate", type=FILE, metavar="FILE", help="Certificate for https, which Excel needs.")
@click.option("--key", type=FILE, metavar="FILE", help="Key of the certificate, without a passphrase.")
@click.option("--public-url", default="", metavar="URL", help="Address by which other computers reach it.")
@click.option("--allow-host", multiple=True, metavar="NAME", help="A further name by which they may call it.")
@click.option("--trust-proxy", multiple=True, metavar="ADDRESS", help="Address of a proxy in front of it.")
@click.option("--log-requests", is_flag=True, help="Log every request, not only those refused or failed.")
@click.pass_context
def command(
    context: click.Context,
    host: str | None,
    port: int | None,
    workers: int,
    certificate: Path | None,
    key: Path | None,
    public_url: str,
    allow_host: tuple[str, ...],
    trust_proxy: tuple[str, ...],
    log_requests: bool,
) -> None:
    """Run the calculation service for the spreadsheet programs on this computer, until Ctrl-C.

    It prints the link to its panel: a page that finds, explains and calculates formulas. The link holds a token:
    whoever has it can use the service, so keep it to yourself.

    For several people, give --public-url, and each of them a token of their own: docs/team.md has the steps.
    """
    if context.invoked_subcommand is not None:
        return
    from stillbook.hosts import discovery
    from stillbook.service.server import HOST, PORT, serve

    running = discovery.running()
    if running is not None:
        say(f"The panel of the service that runs already:\n{running.link}")
    serve(
        host or HOST,
        PORT if port is None else port,
        workers=workers,
        certificate=certificate,
        key=key,
        public_url=public_url,
        other_names=allow_host,
        proxies=trust_proxy,
        log_requests=log_requests,
        announce=_announce,
    )


@command.group("tokens", short_help="Who may use the service beside its owner.")
def tokens() -> None:
    """Hand out tokens for the service on this computer, one a name, and withdraw them.

    The running service knows of each change at its next request.
    """


@tokens.command("add", cls=Reporting, gives=TokenMade, short_help="Make a token for a name, and show it once.")
@click.argument("name")
def add(name: str) -> Outcome:
    """Make a token for NAME, a person or a program, and show it: it is kept nowhere, and never shown again."""
    from stillbook.hosts import discovery
    from stillbook.service.tokens import add

    token = add(discovery.tokens_folder(), name)
    running = discovery.find()
    link = f"{running.public}/panel/#token={token}" if running is not None and running.public else ""

    def show() -> None:
        say(f"The token of {name}, shown this once:\n{token}")
        if link:
            say(f"The link to hand over, by a way that nobody else reads:\n{link}")

    return Outcome(show, lambda: {"name": name, "token": token, "link": link})


@tokens.command("list", cls=Reporting, gives=Tokens, short_help="List the names that have a token.")
def list_names() -> Outcome:
    """List the names that have a token, and since when."""
    from stillbook.hosts import discovery
    from stillbook.service.tokens import listed

    found = listed(discovery.tokens_folder())

    def show() -> None:
        if not found:
            say('Nobody has a token but the owner: "stillbook serve tokens add NAME" makes one.')
            return
        show_table(("Name", "Since"), [(each.name, each.since) for each in found])

    return Outcome(show, lambda: {"tokens": [{"name": each.name, "since": each.since} for each in found]})


@tokens.command("withdraw", cls=Reporting, gives=TokenGone, short_help="Take a name's token away.")
@click.argument("name")
def withdraw(name: str) -> Outcome:
    """Take the token of NAME away. The service refuses it from its next request on."""
    from stillbook.hosts import discovery
    from stillbook.service.tokens import withdraw

    withdraw(discovery.tokens_folder(), name)
    return Outcome(lambda: say(f"The token of {name} is withdrawn."), lambda: {"name": name})


def _announce(service: Service) -> None:
    say(f"The service answers at {service.address} until you press Ctrl-C. Its panel, for your browser:")
    say(service.link)
    if service.public:
        say('That link is its owner\'s. For each other person: "stillbook serve tokens add NAME"')
