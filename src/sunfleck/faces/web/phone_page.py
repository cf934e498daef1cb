"""The page for one hand on a phone beside the box: its routes. What it shows and takes is the service's."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from importlib.resources import files
from typing import Any

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route
from starlette.types import ASGIApp

from sunfleck.errors import SunfleckError
from sunfleck.faces.web.guard import COOKIE, Guard, Sessions, sent_object
from sunfleck.service.phone_round import PhoneRound

# All that is served; no path is ever made of what was asked for.
FILES = {
    "/": ("page.html", "text/html"),
    "/page.css": ("page.css", "text/css"),
    "/page.js": ("page.js", "text/javascript"),
    "/queue.js": ("queue.js", "text/javascript"),
    "/parts.js": ("parts.js", "text/javascript"),
}


def phone_app(round_: PhoneRound, tokens: Iterable[str], hosts: Iterable[str]) -> ASGIApp:
    """Return the page as an ASGI application.

    Parameters
    ----------
    round_ : PhoneRound
        What is entered.
    tokens : iterable of str
        Each lets one phone in, once.
    hosts : iterable of str
        What a request may call this server, ``address:port``.

    Returns
    -------
    app : ASGI application
        For a server.
    """
    sessions = Sessions(tokens)

    async def session(request: Request) -> Response:
        found = sessions.exchange(str((await sent_object(request)).get("token", "")))
        if found is None:
            raise HTTPException(403, "this code was used already, or is none of this round's")
        answer = JSONResponse({"state": "let in"})
        answer.set_cookie(COOKIE, found, httponly=True, samesite="strict", path="/", max_age=12 * 3600)
        return answer

    async def state(request: Request) -> Response:
        sessions.require(request)
        return JSONResponse(await run_in_threadpool(round_.state))

    def takes(entering: Callable[[Mapping[str, Any]], dict[str, Any]]) -> Callable[[Request], Any]:
        async def take(request: Request) -> Response:
            sessions.require(request)
            return JSONResponse(await run_in_threadpool(entering, await sent_object(request)))

        return take

    routes = [
        *(Route(path, _file(name, kind), methods=["GET"]) for path, (name, kind) in FILES.items()),
        Route("/session", session, methods=["POST"]),
        Route("/state", state, methods=["GET"]),
        Route("/reading", takes(round_.enter), methods=["POST"]),
        Route("/held", takes(round_.hold), methods=["POST"]),
    ]
    app = Starlette(routes=routes, exception_handlers={HTTPException: _told, SunfleckError: _told})
    return Guard(app, hosts)


def _file(name: str, kind: str) -> Callable[[Request], Any]:
    content = (files("sunfleck.faces.web") / "phone" / name).read_bytes()

    async def serve(request: Request) -> Response:
        del request
        return Response(content, media_type=kind)

    return serve


async def _told(request: Request, error: Exception) -> Response:
    del request
    if isinstance(error, HTTPException):
        return JSONResponse({"error": error.detail}, error.status_code, error.headers)
    # The phone keeps its entry and sends it again.
    return JSONResponse({"error": str(error)}, 503)
