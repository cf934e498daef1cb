"""Who may open the workbench: this machine's browser, with the token of the address that was shown."""

from __future__ import annotations

from collections.abc import Iterable
from urllib.parse import parse_qs

from starlette.responses import RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from sunfleck.faces.web.guard import HEADERS, same_secret, why_refused

# Its page is made of parts that the page library writes into it and compiles in the browser. All of them, and
# everything they ask for, come from this address.
POLICY = (
    "default-src 'none'; script-src 'self' 'unsafe-inline' 'unsafe-eval'; style-src 'self' 'unsafe-inline'; "
    "img-src 'self' data: blob:; font-src 'self' data:; connect-src 'self' ws://{host}; worker-src 'self' blob:; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
# Files of the page library carry its version in their path and never change.
UNCHANGING = "/_nicegui/"
POLICY_VIOLATION = 1008
NO_SESSION = "open the workbench with the address that `sunfleck open` shows; it carries a token"


class Gate:
    """Lets in what is addressed to the workbench, comes from it and has its session.

    The token is exchanged for a cookie at once, so that it stays in no history and no list of open pages. It is good
    for as long as the workbench runs: a second window, or another browser, opens the same address.
    """

    def __init__(self, app: ASGIApp, hosts: Iterable[str], token: str, session: str) -> None:
        """Guard an application.

        Parameters
        ----------
        app : ASGI application
            The workbench.
        hosts : iterable of str
            What a request may call it, ``address:port``.
        token : str
            Of the address.
        session : str
            What the cookie holds.
        """
        self._app, self._hosts = app, frozenset(hosts)
        self._token, self._session = token, session
        # Cookies do not tell ports apart: two workbenches on one machine have two names.
        self._cookie = "sunfleck_workbench_" + "_".join(
            host.rpartition(":")[2] for host in sorted(self._hosts)
        )

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Serve one request or one socket."""
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
            return
        why = why_refused(scope, self._hosts)
        if scope["type"] == "websocket":
            if why is not None or not self._in_session(scope):
                await send({"type": "websocket.close", "code": POLICY_VIOLATION})
                return
            await self._app(scope, receive, send)
            return
        refusal = Response(why[1], why[0], media_type="text/plain") if why is not None else None
        answer = refusal or self._answer(scope)
        gone = False

        async def listened() -> Message:
            nonlocal gone
            message = await receive()
            gone = gone or message["type"] == "http.disconnect"
            return message

        try:
            await answer(scope, listened, self._with_headers(scope, send))
        except Exception:
            # A window that is closed while its page is built gets no answer: that is no fault.
            if not gone:
                raise

    def _answer(self, scope: Scope) -> ASGIApp:
        given = parse_qs(scope["query_string"].decode("latin-1")).get("token", [])
        if scope["path"] == "/" and given:
            if not same_secret(self._token, given[0]):
                return Response(NO_SESSION, 403, media_type="text/plain")
            redirect = RedirectResponse("/", 303)
            redirect.set_cookie(self._cookie, self._session, httponly=True, samesite="strict", path="/")
            return redirect
        if not self._in_session(scope):
            return Response(NO_SESSION, 401, media_type="text/plain")
        return self._app

    def _in_session(self, scope: Scope) -> bool:
        # Cookies of all ports of this machine come together; an odd one of another program must not hide ours.
        pairs = [
            pair.strip().partition("=")
            for key, value in scope["headers"]
            if key == b"cookie"
            for pair in value.decode("latin-1").split(";")
        ]
        own = [value for name, _, value in pairs if name == self._cookie]
        return sum([same_secret(self._session, value) for value in own]) > 0

    def _with_headers(self, scope: Scope, send: Send) -> Send:
        own = {
            **HEADERS,
            "Content-Security-Policy": POLICY.format(host=_host_of(scope)),
        }
        if scope["path"].startswith(UNCHANGING):
            del own["Cache-Control"]

        async def answered(message: Message) -> None:
            if message["type"] == "http.response.start":
                added = {key.lower().encode(): value.encode("latin-1") for key, value in own.items()}
                kept = [(key, value) for key, value in message.get("headers", ()) if key.lower() not in added]
                message = {**message, "headers": [*kept, *added.items()]}
            await send(message)

        return answered


def _host_of(scope: Scope) -> str:
    """The page's own address as it was called; nothing that could end a policy early."""
    named = next((value.decode("latin-1") for key, value in scope["headers"] if key == b"host"), "")
    return "".join(sign for sign in named if sign.isalnum() or sign in ".:-")
