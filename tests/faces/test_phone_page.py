"""The page on a phone: who is let in, what is refused, two phones at once; on this machine's own address only."""

import http.client
import json
import re
import signal
import socket
import threading
from contextlib import contextmanager, suppress
from pathlib import Path

import pytest
from click.testing import CliRunner

from oracles.surveys import PLAN, SOUND
from sunfleck.errors import SunfleckError
from sunfleck.faces import page_command
from sunfleck.faces.cli import main
from sunfleck.faces.web import phone_page, serving
from sunfleck.outputs.qr_text import QUIET, qr_text
from sunfleck.plan.read_survey import read_survey
from sunfleck.service.phone_round import PhoneRound

TOKENS = ("first-token-of-this-round", "second-token-of-this-round")
PHONE = Path(phone_page.__file__).parent / "phone"


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "plan.yaml").write_text(PLAN, encoding="utf-8")
    (tmp_path / "surveys").mkdir()
    (tmp_path / "surveys" / "2026-11-26-dry.yaml").write_bytes(SOUND.encode())
    return tmp_path


@contextmanager
def served(app, listener):
    """Serve until the block ends; the socket listens already, so nobody has to wait."""
    server = serving.server_of(app(listener.getsockname()[1]))
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]})
    thread.start()
    try:
        yield listener.getsockname()[1]
    finally:
        server.should_exit = True
        thread.join(20)
        listener.close()
    assert not thread.is_alive()


@pytest.fixture
def port(folder):
    phones = PhoneRound(folder, compare=False)

    def app(number):
        return phone_page.phone_app(phones, TOKENS, [f"127.0.0.1:{number}", f"localhost:{number}"])

    with served(app, serving.listening("127.0.0.1", 0)) as number:
        yield number


class Phone:
    """A browser as far as it matters: one connection, a cookie, an origin."""

    def __init__(self, port):
        self.port, self.cookie = port, ""
        self.connection = http.client.HTTPConnection("127.0.0.1", port, timeout=20)

    def ask(self, method, path, body=None, **headers):
        sent = {"Origin": f"http://127.0.0.1:{self.port}"} if method == "POST" else {}
        sent |= {"Content-Type": "application/json"} if body is not None else {}
        sent |= {"Cookie": self.cookie} if self.cookie else {}
        sent |= {key.replace("_", "-"): value for key, value in headers.items()}
        sent = {key: value for key, value in sent.items() if value is not None}
        data = body if isinstance(body, bytes) or body is None else json.dumps(body).encode()
        self.connection.request(method, path, data, sent)
        answer = self.connection.getresponse()
        text = answer.read().decode()
        return answer, json.loads(text) if "json" in (answer.getheader("content-type") or "") else text

    def let_in(self, token):
        answer, found = self.ask("POST", "/session", {"token": token})
        if answer.status == 200:
            self.cookie = answer.getheader("set-cookie").split(";")[0]
        return answer, found


@pytest.fixture
def phone(port):
    made = Phone(port)
    yield made
    made.connection.close()


def test_the_page_and_what_it_loads_come_from_here_alone(phone):
    """Every file named in the page is served, nothing is asked of another place, no answer lacks its headers."""
    answer, page = phone.ask("GET", "/")
    assert answer.status == 200
    policy = answer.getheader("content-security-policy")
    assert policy.startswith("default-src 'none'")
    assert "unsafe" not in policy
    assert "http" not in policy
    assert answer.getheader("access-control-allow-origin") is None
    assert answer.getheader("server") is None
    named = re.findall(r'(?:src|href)="([^"]+)"', page)
    text = page
    for path in [*named, "/queue.js", "/parts.js"]:
        answer, content = phone.ask("GET", path)
        assert (answer.status, answer.getheader("x-content-type-options")) == (200, "nosniff"), path
        text += content
    assert set(phone_page.FILES) == {"/", *named, "/queue.js", "/parts.js"}
    assert {file.name for file in PHONE.iterdir()} == {name for name, _ in phone_page.FILES.values()}
    assert (
        re.findall(r"https?:|//[a-z]|url\(|@import|innerHTML|eval\(|style=", text.replace("https only", ""))
        == []
    )
    imported = set(re.findall(r'from "\./([a-z]+\.js)"', text))
    assert {f"/{name}" for name in imported} <= set(phone_page.FILES)


