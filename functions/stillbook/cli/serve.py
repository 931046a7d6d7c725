"""``stillbook serve``: the calculation service, until it is stopped."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from stillbook.cli.workbooks import FILE

if TYPE_CHECKING:
    from stillbook.hosts.discovery import Service


@click.command("serve", short_help="Run the calculation service, and show the link to its panel.")
@click.option("--host", help="Name or address to answer at; 127.0.0.1, this computer alone, when left out.")
@click.option("--port", type=int, help="Port to answer at; 8347 when left out, any free one when 0.")
@click.option("--workers", type=int, default=1, help="Number of processes that calculate; 1 when left out.")
@click.option("--certificate", type=FILE, metavar="FILE", help="Certificate for https, which Excel needs.")
@click.option("--key", type=FILE, metavar="FILE", help="Key of the certificate, without a passphrase.")
@click.option("--log-requests", is_flag=True, help="Log every request, not only those refused or failed.")
def command(
    host: str | None, port: int | None, workers: int, certificate: Path | None, key: Path | None, log_requests: bool
) -> None:
    """Run the calculation service for the spreadsheet programs on this computer, until Ctrl-C.

    It prints the link to its panel: a page that finds, explains and calculates formulas. The link holds a token:
    whoever has it can use the service, so keep it to yourself.
    """
    from stillbook.hosts import discovery
    from stillbook.service.server import HOST, PORT, serve

    running = discovery.running()
    if running is not None:
        click.echo(f"The panel of the service that runs already:\n{running.link}")
    serve(
        host or HOST,
        PORT if port is None else port,
        workers=workers,
        certificate=certificate,
        key=key,
        log_requests=log_requests,
        announce=_announce,
    )


def _announce(service: Service) -> None:
    click.echo(f"The service answers at {service.address} until you press Ctrl-C. Its panel, for your browser:")
    click.echo(service.link)
