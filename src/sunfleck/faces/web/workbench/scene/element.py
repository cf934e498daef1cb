"""The enclosure in space as an element of a page: what is sent to it, and what happens in it.

Everything goes to the browser by one way of its own, in order, as binary messages of the page's socket: NiceGUI
keeps what goes by its own way for a reconnection, and would keep every paint of a drag. What is shown is sent
again whenever the browser says `ready`: at first, and after its connection was lost.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import asdict
from typing import Any, Literal

import nicegui.elements.scene  # noqa: F401  # puts its three.js into the page's import map
from nicegui import background_tasks, core
from nicegui.element import Element
from nicegui.events import GenericEventArguments

from sunfleck.faces.web.workbench.scene.happenings import (
    Aimed,
    Command,
    Dragging,
    Dropped,
    MarkPicked,
    Picked,
    Probed,
    SectionMoved,
    read_happening,
)
from sunfleck.outputs.scales import System, ruler
from sunfleck.outputs.scene.parts import Mark
from sunfleck.outputs.scene.words import scene_words

ViewName = Literal["front", "left", "right", "top", "corner"]
MESSAGE = "sunfleck_scene"
# What is nudged and snapped to unless `snap` says otherwise: a centimetre, half an inch. [m]
STEPS: dict[System, float] = {"metric": 0.01, "us": 0.0127}


class SceneView(Element, component="scene.js", esm={"sunfleck-scene": "modules"}):
    """The box and what is in it, to be looked at, picked from, moved and painted.

    Call its methods in the event loop, not in a thread.

    Parameters
    ----------
    system : str
        ``metric`` or ``us``: lengths as shown, and the step of the grid.
    on_ready, on_picked, on_dragging, on_dropped, on_aimed, on_section, on_probed, on_mark, on_command : callable
        Called with what happened, see :mod:`sunfleck.faces.web.workbench.scene.happenings`; `on_ready` with
        nothing. They may be coroutines. There are no others: an event that is added later would build the
        element anew.
    """

    def __init__(
        self,
        *,
        system: System = "metric",
        on_ready: Callable[[], Any] | None = None,
        on_picked: Callable[[Picked], Any] | None = None,
        on_dragging: Callable[[Dragging], Any] | None = None,
        on_dropped: Callable[[Dropped], Any] | None = None,
        on_aimed: Callable[[Aimed], Any] | None = None,
        on_section: Callable[[SectionMoved], Any] | None = None,
        on_probed: Callable[[Probed], Any] | None = None,
        on_mark: Callable[[MarkPicked], Any] | None = None,
        on_command: Callable[[Command], Any] | None = None,
    ) -> None:
        super().__init__()
        rule = ruler(system)
        self._props["lengths"] = {"unit": rule.unit, "metre": rule.metre, "part": STEPS[system] * rule.metre}
        self._props["words"] = scene_words()
        self._on_ready = on_ready
        self._ready = False
        # The newest of each kind, in the order in which they have to be sent again.
        self._kept: dict[str, dict[str, Any]] = {}
        self._waiting: list[dict[str, Any]] = []
        self._sending = False
        self.on("ready", self._begin)
        handlers: dict[str, Callable[[Any], Any] | None] = {
            "picked": on_picked,
            "dragging": on_dragging,
            "dropped": on_dropped,
            "aimed": on_aimed,
            "section": on_section,
            "probed": on_probed,
            "mark": on_mark,
            "command": on_command,
        }
        for name, handler in handlers.items():
            self.on(name, self._passed_on(name, handler))
        self.snap(STEPS[system])

    def show(self, scene: bytes) -> None:
        """Draw a packed scene. Camera and selection stay; of the items only those that changed are built anew."""
        self._keep("show", data=scene)

    def paint(self, seq: int, paint: bytes) -> None:
        """Put a packed paint over the scene, in place of the one before; `seq` is of the event it answers, or 0."""
        self._keep("paint", seq=seq, data=paint)

    def before(self, scene: bytes | None) -> None:
        """Show faintly how a packed scene differs, for comparing; None ends it."""
        self._keep("before", data=scene)

    def select(self, key: str | None) -> None:
        """Choose an item, or nothing; no event comes of it."""
        self._keep("select", key=key)

    def hide(self, keys: Iterable[str]) -> None:
        """Leave these items, walls (``walls/front``) and openings out of the picture, and no others."""
        self._keep("hide", keys=sorted(keys))

    def marks(self, marks: Iterable[Mark]) -> None:
        """Show these verdicts at their places, and no others."""
        self._keep("marks", marks=[asdict(mark) for mark in marks])

    def snap(self, step: float) -> None:
        """Snap to a grid of this step; 0 for none. [m]"""
        self._keep("snap", step=step)

    def probe(self, *, on: bool) -> None:
        """Whether a plain click asks for the value at a point, as a click with Shift always does."""
        self._keep("probe", on=on)

    def look(self, name: ViewName) -> None:
        """Turn the camera to a standard view."""
        self._keep("look", name=name)

    def _keep(self, what: str, **content: Any) -> None:
        message = {"el": self.id, "what": what, **content}
        self._kept.pop(what, None)
        # A view is turned to once; the camera stays with the user after that.
        if not (self._ready and what == "look"):
            self._kept[what] = message
        if self._ready:
            self._send(message)

    def _begin(self) -> Any:
        self._ready = True
        self._waiting.clear()
        # A scene first: everything else is about it.
        for message in sorted(self._kept.values(), key=lambda each: each["what"] != "show"):
            self._send(message)
        self._kept.pop("look", None)
        return self._on_ready() if self._on_ready is not None else None

    def _send(self, message: dict[str, Any]) -> None:
        # Of a kind that waits still, only the newest is of use.
        self._waiting = [each for each in self._waiting if each["what"] != message["what"]]
        self._waiting.append(message)
        if not self._sending:
            self._sending = True
            background_tasks.create(self._drain(), name=f"scene {self.id}")

    async def _drain(self) -> None:
        try:
            while self._waiting and not self.is_deleted:
                await core.sio.emit(MESSAGE, self._waiting.pop(0), room=self.client.id)
        finally:
            self._sending = False

    def _passed_on(self, name: str, handler: Callable[[Any], Any] | None) -> Callable[..., Any]:
        def passed(event: GenericEventArguments) -> Any:
            happening = read_happening(name, event.args)
            if isinstance(happening, Picked):
                # After a lost connection the user's choice is sent again, not the page's older one.
                self._kept["select"] = {"el": self.id, "what": "select", "key": happening.key}
            return handler(happening) if handler is not None and happening is not None else None

        return passed
