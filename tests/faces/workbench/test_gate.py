"""Nobody gets anything of the workbench but this machine's browser with the token of the address."""

import asyncio
from contextlib import nullcontext
from dataclasses import dataclass

import pytest
from starlette.applications import Starlette
from starlette.responses import PlainTextResponse
from starlette.routing import Route, WebSocketRoute
from starlette.websockets import WebSocket

from sunfleck.faces.web.workbench.gate import Gate

HOST = "127.0.0.1:8123"
OWN = f"http://{HOST}"
TOKEN, SESSION = "token-of-the-address", "session-of-the-cookie"
WHY = "no response"
COOKIE = "sunfleck_workbench_8123"


async def _page(request):
    return PlainTextResponse("the plan")


async def _socket(socket: WebSocket):
    await socket.accept()
    await socket.send_text("the plan")
    await socket.close()


@dataclass
class Answer:
    """What came back."""

    status: int
    headers: dict[str, str]
    text: str


class Browser:
    """Asks an application as a browser does, without a network: host, origin and cookie by itself."""

    def __init__(self, app, host=HOST):
        self.app, self.host, self.cookie = app, host, ""

    def _scope(self, kind, address, headers):
        path, _, query = address.partition("?")
        sent = {"host": self.host} | ({"cookie": self.cookie} if self.cookie else {}) | headers
        return {
            "type": kind,
            "path": path,
            "raw_path": path.encode(),
            "query_string": query.encode(),
            "headers": [(key.encode(), value.encode("latin-1")) for key, value in sent.items()],
            "root_path": "",
        }

    def ask(self, address, method="GET", **headers):
        """One request."""
        scope = {**self._scope("http", address, headers), "method": method}
        answers = self._run(scope, [{"type": "http.request", "body": b""}])
        start = next(each for each in answers if each["type"] == "http.response.start")
        body = b"".join(each.get("body", b"") for each in answers if each["type"] == "http.response.body")
        found = {key.decode(): value.decode("latin-1") for key, value in start["headers"]}
        if "set-cookie" in found:
            self.cookie = found["set-cookie"].partition(";")[0]
        return Answer(start["status"], found, body.decode())

    def opened(self, address, **headers):
        """Whether a socket is accepted."""
        answers = self._run(self._scope("websocket", address, headers), [{"type": "websocket.connect"}])
        return any(each["type"] == "websocket.accept" for each in answers)

    def _run(self, scope, messages):
        answers, left = [], list(messages)

        async def receive():
            return left.pop(0) if left else {"type": f"{scope['type']}.disconnect", "code": 1000}

        async def send(message):
            answers.append(message)

        asyncio.run(self.app(scope, receive, send))
        return answers


def _app():
    return Starlette(
        routes=[
            Route("/", _page),
            Route("/_nicegui/3/static/x.js", _page),
            Route("/upload", _page, methods=["POST"]),
            WebSocketRoute("/_nicegui_ws/socket.io/", _socket),
        ]
    )


@pytest.fixture
def client():
    """A browser that was never here."""
    return Browser(Gate(_app(), [HOST], TOKEN, SESSION))


@pytest.fixture
def let_in(client):
    """A browser that has exchanged the token."""
    client.ask(f"/?token={TOKEN}")
    return client


def test_the_token_is_exchanged_for_a_cookie_and_leaves_the_address(client):
    """The address with the token leads to one without; scripts cannot read the cookie, other sites not send it."""
    answer = client.ask(f"/?token={TOKEN}")
    assert answer.status == 303
    assert answer.headers["location"] == "/"
    assert "HttpOnly" in answer.headers["set-cookie"]
    assert "SameSite=strict" in answer.headers["set-cookie"]
    assert client.ask("/").text == "the plan"


def test_the_same_address_opens_a_second_window_in_another_browser(client):
    """A token is good as long as the workbench runs."""
    for browser in (client, Browser(client.app)):
        assert browser.ask(f"/?token={TOKEN}").status == 303


