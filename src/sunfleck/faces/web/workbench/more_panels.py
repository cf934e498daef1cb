"""What is looked at now and then: the climate's charts, why everything is where it is, the plan as text."""

from __future__ import annotations

import base64
from collections.abc import Callable
from typing import Any

from nicegui import ui

from sunfleck.faces.web.workbench.words import say, typeset
from sunfleck.faces.web.workbench.working import beside, done
from sunfleck.service.workbench.bench import Bench
from sunfleck.service.workbench.judging import Judged
from sunfleck.service.workbench.session import State


class ClimatePanel:
    """Charts of day and year, drawn when they are opened."""

    def __init__(self, bench: Bench) -> None:
        """Build it, closed."""
        self._bench = bench
        self._drawn: object = None
        self._open, self._dark = False, False
        with ui.element("details").mark("climate") as details:
            with ui.element("summary"):
                ui.label(say("climate"))
            self._body = ui.element("div").classes("stack sf-chart")
        # Whether it is dark only the browser knows, where that follows the system.
        seen = "[e.target.open, document.body.classList.contains('body--dark')]"
        details.on("toggle", self._turned, js_handler=f"(e) => emit({seen})")

    async def _turned(self, event: Any) -> None:
        seen = event.args if isinstance(event.args, list) and len(event.args) == 2 else [event.args, False]
        self._open, self._dark = seen[0] is True, seen[1] is True
        await self.refresh(self._bench.judged)

    async def refresh(self, judged: Judged | None) -> None:
        """Draw what is known by now, where it is open."""
        if self._body.is_deleted:
            return
        self._body.classes(remove="old") if self._bench.current else self._body.classes(add="old")
        if not self._open or judged is None or judged.stage == "light":
            return
        wanted = (judged.turn, self._dark)
        if wanted == self._drawn:
            return
        self._drawn = wanted
        self._told(say("climate-working"))
        dark = self._dark
        charts = await beside(self._told, lambda: self._bench.charts(judged.source, dark=dark))
        if wanted != self._drawn or charts is None or self._body.is_deleted:
            return
        self._body.clear()
        with self._body:
            for title, svg in charts:
                data = base64.b64encode(svg.encode()).decode()
                words = title.replace("-", " ").replace('"', "'")
                ui.element("img").props(f'src="data:image/svg+xml;base64,{data}" alt="{words}"')
            if judged.climate is not None:
                with ui.element("h3"):
                    ui.label(say("climate-heat"))
                with ui.element("ul"):
                    for line in judged.climate.words:
                        with ui.element("li"):
                            ui.label(typeset(line))

    def _told(self, words: str) -> None:
        if self._body.is_deleted:
            return
        self._body.clear()
        with self._body:
            ui.label(words).props('role="status"')


class ReasonsPanel:
    """Why each thing of a proposed layout is where it is."""

    def __init__(self, bench: Bench, choose: Callable[[str | None], None]) -> None:
        """Build it."""
        self._bench, self._choose = bench, choose
        self._seen: object = None
        self.box = ui.element("details").mark("reasons")
        self.show()

    def show(self) -> None:
        """Show the reasons of the newest proposal; nothing where the plan was not proposed here."""
        first = self._bench.first
        self.box.set_visibility(first is not None)
        if first is None or first is self._seen:
            return
        self._seen = first
        self.box.clear()
        with self.box:
            with ui.element("summary"):
                ui.label(say("reasons"))
            with ui.element("ul"):
                for reason in first.reasons:
                    with ui.element("li"):
                        chip = ui.element("button").classes("sf-chip").props('type="button"')
                        chip.on("click", lambda path=reason.path: self._choose(path))
                        with chip:
                            ui.label(reason.title)
                        ui.label(f"{reason.reason} ({reason.basis})")
            if first.left_open:
                with ui.element("h3"):
                    ui.label(say("left-open"))
                with ui.element("ul"):
                    for left in first.left_open:
                        with ui.element("li"):
                            ui.label(f"{left.title}: {left.reason}")


class TextPanel:
    """The plan as the command line reads it; what is typed there is taken over as one step."""

    def __init__(self, bench: Bench, told: Callable[[str], None]) -> None:
        """Build it, closed."""
        self._bench, self._tell = bench, told
        self._base = ""
        with ui.element("details"):
            with ui.element("summary"):
                ui.label(say("text"))
            with ui.element("div").classes("stack"):
                ui.label(say("text-hint")).classes("quiet")
                self._area = ui.textarea(label=say("text")).props("outlined autogrow spellcheck=false")
                self._area.classes("sf-text").mark("plan-text")
                ui.button(say("text-apply"), on_click=self._apply).props("outline dense color=none").mark(
                    "take-text"
                )

    def show(self, state: State) -> None:
        """Show the newest text, unless somebody is typing in the old one."""
        if self._area.value in (self._base, ""):
            self._base = state.text
            self._area.value = state.text

    def _apply(self) -> None:
        typed = str(self._area.value or "")
        if done(self._tell, lambda: self._bench.take_typed(self._base, typed)):
            self._base = self._area.value = self._bench.state.text
