"""The value at a point: every channel with its range, as `light_at` gives it."""

from __future__ import annotations

from math import isnan

from nicegui import run, ui

from sunfleck.faces.web.workbench.scene.happenings import Probed
from sunfleck.faces.web.workbench.words import say
from sunfleck.outputs.scales import channel_words, value_words
from sunfleck.service.workbench.bench import Bench
from sunfleck.studies.channels import Channel
from sunfleck.studies.light_at import CHANNEL_NAMES, ChannelRange, LightAt
from sunfleck.studies.shown import ShownLight
from sunfleck.units import format_quantity

# What an animal rests on is asked for at its back.
RESTED_ON = ("perches", "ledges", "hides", "substrate")


class ValueCard:
    """A card over the picture; there is one, of the last point that was asked for."""

    def __init__(self, bench: Bench) -> None:
        """Build it, hidden."""
        self._bench = bench
        self._asked = 0
        self._point: tuple[float, float, float] | None = None
        self._words = ""
        self.box = ui.element("aside").classes("sf-value").props('role="status"').mark("value")
        self.box.set_visibility(False)

    async def show(self, event: Probed, shown: ShownLight | None) -> None:
        """Show what is at a point that was asked for in the picture."""
        point, words = event.point, ""
        group = (event.key or "").partition("/")[0]
        animal = next(iter(shown.brief.animals), None) if shown is not None else None
        if group in RESTED_ON and animal is not None:
            x, y, z = point
            point, words = (x, y, z + animal.back_height), say("value-back")
        self._point, self._words = point, words
        await self.refresh()

    async def refresh(self) -> None:
        """Ask again, as the plan is now; nothing where no point was asked for."""
        source, point = self._bench.state.last_sound, self._point
        if source is None or point is None:
            return
        self._asked += 1
        turn = self._asked
        self.box.set_visibility(True)
        system = source.plan.show_units
        place = ", ".join(
            f"{axis} {format_quantity(value, 'length', system)}"
            for axis, value in zip("xyz", point, strict=True)
        )
        self._fill(place, None)
        light = await run.io_bound(self._bench.probe, source, point)
        if turn != self._asked or light is None or self.box.is_deleted:
            return
        self._fill(place, light)
        saved = self._bench.session.saved() if self._bench.state.unsaved else None
        if saved is not None:
            before = await run.io_bound(self._bench.probe, saved, point)
            if turn == self._asked and not self.box.is_deleted:
                self._fill(place, light, before)

    def _fill(self, place: str, light: LightAt | None, before: LightAt | None = None) -> None:
        self.box.clear()
        with self.box:
            ui.label(say("value-at", place=place) + (f", {self._words}" if self._words else ""))
            if light is None:
                ui.label(say("value-working")).classes("quiet")
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
