"""The command that serves the meter round as a page for a phone beside the box."""

from __future__ import annotations

import importlib.util
import secrets
from pathlib import Path

import click

from sunfleck.errors import SunfleckError
from sunfleck.faces.printing import refusals

NEEDED = ("starlette", "uvicorn", "segno")
# Black on white whatever the terminal's own colours are; a camera wants it so.
INK, PAPER = "black", "bright_white"


@click.command()
@click.argument("plan", type=click.Path(path_type=Path))
@click.option("--survey", "name", help="Which survey, by name. [default: the newest]")
@click.option("--blind", is_flag=True, help="Show what is expected only after it was read.")
@click.option(
    "--network", is_flag=True, help="Let phones in this local network in; without it this machine only."
)
@click.option("--port", type=click.IntRange(0, 65535), help="[default: 8347, or any that is free]")
@click.option(
    "--phones", type=click.IntRange(1, 8), default=2, show_default=True, help="How many phones may enter."
)
def page(plan: Path, name: str | None, blind: bool, network: bool, port: int | None, phones: int) -> None:
    """Serve the meter round of PLAN as a page for a phone, until Ctrl-C.

    Each phone gets a code of its own, which works once. What is entered goes into the survey's file; where the
    connection drops, the phone keeps it and sends it later. PLAN is read once, when the page is begun.
    """
    with refusals(as_json=False):
        lacking = [each for each in NEEDED if importlib.util.find_spec(each) is None]
        if lacking:
            msg = f'the page needs {", ".join(lacking)}; try: pip install "sunfleck[page]"'
            raise SunfleckError(msg)
        _serve(plan, name, blind=blind, network=network, port=port, phones=phones)


def _serve(
    plan: Path, name: str | None, *, blind: bool, network: bool, port: int | None, phones: int
) -> None:
    from sunfleck.faces.web.phone_page import phone_app  # noqa: PLC0415  # an extra
    from sunfleck.faces.web.serving import (  # noqa: PLC0415  # an extra
        HERE,
        ended_by_interrupt,
        listening,
        own_address,
        server_of,
    )
    from sunfleck.outputs.qr_text import qr_text  # noqa: PLC0415  # --help must stay light
    from sunfleck.service.phone_round import PhoneRound  # noqa: PLC0415  # --help must stay light

    address = own_address() if network else HERE
    round_ = PhoneRound(plan, name, blind=blind)
    try:
        with listening(address, port) as listener:
            at = f"{address}:{listener.getsockname()[1]}"
            tokens = [secrets.token_urlsafe(16) for _ in range(phones)]
            for line in _words(round_.file.stem, at, network=network):
                click.echo(line)
            for number, token in enumerate(tokens, 1):
                url = f"http://{at}/#{token}"
                click.echo(f"\nPhone {number} of {phones}, works once:  {url}")
                if network:
                    for line in qr_text(url).splitlines():
                        click.secho(line, fg=INK, bg=PAPER)
            hosts = [at, *([f"localhost:{at.rsplit(':', 1)[1]}"] if not network else [])]
            server = server_of(phone_app(round_, tokens, hosts))
            with ended_by_interrupt(server):
                server.run(sockets=[listener])
            click.echo("Stopped. What was entered is in the survey; phones keep what they have not sent.")
    finally:
        round_.close()


def _words(survey: str, at: str, *, network: bool) -> list[str]:
    if not network:
        return [
            f"Meter round {survey} at http://{at}, on this machine only; --network lets phones in. Stop with Ctrl-C."
        ]
    return [
        f"Meter round {survey} at http://{at}, for this local network. Stop with Ctrl-C.",
        "Whoever is in this network can see that the page is there; readings are for phones with a code only. What is",
        "sent is not encrypted: in a network with strangers in it use none, or enter by `sunfleck survey add`.",
        "Ctrl-C ends it; nobody is let in after that.",
    ]
