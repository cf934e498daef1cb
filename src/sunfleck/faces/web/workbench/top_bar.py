"""The line on top: the plan's name, whether it is saved, undo and redo, units, light or dark."""

from __future__ import annotations

from collections.abc import Callable

from nicegui import ui

from sunfleck.faces.web.workbench.words import say
from sunfleck.faces.web.workbench.working import Told, attributes, done
from sunfleck.service.workbench import edits
from sunfleck.service.workbench.bench import Bench
from sunfleck.service.workbench.session import State

THEMES: dict[str, bool | None] = {"auto": None, "light": False, "dark": True}


class TopBar:
    """Name and file, steps, units and theme."""

    def __init__(
        self,
        bench: Bench,
        apply: Callable[..., bool],
        save: Callable[[], None],
        told: Told,
        theme: ui.dark_mode,
    ) -> None:
        """Build the bar.

        Parameters
        ----------
        bench : Bench
            The plan.
        apply, save : callable
            Apply edits; save the plan.
        told : callable
            Tells the user in a line.
        theme : ui.dark_mode
            Of this window.
        """
        self._bench, self._apply = bench, apply
        session = bench.session
        with ui.element("header").classes("sf-bar"):
            with ui.element("div").classes("grow"):
                with ui.element("h1"):
                    self._name = ui.label("").mark("plan-name")
                self._kept = ui.label("").classes("quiet").props('role="status"').mark("kept")
            self._undo = ui.button(say("undo"), icon="undo", on_click=lambda: done(told, session.undo))
            self._redo = ui.button(say("redo"), icon="redo", on_click=lambda: done(told, session.redo))
            for button, mark in ((self._undo, "undo"), (self._redo, "redo")):
                button.props("flat dense color=none").mark(mark)
            self._save = ui.button(say("save"), on_click=save).props("outline dense color=none").mark("save")
            units = {"metric": say("metric"), "us": say("us")}
            self._units = (
                ui.select(units, label=say("units"), value="metric").props("outlined dense").mark("units")
            )
            self._units.on_value_change(lambda event: self._units_chosen(str(event.value)))
            themes = {key: say(f"theme-{key}") for key in THEMES}
            shown = ui.select(themes, label=say("theme"), value="auto").props("outlined dense").mark("theme")
            shown.on_value_change(lambda event: theme.set_value(THEMES[event.value]))

    def show(self, state: State) -> None:
        """Show the plan as it is."""
        plan = state.plan or (state.last_sound.plan if state.last_sound is not None else None)
        self._name.text = plan.name if plan is not None else self._bench.session.file.name
        session = self._bench.session
        kept = say("unsaved") if state.unsaved else say("saved")
        if state.unsaved and session.unkept:
            kept = say("unkept", why=session.unkept)
        if session.read_only:
            kept = say("read-only")
        self._kept.text = f"{kept} · {session.file.parent.name}/{session.file.name}"
        for button, label, key in ((self._undo, state.undo, "undo"), (self._redo, state.redo, "redo")):
            button.set_enabled(label is not None)
            words = say(f"{key}-step", step=label) if label is not None else say(key)
            attributes(button, aria_label=words, title=words)
        self._save.set_enabled(state.unsaved and not session.read_only)
        if plan is not None and self._units.value != plan.show_units:
            self._units.value = plan.show_units

    def _units_chosen(self, units: str) -> None:
        plan = self._bench.state.plan
        if plan is not None and plan.show_units != units:
            self._apply(edits.set_value(("show_units",), units))
