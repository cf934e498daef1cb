"""The command that opens the workbench in the browser."""

from __future__ import annotations

import importlib.util
import secrets
import sys
import webbrowser
from pathlib import Path

import click

from sunfleck.errors import SunfleckError
from sunfleck.faces.printing import refusals

NEEDED = ("nicegui", "matplotlib")


@click.command("open")
@click.argument("plan", type=click.Path(path_type=Path), required=False)
@click.option("--port", type=click.IntRange(0, 65535), default=0, help="[default: any that is free]")
@click.option("--browser/--no-browser", default=True, help="Whether the browser is opened.")
def open_(plan: Path | None, port: int, browser: bool) -> None:
    """Open PLAN in the workbench: a page in the browser of this machine, until Ctrl-C.

    Without PLAN a few questions are asked and a first layout is proposed; it is written into a folder of its own here.
    The page works offline, is on this machine only, and opens to nobody without the token in its address.
    """
    with refusals(as_json=False):
        lacking = [each for each in NEEDED if importlib.util.find_spec(each) is None]
        if lacking:
            msg = f'the workbench needs {", ".join(lacking)}; try: pip install "sunfleck[workbench]"'
            raise SunfleckError(msg)
        _serve(plan, port, browser=browser)


def _serve(plan: Path | None, port: int, *, browser: bool) -> None:
    from sunfleck.faces.web.serving import HERE, ended_by_interrupt, listening, server_of  # noqa: PLC0415  # an extra
    from sunfleck.faces.web.workbench.app import Workbench, workbench_app  # noqa: PLC0415  # an extra

    # What answers the page waits less for what computes beside it.
    sys.setswitchinterval(0.001)
    workbench = Workbench(Path.cwd())
    if plan is not None:
        workbench.open(plan)
    try:
        with listening(HERE, port) as listener:
            token, at = secrets.token_urlsafe(24), f"{HERE}:{listener.getsockname()[1]}"
            server = server_of(workbench_app(workbench, token, secrets.token_urlsafe(32), [at]), sockets=True)
            address = f"http://{at}/?token={token}"
            with ended_by_interrupt(server):
                click.echo(f"The workbench: {address}")
                click.echo(
                    "It is on this machine only. Stop with Ctrl-C; what is not saved is kept beside the plan."
                )
                if browser and not webbrowser.open(address):
                    click.echo("No browser could be opened; copy the address into one.")
                server.run(sockets=[listener])
    finally:
        workbench.close()
    click.echo("The workbench has ended.")
