"""A form for the part that is chosen: every value as it is written, to be changed by hand."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

from nicegui import ui

from sunfleck.document.entries import Entry
from sunfleck.faces.web.workbench.view import View
from sunfleck.faces.web.workbench.words import named, say
from sunfleck.service.workbench import edits
from sunfleck.service.workbench.bench import Bench
from sunfleck.service.workbench.edits import Edit
from sunfleck.service.workbench.forms import ONE_OF_A_KIND, Field, fields_of, names_in
from sunfleck.service.workbench.new_parts import NEW, new_part
from sunfleck.service.workbench.session import State

AXES = ("x", "y", "z")
# Stands for a value that nobody has typed yet: a problem until somebody does, so that nothing is made up.
UNTYPED = "?"
# How the values of a row are told.
LABELS: dict[str, tuple[str, ...]] = {"point": AXES, "face": ("along", "up"), "band": ("from", "to")}
CLOCK = re.compile(r"\d{1,2}:\d{2}")
# A list this long is typed into rather than scrolled through.
MANY = 12


class PartForm:
    """The fields of one part."""

    def __init__(
        self,
        bench: Bench,
        view: View,
        apply: Callable[..., bool],
        choose: Callable[[str | None], None],
        told: Callable[[str], None],
    ) -> None:
        """Build it, empty; see :class:`~sunfleck.faces.web.workbench.part_list.PartList` for what it takes."""
        self._bench, self._view, self._apply, self._choose = bench, view, apply, choose
        self._told = told
        self._built: tuple[object, ...] | None = None
        self._inputs: dict[tuple[str | int, ...], Any] = {}
        self._written: dict[tuple[str | int, ...], str] = {}
        self._section = ui.element("section").classes("stack").props('aria-labelledby="part-title"')
        with self._section:
            with ui.element("h2").props('id="part-title"'):
                self._title = ui.label(say("part"))
            self._form = ui.element("div").classes("sf-form")
            self._problems = ui.element("div").classes("stack")

    def show(self, state: State) -> None:
        """Show the form of what is chosen, as the plan is now."""
        key = self._view.key
        document = state.document
        if key is None or document is None:
            self._clear()
            return
        group, _, name = key.partition("/")
        names = names_in(document, group)
        if group not in ONE_OF_A_KIND and name not in names:
            self._clear()
            return
        index = None if group in ONE_OF_A_KIND else names.index(name)
        there, absent = fields_of(document, self._bench.library, group, index)
        built = (key, index, tuple(_layout(field) for field in there), tuple(field.path for field in absent))
        if built != self._built:
            self._built = built
            self._build(group, name, index, there, absent)
        for field in there:
            self._fill(field.path, field.value)
        self._wrong(state)

    def _clear(self) -> None:
        self._built = None
        self._section.set_visibility(False)

    def _build(
        self, group: str, name: str, index: int | None, there: tuple[Field, ...], absent: tuple[Field, ...]
    ) -> None:
        self._section.set_visibility(True)
        self._form.clear()
        self._inputs = {}
        key = f"{group}/{name}"
        self._title.text = named(group) if group in ONE_OF_A_KIND else name
        with self._form:
            reason = self._bench.reasons.get(key)
            if reason is not None:
                with ui.element("details"):
                    with ui.element("summary"):
                        ui.label(say("why-here"))
                    ui.label(reason.reason)
                    ui.label(reason.basis).classes("quiet")
            if index is not None and group != "animals":
                self._text(
                    say("rename"), ("name",), name, lambda text: self._rename(group, index, name, text)
                )
                self._actions(group, index, key)
            for field in there:
                self._field(group, index, field)
            if absent:
                options = {number: named(field.shape.key) for number, field in enumerate(absent)}
                added = ui.select(options, label=say("more-settings")).props("outlined dense")
                added.mark("add-setting").on_value_change(lambda event: self._add_field(absent[event.value]))

    def _actions(self, group: str, index: int, key: str) -> None:
        with ui.element("div").classes("row"):
            if group in NEW:
                ui.button(
                    say("duplicate"), on_click=lambda: self._apply(edits.duplicate(group, index))
                ).props("outline dense color=none").mark("duplicate")
            ui.button(say("delete"), on_click=lambda: self._apply(edits.delete(group, index))).props(
                "outline dense color=none"
            ).mark("delete")
            words = say("unhide") if key in self._view.hidden else say("hide")
            ui.button(words, on_click=lambda: self._turn_hidden(key)).props("flat dense color=none").mark(
                "hide"
            )

    def _turn_hidden(self, key: str) -> None:
        self._view.hidden ^= {key}
        self._built = None
        self._choose(key)

    def _rename(self, group: str, index: int, name: str, text: str) -> None:
        new = text.strip()
        if new != name and (not new or self._bench.has_name(new, but=name)):
            self._told(say("name-taken", name=new) if new else say("name-needed"))
            self._written.pop(("name",), None)
            self._inputs[("name",)].value = name
            return
        if new == name or not self._apply(edits.rename(group, index, new)):
            return
        old, key = f"{group}/{name}", f"{group}/{new}"
        if old in self._view.hidden:
            self._view.hidden = self._view.hidden - {old} | {key}
        self._choose(key)
        naming = self._bench.surveys_naming(group, name)
        if naming:
            self._offer_in_surveys(group, name, new, naming)

    def _offer_in_surveys(self, group: str, name: str, new: str, naming: int) -> None:
        """Surveys that know the old name would not be read any more."""

        def there() -> None:
            dialog.close()
            self._bench.rename_in_surveys(group, name, new)

        with ui.dialog() as dialog, ui.card().classes("sf"):
            ui.label(say("surveys-name", count=naming, name=name))
            with ui.element("div").classes("row"):
                ui.button(say("rename-there"), on_click=there).props("outline dense color=none")
                ui.button(say("leave-there"), on_click=dialog.close).props("flat dense color=none")
        dialog.open()

    def _field(self, group: str, index: int | None, field: Field) -> None:
        words, path = named(field.shape.key), field.path
        kind = field.shape.kind
        if kind in LABELS and isinstance(field.value, list):
            self._row(words, path, field.value, LABELS[kind])
        elif kind == "points" and isinstance(field.value, list):
            for number, point in enumerate(field.value):
                if isinstance(point, list):
                    self._row(f"{words} {number + 1}", (*path, number), point, AXES)
        elif kind == "list" and isinstance(field.value, list):
            with ui.element("fieldset"):
                with ui.element("legend"):
                    ui.label(words)
                with ui.element("div").classes("sf-three"):
                    for number, value in enumerate(field.value):
                        self._value(f"{number + 1}", (*path, number), str(value))
        elif kind == "hours" and isinstance(field.value, list):
            self._text(
                words, path, " – ".join(map(str, field.value)), lambda text: self._set_hours(path, text)
            )
        elif kind == "readings" and isinstance(field.value, list):
            self._readings(path, field.value)
        elif kind in ("choice", "flag"):
            self._choice(group, index, field, words)
        else:
            self._value(words, path, str(field.value))

    def _readings(self, path: tuple[str | int, ...], readings: list[Any]) -> None:
        """What was read below the lamp: how far off, UV index, with what."""
        ui.label(say("readings-hint")).classes("quiet")
        for number, reading in enumerate(readings):
            if not isinstance(reading, dict):
                continue
            with ui.element("fieldset"):
                with ui.element("legend"):
                    ui.label(f"{named('evidence')} {number + 1}")
                with ui.element("div").classes("sf-three"):
                    for key in ("distance", "uvi", "lux", "with"):
                        if key in reading:
                            words = f"{named(key)}, {named('evidence')} {number + 1}"
                            self._value(words, (*path, number, key), str(reading[key]), short=named(key))
        first: Entry = {"distance": UNTYPED, "uvi": UNTYPED, "with": "own meter"}
        last = (*path, len(readings) - 1) if len(readings) > 1 else path
        with ui.element("div").classes("row"):
            added = ui.button(say("add-reading"), on_click=lambda: self._apply(edits.append(path, first)))
            added.props("outline dense color=none").mark("add-reading")
            gone = ui.button(say("remove-reading"), on_click=lambda: self._apply(edits.remove_value(last)))
            gone.props("flat dense color=none")

    def _row(
        self, words: str, path: tuple[str | int, ...], values: list[Any], labels: tuple[str, ...]
    ) -> None:
        with ui.element("fieldset"):
            with ui.element("legend"):
                ui.label(words)
            with ui.element("div").classes("sf-three" if labels == AXES else "sf-two"):
                for number, (label, value) in enumerate(zip(labels, values, strict=False)):
                    self._value(f"{label}, {words}", (*path, number), str(value), short=label)

    def _value(self, words: str, path: tuple[str | int, ...], value: str, short: str = "") -> None:
        self._text(words, path, value, lambda text: self._apply(edits.set_value(path, text)), short)

    def _text(
        self,
        words: str,
        path: tuple[str | int, ...],
        value: str,
        commit: Callable[[str], object],
        short: str = "",
    ) -> None:
        field = ui.input(short or words, value=value).props(f'outlined dense aria-label="{words}"')
        field.mark("field " + ".".join(map(str, path)))

        def changed() -> None:
            text = str(field.value or "").strip()
            if text != str(self._written.get(path, "")):
                self._written[path] = text
                commit(text)

        # A value counts when it is left or entered, not letter by letter.
        field.on("change", changed)
        self._inputs[path] = field
        self._written[path] = value

    def _choice(self, group: str, index: int | None, field: Field, words: str) -> None:
        options = {choice.value: choice.label for choice in field.choices} or {"true": "yes", "false": "no"}
        if field.value not in options:
            options = {str(field.value): str(field.value), **options}
        chosen = ui.select(options, label=words, value=str(field.value), with_input=len(options) > MANY)
        chosen.props("outlined dense").mark("field " + ".".join(map(str, field.path)))

        def changed(event: Any) -> None:
            if event.value is None or event.value == self._written.get(field.path):
                return
            self._written[field.path] = event.value
            lamp = group == "fixtures" and field.shape.key == "lamp" and index is not None
            edit: Edit = (
                edits.exchange_lamp(index, event.value)  # type: ignore[arg-type]  # not None where a lamp
                if lamp
                else edits.set_value(field.path, event.value)
            )
            self._apply(edit)

        self._inputs[field.path] = chosen
        self._written[field.path] = str(field.value)
        chosen.on_value_change(changed)

    def _set_hours(self, path: tuple[str | int, ...], text: str) -> None:
        times = CLOCK.findall(text)
        self._apply(edits.set_value(path, [time.zfill(5) for time in times] if times else text))

    def _add_field(self, field: Field) -> None:
        first: Entry = field.shape.first or self._first_of(field)
        self._built = None
        self._apply(edits.set_value(field.path, first))

    def _first_of(self, field: Field) -> Entry:
        """A value to begin with, of a field for which nothing is usual."""
        if field.choices:
            return field.choices[0].value
        plan = self._bench.state.plan
        if field.shape.kind == "point" and plan is not None:
            return new_part(plan, self._bench.library, "stations")["at"]
        return UNTYPED

    def _fill(self, path: tuple[str | int, ...], value: Any) -> None:
        """Put what is written now into inputs that nobody is typing into."""
        if isinstance(value, list) and path not in self._inputs:
            for number, each in enumerate(value):
                self._fill((*path, number), each)
            return
        if isinstance(value, dict):
            for key, each in value.items():
                self._fill((*path, key), each)
            return
        field = self._inputs.get(path)
        if field is None:
            return
        text = " – ".join(map(str, value)) if isinstance(value, list) else str(value)
        if self._written.get(path) != text:
            self._written[path] = text
            field.value = text

    def _wrong(self, state: State) -> None:
        """Say below the form what is wrong with this part."""
        self._problems.clear()
        if self._built is None or state.document is None or not state.problems:
            return
        lines = [state.document.marks[path].line for path in self._inputs if path in state.document.marks]
        if not lines:
            return
        with self._problems:
            for problem in state.problems:
                if min(lines) <= problem.line <= max(lines):
                    ui.label(f"{problem.wrote}: {problem.needed}").classes("sf-wrong").props('role="alert"')


def _layout(field: Field) -> tuple[object, ...]:
    """What of a field decides how its inputs look."""
    parts = field.value if isinstance(field.value, list) else ()
    return field.path, tuple(len(each) if isinstance(each, list | dict) else 0 for each in parts)
