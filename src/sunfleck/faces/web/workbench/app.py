"""The workbench as a whole: one plan, or the questions before there is one, behind a gate."""

from __future__ import annotations

from collections.abc import Iterable
from importlib.resources import files
from pathlib import Path

from fastapi import FastAPI
from nicegui import core, ui
from starlette.types import ASGIApp

from sunfleck.faces.web.workbench.bench_page import BenchPage
from sunfleck.faces.web.workbench.gate import Gate
from sunfleck.faces.web.workbench.start_page import StartPage
from sunfleck.faces.web.workbench.words import say
from sunfleck.service.first_plan import FirstPlan
from sunfleck.service.workbench.bench import Bench
from sunfleck.service.workbench.session import PlanSession

LOOK = "look.css"
# A laptop that slept, or a phone that was put down, finds its page as it was. [s]
COME_BACK = 60.0


class Workbench:
    """What is open: a plan, or none yet."""

    def __init__(self, folder: Path) -> None:
        """Begin with none; plans are written into folders in `folder`."""
        self.folder = folder
        self.bench: Bench | None = None

    def open(self, path: Path, first: FirstPlan | None = None) -> None:
        """Open a plan in place of what is open.

        Raises
        ------
        PlanError
            If it cannot be read.
        """
        bench = Bench(PlanSession.open(path), first)
        if self.bench is not None:
            self.bench.close()
        self.bench = bench
        if first is not None:
            bench.refine()

    def close(self) -> None:
        """Let the plan go."""
        if self.bench is not None:
            self.bench.close()
            self.bench = None

    def page(self) -> None:
        """Build the page of one window."""
        ui.add_css(_look())
        # Seen at once, until the page's own scripts have built it.
        ui.add_body_html(f'<p class="sf-opening" role="status">{say("page-opening")}</p>')
        ui.add_body_html(f'<p class="sf-lost" role="status">{say("page-lost")}</p>')
        if self.bench is not None:
            ui.page_title(f"{self.bench.session.file.parent.name} · {say('program')}")
            BenchPage(self.bench)
        else:
            ui.page_title(say("program"))
            StartPage(self.folder, self._begun)

    def _begun(self, file: Path, first: FirstPlan | None) -> None:
        self.open(file, first)
        ui.navigate.reload()


def workbench_app(workbench: Workbench, token: str, session: str, hosts: Iterable[str]) -> ASGIApp:
    """Return the workbench as an ASGI application; one a process.

    Parameters
    ----------
    workbench : Workbench
        What is open.
    token, session : str
        Of the address, and of the cookie it is exchanged for.
    hosts : iterable of str
        What a request may call this server, ``address:port``.

    Returns
    -------
    app : ASGI application
        For a server with sockets and a lifespan.
    """
    app = FastAPI(docs_url=None, redoc_url=None, openapi_url=None)
    hosts = tuple(hosts)
    ui.run_with(
        app,
        root=workbench.page,
        title=say("program"),
        language="en-US",
        dark=None,
        tailwind=False,
        reconnect_timeout=COME_BACK,
        show_welcome_message=False,
        storage_secret=None,
    )
    # A bar without a name, of no use to who cannot see it; what is being worked out is told in words.
    core.app.config.quasar_config["loadingBar"] = {"skipHijack": True}
    # The gate looks at every socket first; this is the socket library's own list.
    core.sio.eio.cors_allowed_origins = [f"http://{host}" for host in hosts]
    return Gate(app, hosts, token, session)


def _look() -> str:
    return (files("sunfleck.faces.web.workbench") / LOOK).read_text(encoding="utf-8")