def test_a_token_lets_one_phone_in_once(phone, port):
    """The second phone needs the second token; the cookie is for this page's own asking only."""
    assert phone.ask("GET", "/state")[0].status == 401
    assert phone.let_in("another")[0].status == 403
    answer, _ = phone.let_in(TOKENS[0])
    cookie = answer.getheader("set-cookie").lower()
    assert "httponly" in cookie
    assert "samesite=strict" in cookie
    assert phone.ask("GET", "/state")[0].status == 200
    second = Phone(port)
    refused, told = second.let_in(TOKENS[0])
    assert (refused.status, refused.getheader("set-cookie")) == (403, None)
    assert "used already" in told["error"]
    assert second.let_in(TOKENS[1])[0].status == 200
    second.cookie = "sunfleck_session=guessed"
    assert second.ask("GET", "/state")[0].status == 401
    assert second.ask("POST", "/reading", {"id": "phone-b-0001"})[0].status == 401
    second.connection.close()


REFUSED = [
    ("GET", "/state", {"Host": "elsewhere.example"}, 421),
    ("GET", "/", {"Host": "elsewhere.example"}, 421),
    ("GET", "/state", {"Host": "127.0.0.1"}, 421),
    ("GET", "/state", {"Origin": "http://elsewhere.example"}, 403),
    ("GET", "/state", {"Sec_Fetch_Site": "cross-site"}, 403),
    ("POST", "/reading", {"Origin": None}, 403),
    ("POST", "/reading", {"Origin": "null"}, 403),
    ("POST", "/held", {"Origin": "http://elsewhere.example"}, 403),
    ("POST", "/session", {"Origin": "http://elsewhere.example"}, 403),
    ("POST", "/reading", {"Content_Type": "text/plain"}, 415),
    ("POST", "/session", {"Content_Type": "application/x-www-form-urlencoded"}, 415),
    ("PUT", "/reading", {}, 405),
    ("DELETE", "/state", {}, 405),
    ("POST", "/", {}, 405),
    ("GET", "/reading", {}, 405),
    ("GET", "/../plan.yaml", {}, 404),
    ("GET", "/%2e%2e/%2e%2e/plan.yaml", {}, 404),
    ("GET", "/page.css/../../guard.py", {}, 404),
    ("GET", "//page.html", {}, 404),
    ("GET", "/surveys/.entered.jsonl", {}, 404),
]


@pytest.fixture(scope="module")
def let_in(tmp_path_factory):
    """One phone for all that is refused."""
    folder = tmp_path_factory.mktemp("refused")
    (folder / "plan.yaml").write_text(PLAN, encoding="utf-8")
    (folder / "surveys").mkdir()
    (folder / "surveys" / "2026-11-26-dry.yaml").write_bytes(SOUND.encode())
    phones = PhoneRound(folder, compare=False)

    def app(number):
        return phone_page.phone_app(phones, TOKENS, [f"127.0.0.1:{number}"])

    with served(app, serving.listening("127.0.0.1", 0)) as number:
        made = Phone(number)
        assert made.let_in(TOKENS[0])[0].status == 200
        yield made
        made.connection.close()


@pytest.mark.parametrize(("method", "path", "headers", "status"), REFUSED)
def test_what_another_page_or_a_hand_may_send_is_refused(let_in, method, path, headers, status):
    """With a session, and yet: wrong host, origin, kind, method or path."""
    body = (
        {"id": "phone-a-0001", "at": "1", "uvi": "2", "with": "club meter"}
        if method in ("POST", "PUT")
        else None
    )
    answer, _ = let_in.ask(method, path, body, **headers)
    assert answer.status == status
    assert answer.getheader("content-security-policy")
    assert let_in.ask("GET", "/state")[1]["stations"][0]["readings"][1:] == []


BODIES = [
    (b"x" * (64 * 1024 + 1), 413),
    (b"not json", 400),
    (b"[1]", 400),
    (b'"text"', 400),
    (b"[" * 60_000, 400),
    (b"", 400),
    (b"\xff\xfe", 400),
    (b"{}", 200),
    (b'{"id": "phone-a-0009", "at": {"deep": [1]}, "with": 3, "uvi": null}', 200),
    (b'{"id": "phone-a-\\ud800", "note": "\\ud800", "at": "1"}', 400),
    (b'{"id": "phone-a-0010", "at": "1", "with": "club meter", "uvi": "1", "note": "\\ud800"}', 400),
    (b'{"id": "phone-a-0011", "at": "\\u0000", "with": "\\u202e", "uvi": "\\n"}', 200),
]


