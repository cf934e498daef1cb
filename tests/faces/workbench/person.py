"""A person in front of the workbench, without a browser: opens, finds, clicks, types, waits."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable
from itertools import count

import httpx
from nicegui import Client, core, ui
from nicegui.functions.download import download
from nicegui.functions.navigate import Navigate
from nicegui.functions.notify import notify
from nicegui.testing.user import User

from sunfleck.faces.web.workbench.app import Workbench

# Far more than anything takes; a test that waits for it has failed. [s]
PATIENCE = 60.0


class Person:
    """One window, and what is done in it."""

    def __init__(self, user: User, path: str) -> None:
        self.user, self.path = user, path

    async def another(self) -> Person:
        """A second window on the same plan."""
        person = Person(User(self.user.http_client), self.path)
        await person.user.open(self.path)
        return person

    def texts(self, mark: str) -> list[str]:
        """What stands in the elements of a mark."""
        return [str(getattr(element, "text", "")) for element in self._elements(mark)]

    def text(self, mark: str) -> str:
        """What stands in the one element of a mark."""
        (found,) = self.texts(mark)
        return found

    def value(self, mark: str) -> object:
        """What stands in a field."""
        (element,) = self._elements(mark)
        return element.value

    def has(self, mark: str) -> bool:
        """Whether there is such an element in sight."""
        try:
            return bool(self._elements(mark))
        except AssertionError:
            return False

    def sees(self, words: str) -> bool:
        """Whether these words stand anywhere in sight."""
        try:
            with self.user.client:
                return bool(self.user.find(words).elements)
        except AssertionError:
            return False

    def click(self, mark: str) -> None:
        """Click on the one element of a mark."""
        self.user.find(marker=mark).click()

    async def enter(self, mark: str, value: object) -> None:
        """Put a value into a field and leave it."""
        (element,) = self._elements(mark)
        with self.user.client:
            element.value = value
        if isinstance(element, ui.input):
            self.user.find(marker=mark).trigger("change")
        await asyncio.sleep(0)

    async def until(self, true: Callable[[], bool], what: str) -> None:
        """Wait until something is so."""
        end = asyncio.get_running_loop().time() + PATIENCE
        while not true():
            assert asyncio.get_running_loop().time() < end, f"waited in vain for {what}"
            await asyncio.sleep(0.02)

    def _elements(self, mark: str):
        with self.user.client:
            return sorted(self.user.find(marker=mark).elements, key=lambda element: element.id)


_paths = (f"/bench-{number}" for number in count())


def sit_down(workbench: Workbench, doing: Callable[[Person], Awaitable[None]]) -> None:
    """Open the workbench's page and do something with it, in the server of the `pages` fixture: there is one a process.

    The page is called without a browser, in the server's own loop.
    """
    path = next(_paths)
    ui.page(path)(workbench.page)

    async def run() -> None:
        others = set(Client.instances)
        transport = httpx.ASGITransport(core.app)
        async with httpx.AsyncClient(transport=transport, base_url="http://test") as client:
            person = Person(User(client), path)
            await person.user.open(path)
            try:
                await doing(person)
            finally:
                # A window that stays open would go on, and take what is navigated and told later for its own.
                for id_ in set(Client.instances) - others:
                    Client.instances[id_].delete()
                ui.navigate, ui.notify, ui.download = Navigate(), notify, download

    try:
        asyncio.run_coroutine_threadsafe(run(), core.loop).result(3 * PATIENCE)
    finally:
        workbench.close()