@pytest.mark.parametrize(
    "path", ["/", "/_nicegui/3/static/x.js", "/no-such-path", "/?token=", "/?token=wrong"]
)
def test_no_path_answers_without_token_or_session(client, path):
    """Refused before anything of the page is asked."""
    answer = client.ask(path)
    assert answer.status in (401, 403)
    assert "the plan" not in answer.text


@pytest.mark.parametrize("method", ["GET", "POST"])
@pytest.mark.parametrize(
    "headers",
    [
        {"host": "sunfleck.example:8123"},
        {"host": "127.0.0.1:80"},
        {"host": "localhost:8123"},
        {"origin": "http://sunfleck.example"},
        {"origin": "null"},
        {"origin": OWN, "sec-fetch-site": "cross-site"},
        {"origin": OWN, "cookie": f"{COOKIE}=guess"},
        {"origin": OWN, "cookie": f"{COOKIE}=" + "x" * 5000},
        {"origin": OWN, "cookie": "\x00=;;;="},
    ],
)
def test_foreign_requests_are_refused_with_a_session_too(let_in, headers, method):
    """A page elsewhere that gets the browser to ask, by its own name or by this one's, gets nothing."""
    path = "/_nicegui/3/static/x.js" if method == "GET" else "/upload"
    answer = let_in.ask(path, method, **headers)
    assert answer.status in (401, 403, 421)
    assert "the plan" not in answer.text
    assert let_in.ask(path, method, origin=OWN).text == "the plan"


@pytest.mark.parametrize(
    "headers",
    [
        {},
        {"origin": "http://sunfleck.example"},
        {"origin": "null"},
        {"origin": OWN, "host": "sunfleck.example:8123"},
    ],
)
def test_a_socket_opens_for_its_own_page_only(let_in, headers):
    """A browser lets any page open a socket anywhere: it must say that it is this one."""
    assert not let_in.opened("/_nicegui_ws/socket.io/", **headers)
    assert let_in.opened("/_nicegui_ws/socket.io/", origin=OWN)


def test_a_socket_needs_the_session(client):
    """The right origin alone opens nothing."""
    assert not client.opened("/_nicegui_ws/socket.io/", origin=OWN)


def test_nothing_may_be_loaded_from_elsewhere_or_framed(let_in):
    """The policy on every answer: own address only; only what never changes may be kept by the browser."""
    page, part = let_in.ask("/"), let_in.ask("/_nicegui/3/static/x.js")
    for answer in (page, part, let_in.ask("/", host="other")):
        policy = answer.headers["content-security-policy"]
        assert "default-src 'none'" in policy
        assert "frame-ancestors 'none'" in policy
        assert "http://" not in policy
        assert "https:" not in policy
        assert answer.headers["x-frame-options"] == "DENY"
    assert page.headers["cache-control"] == "no-store"
    assert "cache-control" not in part.headers


def test_two_workbenches_on_one_machine_have_cookies_of_their_own():
    """A browser does not tell ports apart: the name does."""
    names = set()
    for port in (8123, 8124):
        host = f"127.0.0.1:{port}"
        browser = Browser(Gate(_app(), [host], TOKEN, SESSION), host)
        browser.ask(f"/?token={TOKEN}")
        names.add(browser.cookie.partition("=")[0])
    assert len(names) == 2


@pytest.mark.parametrize("gone", [True, False])
def test_a_window_that_is_closed_while_its_page_is_built_is_no_fault(gone):
    """What its page then cannot answer is not told as an error; a fault of a page that is waited for is."""

    async def failing(scope, receive, send):
        await receive()
        raise RuntimeError(WHY)

    gate = Gate(failing, [HOST], TOKEN, SESSION)
    headers = [(b"host", HOST.encode()), (b"cookie", f"{COOKIE}={SESSION}".encode())]
    scope = {
        "type": "http",
        "method": "GET",
        "path": "/",
        "query_string": b"",
        "headers": headers,
        "scheme": "http",
    }
    kind = "http.disconnect" if gone else "http.request"

    async def receive():
        return {"type": kind}

    async def send(message):
        raise AssertionError(message)

    with nullcontext() if gone else pytest.raises(RuntimeError, match=WHY):
        asyncio.run(gate(scope, receive, send))
