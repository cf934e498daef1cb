"""Who may ask a page anything: the right host and origin, a session, small bodies of the right kind."""

from __future__ import annotations

import json
import secrets
import threading
from collections.abc import Container, Iterable
from typing import Any

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

LARGEST_BODY = 64 * 1024
COOKIE = "sunfleck_session"
# Everything comes from the page's own address; nothing else is loaded, framed or sent to.
HEADERS = {
    "Content-Security-Policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; base-uri 'none'; "
        "form-action 'none'; frame-ancestors 'none'"
    ),
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cache-Control": "no-store",
}


class Sessions:
    """One-time tokens, and the sessions they were exchanged for."""

    def __init__(self, tokens: Iterable[str]) -> None:
        self._tokens = list(tokens)
        self._sessions: list[str] = []
        self._lock = threading.Lock()

    def exchange(self, token: str) -> str | None:
        """Return a new session for a token that was not used yet, else None."""
        with self._lock:
            for known in self._tokens:
                if same_secret(known, token):
                    self._tokens.remove(known)
                    session = secrets.token_urlsafe(32)
                    self._sessions.append(session)
                    return session
        return None

    def holds(self, session: str) -> bool:
        """Whether a session is one of these."""
        with self._lock:
            # Every one is compared, so that the time tells nothing.
            return sum([same_secret(known, session) for known in self._sessions]) > 0

    def require(self, request: Request) -> None:
        """Refuse a request without a session."""
        if not self.holds(request.cookies.get(COOKIE, "")):
            raise HTTPException(401, "this phone has no session; scan a code that was not used yet")


def same_secret(one: str, other: str) -> bool:
    """Compare two secrets in a time that does not tell where they differ."""
    return secrets.compare_digest(one.encode(), other.encode("utf-8", "replace"))


class Guard:
    """Answers what is addressed to this page by this page only, and puts the same headers on every answer.

    A page elsewhere that has its name point to this address (DNS rebinding) asks with its own name as Host.
    """

    def __init__(self, app: ASGIApp, hosts: Iterable[str]) -> None:
        self._app = app
        self._hosts = frozenset(hosts)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Serve one request."""
        if scope["type"] != "http":
            return

        async def answered(message: Message) -> None:
            if message["type"] == "http.response.start":
                own = [(key.lower().encode(), value.encode()) for key, value in HEADERS.items()]
                message = {**message, "headers": [*message.get("headers", ()), *own]}
            await send(message)

        why = why_refused(scope, self._hosts)
        if why is None:
            await self._app(scope, receive, answered)
        else:
            status, words = why
            await Response(words, status, media_type="text/plain")(scope, receive, answered)


def why_refused(scope: Scope, hosts: Container[str]) -> tuple[int, str] | None:
    """Say why a request or a socket is not for this page; None where it is.

    Parameters
    ----------
    scope : ASGI scope
        Of a request, or of a socket that is to be opened.
    hosts : container of str
        What the page may be called, ``address:port``.

    Returns
    -------
    refused : tuple of int and str, or None
        Status and words.
    """
    headers = scope["headers"]
    named = [value.decode("latin-1") for key, value in headers if key == b"host"]
    if len(named) != 1 or named[0].lower() not in hosts:
        return 421, "this page is served under its own address only"
    origins = [value.decode("latin-1") for key, value in headers if key == b"origin"]
    own = f"http://{named[0].lower()}"
    if any(origin.lower() != own for origin in origins) or len(origins) > 1:
        return 403, "asked from another page"
    # A browser lets any page open a socket anywhere, and always says from where.
    if (scope["type"] == "websocket" or scope["method"] == "POST") and not origins:
        return 403, "a page says where it asks from"
    sites = [value for key, value in headers if key == b"sec-fetch-site"]
    # Following a link or a code is no page's asking: a browser says `none`, from a message `cross-site`.
    if scope["path"] != "/" and any(site not in (b"same-origin", b"none") for site in sites):
        return 403, "asked from another page"
    return None


async def sent_object(request: Request) -> dict[str, Any]:
    """Return the JSON object of a request's body.

    Raises
    ------
    HTTPException
        415, 413 or 400 where it is of another kind, too large, or no object.
    """
    if request.headers.get("content-type", "").split(";")[0].strip().lower() != "application/json":
        raise HTTPException(415, "JSON is taken only")
    body = b""
    # The stated length may be missing or wrong: what arrives is counted.
    async for chunk in request.stream():
        body += chunk
        if len(body) > LARGEST_BODY:
            raise HTTPException(413, f"at most {LARGEST_BODY // 1024} KiB are taken")
    try:
        found = json.loads(body)
        # Half a character (a lone surrogate) can be said in JSON and written nowhere.
        json.dumps(found, ensure_ascii=False).encode()
    except (ValueError, RecursionError) as error:
        raise HTTPException(400, "this is no JSON") from error
    if not isinstance(found, dict):
        raise HTTPException(400, "keys with values are taken only")
    return found
