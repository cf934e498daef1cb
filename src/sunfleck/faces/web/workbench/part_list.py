"""The parts of the plan as a list, and what can be added."""

from __future__ import annotations

from collections.abc import Callable

from nicegui import ui

from sunfleck.faces.web.workbench.part_form import PartForm
from sunfleck.faces.web.workbench.view import View
from sunfleck.faces.web.workbench.words import named, say
from sunfleck.service.workbench import edits
from sunfleck.service.workbench.bench import Bench
from sunfleck.service.workbench.forms import ONE_OF_A_KIND, names_in
from sunfleck.service.workbench.new_parts import NEW, new_part
from sunfleck.service.workbench.session import State

GROUPS = (*NEW, "substrate", "animals", "doors", "vents", "fans", "box", "room")


class PartList:
    """List and form."""

    def __init__(
        self,
        bench: Bench,
        view: View,
        apply: Callable[..., bool],
        choose: Callable[[str | None], None],
        told: Callable[[str], None],
    ) -> None:
        """Build the panel.

        Parameters
        ----------
        bench : Bench
            The plan.
        view : View
            What is chosen and hidden in this window.
        apply : callable
            Applies edits, and tells the user where that cannot be.
        choose : callable
            Chooses a part, in the picture too.
        told : callable
            Tells the user in a line.
        """
        self._bench, self._view, self._apply, self._choose = bench, view, apply, choose
        self._told = told
        self._listed: tuple[object, ...] | None = None
        # What is chosen comes first: it is what one looks for.
        self._form = PartForm(bench, view, apply, choose, told)
        with ui.element("section").classes("stack").props('aria-labelledby="parts-title"'):
            with ui.element("h2").props('id="parts-title"'):
                ui.label(say("parts"))
            self._parts = ui.element("div").classes("stack")
            with ui.element("div").classes("row"):
                options = {group: named(group) for group in NEW}
                self._new = ui.select(options, label=say("add-what"), value="fixtures").props(
                    "outlined dense"
                )
                self._new.classes("grow").mark("add-what")
                lamps = {id_: str(lamp.name.value) for id_, lamp in bench.library.lamps.items()}
                self._lamp = ui.select(lamps, label=named("lamp"), value=None, with_input=True)
                self._lamp.props("outlined dense").classes("grow").mark("add-lamp")
                self._lamp.bind_visibility_from(self._new, "value", value="fixtures")
                ui.button(say("add"), on_click=self._add).props("outline dense color=none").mark("add")

    def show(self, state: State) -> None:
        """Show the plan as it is, and the form of what is chosen."""
        if state.document is None:
            return
        listed = tuple((group, names_in(state.document, group)) for group in GROUPS)
        now = (*listed, self._view.key, frozenset(self._view.hidden))
        if now != self._listed:
            self._listed = now
            self._list(listed)
        self._form.show(state)

    def _list(self, listed: tuple[tuple[str, tuple[str, ...]], ...]) -> None:
        self._parts.clear()
        with self._parts:
            for group, names in listed:
                keys = (
                    [f"{group}/{group}"] if group in ONE_OF_A_KIND else [f"{group}/{name}" for name in names]
                )
                if not keys:
                    continue
                with ui.element("div"):
                    if group not in ONE_OF_A_KIND:
                        ui.label(named(group)).classes("quiet")
                    with ui.element("div").classes("sf-parts"):
                        for key in keys:
                            self._chip(key, named(group) if group in ONE_OF_A_KIND else key.partition("/")[2])

    def _chip(self, key: str, words: str) -> None:
        pressed = "true" if self._view.key == key else "false"
        chip = ui.element("button").classes("sf-chip").props(f'type="button" aria-pressed="{pressed}"')
        chip.mark(f"part {key}").on("click", lambda: self._choose(key))
        if key in self._view.hidden:
            chip.classes("hidden-part")
        with chip:
            ui.label(words)

    def _add(self) -> None:
        plan, group = self._bench.state.plan, str(self._new.value)
        if plan is None:
            return
        if group == "fixtures" and not self._lamp.value:
            # None is put in unasked: the first of a list may burn what sits below it.
            self._told(say("choose-lamp"))
            return
        entry = new_part(plan, self._bench.library, group, str(self._lamp.value or ""))
        if self._apply(edits.add(group, entry)):
            self._choose(f"{group}/{entry['name']}")
