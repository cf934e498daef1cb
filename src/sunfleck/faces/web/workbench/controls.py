"""Below the picture: which light, at which hour, cut where, and the scale of its colours."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from typing import Any

from nicegui import ui

from sunfleck.errors import SunfleckError
from sunfleck.faces.web.workbench.scene.element import ViewName
from sunfleck.faces.web.workbench.view import View
from sunfleck.faces.web.workbench.words import say
from sunfleck.faces.web.workbench.working import Told
from sunfleck.outputs.scales import ColourScale, channel_words, level_words
from sunfleck.outputs.scene.painting import colour_table
from sunfleck.studies.channels import Channel
from sunfleck.studies.shown import Cut
from sunfleck.units import System, format_quantity, parse_quantity

CHANNELS = ("uvi", "lux", "ppfd", "radiant")
VIEWS: tuple[ViewName, ...] = ("corner", "front", "left", "right", "top")
STOPS = 9
MOST_TICKS = 5


class Controls:
    """The controls of one picture; what is chosen in them is kept in its view."""

    def __init__(
        self,
        view: View,
        repaint: Callable[[], Awaitable[None]],
        compare: Callable[[Any], Awaitable[None]],
        probe: Callable[[bool], None],
        look: Callable[[ViewName], None],
        told: Told,
    ) -> None:
        """Build them.

        Parameters
        ----------
        view : View
            How this window looks at the plan.
        repaint : callable
            Shows the same plan as the view is now.
        compare : callable
            Called when the saved plan is to be shown, or not any more.
        probe : callable
            Turns the asking for a point's value on and off.
        look : callable
            Turns the camera to a standard view.
        told : callable
            Tells the user in a line.
        """
        self._view, self._repaint, self._told = view, repaint, told
        with ui.element("div").classes("sf-controls"):
            with ui.element("div").classes("row"):
                options = {channel: say(channel) for channel in CHANNELS}
                channel = ui.select(options, label=say("channel"), value=view.channel)
                channel.props("outlined dense").mark("channel").on_value_change(self._channel_chosen)
                hours = {-1: say("fullest")} | {hour: f"{hour:02d}:00" for hour in range(24)}
                hour = ui.select(hours, label=say("hour"), value=-1).props("outlined dense").mark("hour")
                hour.on_value_change(self._hour_chosen)
                cuts = {"": say("section-none")} | {axis: say(f"section-{axis}") for axis in "yxz"}
                cut = ui.select(cuts, label=say("section"), value=view.axis or "")
                cut.props("outlined dense").mark("cut").on_value_change(self._cut_chosen)
                self._place = (
                    ui.input(say("section-at")).props("outlined dense").classes("sf-narrow").mark("cut-at")
                )
                self._place.on("change", self._cut_placed)
                self._scale_box = ui.element("div").classes("sf-scale")
                self.busy = ui.label("").classes("quiet").props('role="status"').mark("busy")
            with ui.element("div").classes("row"):
                reach = ui.checkbox(say("reach"), value=view.reach).props("dense").mark("reach")
                reach.on_value_change(self._reach_chosen)
                before = ui.checkbox(say("before"), value=view.before).props("dense").mark("before")
                before.on_value_change(compare)
                asking = ui.checkbox(say("probe")).props("dense").mark("probe")
                asking.on_value_change(lambda event: probe(bool(event.value)))
                with ui.element("div").classes("sf-views"):
                    ui.label(say("views")).classes("quiet")
                    for name in VIEWS:
                        button = ui.button(say(f"view-{name}"), on_click=lambda name=name: look(name))
                        button.props("flat dense color=none").mark(f"look {name}")
            self._basis = ui.label("").classes("quiet")

    async def _channel_chosen(self, event: Any) -> None:
        self._view.channel = event.value
        await self._repaint()

    async def _hour_chosen(self, event: Any) -> None:
        self._view.hour = None if event.value is None or event.value < 0 else int(event.value)
        await self._repaint()

    async def _cut_chosen(self, event: Any) -> None:
        self._view.axis = event.value or None
        await self._repaint()

    async def _cut_placed(self) -> None:
        if self._view.axis is not None:
            try:
                self._view.places[self._view.axis] = parse_quantity(str(self._place.value), "length")
            except SunfleckError as error:
                self._told(str(error))
            await self._repaint()

    async def _reach_chosen(self, event: Any) -> None:
        self._view.reach = bool(event.value)
        await self._repaint()

    def place_of_cut(self, cut: Cut | None, system: System) -> None:
        """Say where the cut is."""
        self._place.set_visibility(cut is not None)
        if cut is not None:
            self._place.value = format_quantity(cut.at, "length", system)

    def legend(self, scale: ColourScale, channel: Channel, when: str) -> None:
        """Show the scale with round numbers, and what the colours mean in which hours."""
        name, unit = channel_words(channel, "")
        stops = [colour_table()[round(255 * k / (STOPS - 1))] for k in range(STOPS)]
        colours = ", ".join(f"rgb({r} {g} {b})" for r, g, b in stops)
        self._scale_box.clear()
        with self._scale_box:
            ui.element("div").classes("bar").style(f"background: linear-gradient(to right, {colours})")
            with ui.element("div").classes("ticks").mark("scale"):
                ticks = (0.0, *scale.levels)
                # Numbers that would run into each other are left out, the last one stays.
                apart = 1 + (len(ticks) - 1) // MOST_TICKS
                for level in [*ticks[-1::-apart]][::-1]:
                    words = level_words(level) + (f" {unit}" if level == scale.top else "")
                    tick = ui.element("span").style(f"left: {100 * level / scale.top:.1f}%")
                    with tick:
                        ui.label(words)
        self._basis.text = say("basis", channel=name, unit=unit, when=when)