@pytest.mark.parametrize(("body", "status"), BODIES)
def test_no_body_breaks_it(let_in, body, status):
    """Too large, no JSON, or JSON of another shape: refused in words, and the next is answered."""
    for path in ("/reading", "/held"):
        answer, told = let_in.ask("POST", path, body)
        assert answer.status == status, told
        assert status != 200 or told["state"] in ("refused", "taken")
        if answer.getheader("connection") == "close":
            let_in.connection.close()
    assert let_in.ask("GET", "/state")[0].status == 200


def test_a_body_that_hides_its_length_is_counted(let_in):
    """Sent in chunks, without a length."""
    head = [
        f"POST /reading HTTP/1.1\r\nHost: 127.0.0.1:{let_in.port}\r\nOrigin: http://127.0.0.1:{let_in.port}"
    ]
    head += [f"Cookie: {let_in.cookie}", "Content-Type: application/json", "Transfer-Encoding: chunked"]
    chunk = b"8000\r\n" + b" " * 0x8000 + b"\r\n"
    with socket.create_connection(("127.0.0.1", let_in.port), timeout=20) as raw:
        raw.sendall("\r\n".join(head).encode() + b"\r\n\r\n" + 3 * chunk)
        assert raw.recv(100).startswith(b"HTTP/1.1 413")


