"""A browser, and a server of pages, once for all tests of a worker."""

import asyncio
import os
import socket
import threading
from pathlib import Path

import pytest

CHROMIUM = Path("/usr/bin/chromium")
# Software GL, nothing asked of the network.
FLAGS = [
    "--no-sandbox",
    "--use-angle=swiftshader",
    "--enable-unsafe-swiftshader",
    "--ignore-gpu-blocklist",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
]


class LoopAside:
    """Puts the browser driver's event loop aside for tests that have no browser.

    Its loop counts as running in this thread from the first such test to the last, and `asyncio.run` of any other
    test would be refused.
    """

    def __init__(self):
        self.loop = asyncio.get_running_loop()

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_setup(self, item):
        return (yield from self.without(item))

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_call(self, item):
        return (yield from self.without(item))

    # Not at the end of a test: pages and contexts of the tests before may be closed then.

    def without(self, item):
        if "browser" in item.fixturenames:
            return (yield)
        asyncio._set_running_loop(None)
        try:
            return (yield)
        finally:
            asyncio._set_running_loop(self.loop)


@pytest.fixture(scope="session")
def browser(request):
    """Chromium, once a worker."""
    if not CHROMIUM.exists() and not os.environ.get("CI"):
        pytest.skip(f"{CHROMIUM} is not there; where CI is set this is a failure")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        found = playwright.chromium.launch(executable_path=str(CHROMIUM), args=FLAGS)
        aside = LoopAside()
        request.config.pluginmanager.register(aside)
        yield found
        request.config.pluginmanager.unregister(aside)
        found.close()


@pytest.fixture(scope="session")
def pages(tmp_path_factory):
    """The address of one server of NiceGUI pages; a test adds its own with ``@ui.page("/a-path-of-its-own")``."""
    os.environ["NICEGUI_STORAGE_PATH"] = str(tmp_path_factory.mktemp("nicegui"))
    import uvicorn
    from fastapi import FastAPI
    from nicegui import ui

    app = FastAPI()
    ui.run_with(app, storage_secret="of no worth", show_welcome_message=False)
    listener = socket.create_server(("127.0.0.1", 0))
    server = uvicorn.Server(uvicorn.Config(app, log_level="error"))
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]})
    thread.start()
    while not server.started:
        thread.join(0.01)
    yield f"http://127.0.0.1:{listener.getsockname()[1]}"
    server.should_exit = True
    thread.join(20)
    listener.close()
    assert not thread.is_alive()
