"""The value at a point: every channel with its range, as `light_at` gives it."""

from __future__ import annotations

from math import isnan

from nicegui import ui

from sunfleck.faces.web.workbench.scene.happenings import Probed
from sunfleck.faces.web.workbench.view import View
from sunfleck.faces.web.workbench.words import say
from sunfleck.faces.web.workbench.working import Told, beside
from sunfleck.outputs.scales import channel_words, value_words
from sunfleck.plan.read import PlanSource
from sunfleck.service.workbench.bench import Bench
from sunfleck.studies.channels import Channel
from sunfleck.studies.light_at import CHANNEL_NAMES, ChannelRange, LightAt
from sunfleck.studies.shown import ShownLight
from sunfleck.units import format_quantity

# What an animal rests on is asked for at its back.
RESTED_ON = ("perches", "ledges", "hides", "substrate")


class ValueCard:
    """A card over the picture; there is one, of the last point that was asked for."""

    def __init__(self, bench: Bench, view: View, told: Told) -> None:
        """Build it, hidden."""
        self._bench, self._view, self._told = bench, view, told
        self._asked = 0
        self._point: tuple[float, float, float] | None = None
        self._on_a_part = False
        self.box = ui.element("aside").classes("sf-value").props('role="status"').mark("value")
        self.box.set_visibility(False)

    async def show(self, event: Probed, shown: ShownLight | None) -> None:
        """Show what is at a point that was asked for in the picture."""
        point = event.point
        group = (event.key or "").partition("/")[0]
        animal = next(iter(shown.brief.animals), None) if shown is not None else None
        self._on_a_part = group in RESTED_ON and animal is not None
        if self._on_a_part and animal is not None:
            x, y, z = point
            point = (x, y, z + animal.back_height)
        self._point = point
        await self.refresh()

    async def refresh(self) -> None:
        """Ask again, as the plan is now; nothing where no point was asked for."""
        source, point = self._bench.state.last_sound, self._point
        if source is None or point is None:
            return
        self._asked += 1
        turn = self._asked
        self.box.set_visibility(True)
        place = ", ".join(
            f"{axis} {format_quantity(value, 'length', source.plan.show_units)}"
            for axis, value in zip("xyz", point, strict=True)
        )
        self._fill(place, None, say("value-working"))
        light = await self._light(source, point)
        if turn != self._asked or self.box.is_deleted:
            return
        self._fill(place, light, say("fault"))
        saved = self._bench.session.saved() if self._bench.state.unsaved else None
        if saved is not None and light is not None:
            before = await self._light(saved, point)
            if turn == self._asked and not self.box.is_deleted:
                self._fill(place, light, "", before)

    async def _light(self, source: PlanSource, point: tuple[float, float, float]) -> LightAt | None:
        """At the hour that the picture shows, and facing as its colours do."""
        facing = "up" if self._on_a_part else "brightest"
        return await beside(self._told, self._bench.light_there, source, point, facing, self._view.hour)

    def _fill(self, place: str, light: LightAt | None, otherwise: str, before: LightAt | None = None) -> None:
        self.box.clear()
        with self.box:
            ui.label(say("value-at", place=place))
            how = say("value-back") if self._on_a_part else say("value-cut")
            hour = self._view.hour
            when = say("fullest") if hour is None else f"{hour:02d}:00"
            ui.label(f"{how}; {say('value-when', when=when)}").classes("quiet")
            if light is None:
                ui.label(otherwise).classes("quiet")
            elif isnan(light.lux.median[0]):
                ui.label(say("value-none"))
            else:
                with ui.element("table"):
                    for name in CHANNEL_NAMES:
                        self._line(name, light, before)
            ui.button(say("close"), on_click=self._close).props("flat dense color=none")

    def _line(self, name: Channel, light: LightAt, before: LightAt | None) -> None:
        found: ChannelRange = getattr(light, name)
        title, unit = channel_words(name, found.unit)
        low, middle, high = (
            value_words(float(values[0]), name) for values in (found.low, found.median, found.high)
        )
        with ui.element("tr"):
            with ui.element("th").props('scope="row"'):
                ui.label(title)
            with ui.element("td"):
                ui.label(f"{middle} {unit}").mark(f"value {name}")
            with ui.element("td").classes("quiet"):
                ui.label(f"{low} to {high}")
            if before is not None:
                was = value_words(float(getattr(before, name).median[0]), name)
                with ui.element("td").classes("quiet"):
                    ui.label(say("value-saved", middle=was))

    def _close(self) -> None:
        self._point = None
        self._asked += 1
        self.box.set_visibility(False)
