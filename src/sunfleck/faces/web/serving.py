"""Serve a page on this machine, or in the local network when that was asked for."""

from __future__ import annotations

import ipaddress
import signal
import socket
from collections.abc import Iterator
from contextlib import closing, contextmanager

import uvicorn
from starlette.types import ASGIApp

from sunfleck.errors import SunfleckError

HERE = "127.0.0.1"
# A phone keeps what it has not sent under the page's address: the same port the next time finds it again.
USUAL_PORT = 8347
# For documentation (RFC 5737): nobody has it, and nothing is sent to it.
ELSEWHERE = ("192.0.2.1", 9)
# RFC 1918, and RFC 3927 where no router gave an address.
LOCAL = tuple(map(ipaddress.ip_network, ("10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "169.254.0.0/16")))


def own_address() -> str:
    """Return this machine's address in the local network.

    Raises
    ------
    SunfleckError
        If it has none, or only one that the whole internet may reach.
    """
    try:
        with closing(socket.socket(socket.AF_INET, socket.SOCK_DGRAM)) as probe:
            # Connecting a datagram socket sends nothing; it only picks the way out.
            probe.connect(ELSEWHERE)
            found = str(probe.getsockname()[0])
    except OSError as error:
        reason = error.strerror or str(error)
        msg = f"this machine is in no local network ({reason}); without --network the page is served on it alone"
        raise SunfleckError(msg) from error
    address = ipaddress.ip_address(found)
    if not any(address in network for network in LOCAL):
        msg = f"{found} is no address of a local network; the page is not served there"
        raise SunfleckError(msg)
    return found


def listening(address: str, port: int | None) -> socket.socket:
    """Return a socket that listens.

    Parameters
    ----------
    address : str
        This machine's.
    port : int, optional
        Which; 0 for any that is free; the usual one, or any that is free, when left out. [-]

    Raises
    ------
    SunfleckError
        If nothing can listen there.
    """
    tried = [USUAL_PORT, 0] if port is None else [port]
    reason = ""
    for each in tried:
        try:
            return socket.create_server((address, each), backlog=64)
        except OSError as error:
            reason = error.strerror or str(error)
    msg = f"nothing can be served at {address}:{tried[0]} ({reason}); give another --port"
    raise SunfleckError(msg)


def server_of(app: ASGIApp, *, sockets: bool = False) -> uvicorn.Server:
    """Return a server; its ``run(sockets=[...])`` serves until it is interrupted, or ``should_exit`` is set.

    Parameters
    ----------
    app : ASGI application
        What is served.
    sockets : bool
        Whether its pages keep a socket open, and it has a beginning and an end of its own; windows then stay, and are
        as many as the user opens.
    """
    config = uvicorn.Config(
        app,
        http="h11",
        ws="websockets-sansio" if sockets else "none",
        lifespan="on" if sockets else "off",
        loop="asyncio",
        log_level="error",
        access_log=False,
        server_header=False,
        proxy_headers=False,
        limit_concurrency=None if sockets else 60,
        timeout_keep_alive=20,
        timeout_graceful_shutdown=3,
    )
    return uvicorn.Server(config)


@contextmanager
def ended_by_interrupt(server: uvicorn.Server) -> Iterator[None]:
    """Let Ctrl-C end a server from here on, also one that only begins to run.

    The usual exception is raised wherever the program happens to be, and some of what is loaded on the way swallows
    whatever is raised in it: the server would then run on.
    """
    before = signal.signal(signal.SIGINT, server.handle_exit)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)