def test_two_phones_lose_nothing(port, folder):
    """25 readings each at once, every third sent twice as after a lost answer: 50 stand there, each once."""
    answers = []

    def enter(token, who):
        made = Phone(port)
        made.let_in(token)
        for number in range(25):
            body = {"id": f"phone-{who}-{number:04}", "at": "1", "uvi": "2,4", "with": "club meter"}
            body["note"] = f"{who} {number}"
            for _ in range(2 if number % 3 == 0 else 1):
                answers.append(made.ask("POST", "/reading", body)[1]["state"])
        made.connection.close()

    threads = [threading.Thread(target=enter, args=pair) for pair in zip(TOKENS, "ab", strict=True)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    readings = read_survey(folder / "surveys" / "2026-11-26-dry.yaml").survey.readings
    notes = [reading.note for reading in readings[3:]]
    assert sorted(notes) == sorted(f"{who} {number}" for who in "ab" for number in range(25))
    assert (answers.count("taken"), answers.count("already")) == (50, 18)


def test_what_cannot_be_written_is_told_to_be_sent_again(phone, folder):
    """503 with the reason: the phone keeps its entry."""
    phone.let_in(TOKENS[0])
    journal = folder / "surveys" / ".entered.jsonl"
    journal.mkdir()
    body = {"id": "phone-a-0001", "at": "1", "uvi": "2", "with": "club meter"}
    answer, told = phone.ask("POST", "/reading", body)
    assert answer.status == 503
    assert "cannot write" in told["error"]
    journal.rmdir()
    assert phone.ask("POST", "/reading", body)[1]["state"] == "taken"


def luminance(colour):
    """Relative luminance (WCAG 2.2) of #rrggbb."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [x / 12.92 if x <= 0.04045 else ((x + 0.055) / 1.055) ** 2.4 for x in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def test_text_stands_out_from_its_ground():
    """4.5 to 1 at least (WCAG 2.2, 1.4.3), light and dark; 3 to 1 for the edges of fields (1.4.11)."""
    css = (PHONE / "page.css").read_text(encoding="utf-8")
    light, dark = (dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6})", part)) for part in css.split("@media")[:2])
    for theme in (light, dark):
        for text, ground, least in [
            *(
                (text, ground, 4.5)
                for text in ("ink", "quiet", "asked", "main")
                for ground in ("ground", "raised")
            ),
            *(("ink", ground, 4.5) for ground in ("asked-ground", "taken-ground", "kept-ground")),
            *(("asked", ground, 4.5) for ground in ("asked-ground", "taken-ground", "kept-ground")),
            *(("quiet", ground, 4.5) for ground in ("asked-ground", "taken-ground", "kept-ground")),
            ("on-main", "main", 4.5),
            ("line", "ground", 3.0),
            ("line", "raised", 3.0),
        ]:
            low, high = sorted(luminance(theme[key]) for key in (text, ground))
            assert (high + 0.05) / (low + 0.05) >= least, (text, ground, (high + 0.05) / (low + 0.05))


def test_the_code_is_what_a_camera_reads():
    """The blocks, read back, are the modules of the standard's encoder, with four of quiet around them."""
    import segno

    address = "http://192.168.1.20:8347/#" + "a" * 22
    rows = qr_text(address).splitlines()
    upper, lower = {"█": 1, "▀": 1, "▄": 0, " ": 0}, {"█": 1, "▀": 0, "▄": 1, " ": 0}
    read = [[table[sign] for sign in row] for row in rows for table in (upper, lower)]
    wanted = [list(row) for row in segno.make_qr(address, error="m").matrix_iter(border=QUIET)]
    assert read[: len(wanted)] == wanted
    assert max(len(row) for row in rows) <= 45  # fits beside a prompt of 80 columns


def test_the_command_says_who_can_see_it_and_ends_with_ctrl_c(folder, monkeypatch):
    """Without --network on this machine only; with it in words first; a code for each phone."""
    ran = []

    class Server:
        told = False

        def handle_exit(self, *_):
            self.told = True

        def run(self, sockets):
            ran.append(sockets[0].getsockname()[0])
            signal.raise_signal(signal.SIGINT)
            assert self.told

    monkeypatch.setattr(serving, "server_of", lambda _: Server())
    done = CliRunner().invoke(
        main, ["survey", "page", str(folder), "--port", "0", "--phones", "3", "--blind"]
    )
    assert done.exit_code == 0, done.output
    assert "on this machine only" in done.stdout
    assert len(set(re.findall(r"http://127\.0\.0\.1:\d+/#(\S{22})", done.stdout))) == 3
    assert "█" not in done.stdout
    monkeypatch.setattr(serving, "own_address", lambda: "127.0.0.1")
    done = CliRunner().invoke(main, ["survey", "page", str(folder), "--port", "0", "--network"])
    assert "Whoever is in this network can see" in done.stdout
    assert "Ctrl-C" in done.stdout
    assert "█" in done.stdout
    assert ran == ["127.0.0.1", "127.0.0.1"]


def test_an_interruption_is_not_lost_in_what_is_loaded():
    """Ctrl-C while something is loaded that swallows whatever is raised: the server ends all the same."""
    with serving.listening("127.0.0.1", 0) as listener:
        server = serving.server_of(lambda: None)
        with serving.ended_by_interrupt(server):
            with suppress(BaseException):
                signal.raise_signal(signal.SIGINT)
            assert server.should_exit
            server.run(sockets=[listener])
    assert signal.getsignal(signal.SIGINT) is signal.default_int_handler


def test_refusals_of_the_command(folder, monkeypatch):
    """A port that is taken, no such survey, an extra that is not installed."""
    with socket.create_server(("127.0.0.1", 0)) as taken:
        words = ["survey", "page", str(folder), "--port", str(taken.getsockname()[1])]
        done = CliRunner().invoke(main, words)
    assert done.exit_code == 2
    assert "give another --port" in done.stderr
    done = CliRunner().invoke(main, ["survey", "page", str(folder), "--survey", "final"])
    assert (done.exit_code, "no survey is called" in done.stderr) == (2, True)
    monkeypatch.setattr(page_command, "NEEDED", ("no_such_package",))
    done = CliRunner().invoke(main, ["survey", "page", str(folder)])
    assert (done.exit_code, 'pip install "sunfleck[page]"' in done.stderr) == (2, True)


@pytest.mark.parametrize(
    ("found", "fits"),
    [("192.168.1.20", True), ("203.0.113.9", False), ("127.0.0.1", False), ("8.8.8.8", False)],
)
def test_only_an_address_of_a_local_network_is_served(monkeypatch, found, fits):
    """Never one that the whole internet may reach."""

    class Probe:
        def connect(self, _):
            pass

        def getsockname(self):
            return (found, 1)

        def close(self):
            pass

    monkeypatch.setattr(serving.socket, "socket", lambda *_: Probe())
    if fits:
        assert serving.own_address() == found
    else:
        with pytest.raises(SunfleckError, match="no address of a local network"):
            serving.own_address()


def test_a_stop_is_signed_by_command(folder):
    """With the plan's own names; another is refused with its neighbour."""
    words = ["survey", "held", str(folder)]
    done = CliRunner().invoke(main, [*words, "smel", "--by", "A. Keeper"])
    assert (done.exit_code, "survey.hold-point" in done.stderr) == (2, True)
    assert "try     smell" in done.stderr
    done = CliRunner().invoke(main, [*words, "smell", "--by", "A. Keeper", "--note", "after 24 h"])
    assert done.exit_code == 0, done.output
    held = read_survey(folder / "surveys" / "2026-11-26-dry.yaml").survey.held
    assert [(each.what, each.by, each.note) for each in held] == [("smell", "A. Keeper", "after 24 h")]
