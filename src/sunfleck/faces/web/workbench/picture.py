"""The picture: the box in space with its light, the controls below it, and the value at a point."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from nicegui import ui

from sunfleck.errors import SunfleckError
from sunfleck.faces.web.workbench.scene.element import SceneView
from sunfleck.faces.web.workbench.scene.happenings import (
    Aimed,
    Command,
    Dragging,
    Dropped,
    Probed,
    SectionMoved,
)
from sunfleck.faces.web.workbench.values import ValueCard
from sunfleck.faces.web.workbench.view import View
from sunfleck.faces.web.workbench.words import say
from sunfleck.faces.web.workbench.working import Told, beside
from sunfleck.outputs.scales import ColourScale, channel_words, colour_scale, level_words
from sunfleck.outputs.scene.build import scene_of
from sunfleck.outputs.scene.packing import pack
from sunfleck.outputs.scene.painting import colour_table, painted, values_shown
from sunfleck.outputs.scene.parts import Mark, Scene
from sunfleck.plan.read import PlanSource
from sunfleck.service.workbench import edits
from sunfleck.service.workbench.bench import Bench
from sunfleck.studies.day import fullest
from sunfleck.studies.report import Verdict
from sunfleck.studies.shown import Cut, ShownLight, levels_at
from sunfleck.units import format_quantity, parse_quantity

CHANNELS = ("uvi", "lux", "ppfd", "radiant")
VIEWS = ("corner", "front", "left", "right", "top")
STOPS = 9
MOST_TICKS = 5


class Picture:
    """Scene, controls, legend and value card of one window."""

    def __init__(
        self,
        bench: Bench,
        view: View,
        apply: Callable[..., bool],
        choose: Callable[[str | None, bool], None],
        command: Callable[[Command], None],
        jump: Callable[[str], None],
        told: Told,
    ) -> None:
        """Build the picture.

        Parameters
        ----------
        bench : Bench
            The plan.
        view : View
            How this window looks at it.
        apply, choose, command, jump : callable
            Apply edits; choose a part; do what a key asked for; open a verdict by its id.
        told : callable
            Tells the user in a line.
        """
        self._bench, self._view, self._apply, self._choose = bench, view, apply, choose
        self._scene: Scene | None = None
        self._shown: ShownLight | None = None
        self._scale: ColourScale | None = None
        # What the scale is of; colours of something else are never put on it.
        self._scale_of: tuple[str, int | None] | None = None
        self._wanted = 0
        self._told = told
        self._next: tuple[Callable[[], ShownLight], int, int] | None = None
        self._computing = False
        with ui.element("main").classes("sf-main"):
            with ui.element("div").classes("sf-stage"):
                self.view3d = SceneView(
                    system=bench.state.last_sound.plan.show_units if bench.state.last_sound else "metric",
                    on_picked=lambda event: choose(event.key, True),
                    on_dragging=self._dragging,
                    on_dropped=self._dropped,
                    on_aimed=self._aimed,
                    on_section=self._section_moved,
                    on_probed=self._probed,
                    on_mark=lambda event: jump(event.id),
                    on_command=command,
                )
                self.card = ValueCard(bench, view, told)
            self._controls()

    # What is shown.

    async def show(self) -> None:
        """Show the newest plan: first the box, then its light once that is worked out; the newest wins."""
        source = self._source()
        if source is None:
            return
        self._wanted += 1
        turn = self._wanted
        scene = await beside(self._told, scene_of, source)
        if turn != self._wanted or scene is None or self.view3d.is_deleted:
            return
        self._scene = scene
        self.view3d.show(pack(scene))
        self.view3d.select(self._view.key)
        await self._light(source, turn)

    async def repaint(self) -> None:
        """Show another channel, hour or cut of the same plan."""
        source = self._source()
        if source is not None and self._scene is not None:
            self._wanted += 1
            await self._light(source, self._wanted)

    async def _light(self, source: PlanSource, turn: int) -> None:
        self._busy.text = say("settling")
        cut = self._cut()
        shown = await beside(self._told, self._bench.pictures.settled, source, cut, self._bench.read_here)
        if self.view3d.is_deleted:
            return  # the window was closed meanwhile
        if turn != self._wanted or shown is None:
            self._busy.text = "" if turn == self._wanted else self._busy.text
            return
        self._shown = shown
        # Before and after have one scale, so that a colour means the same on both.
        scale_of = (self._view.channel, self._view.hour)
        if not self._view.before or self._scale is None or self._scale_of != scale_of:
            self._scale, self._scale_of = self._scale_for(shown), scale_of
        self._paint(shown, 0)
        self._legend()
        self._busy.text = ""

    def _paint(self, shown: ShownLight, seq: int) -> None:
        if self._scene is None or self._scale is None:
            return
        if self._scale_of != (self._view.channel, self._view.hour):
            return
        levels = self._levels(shown)
        # While something is dragged lines would lag behind and jump.
        settled = seq == 0
        paint = painted(
            shown,
            self._scene,
            self._view.channel,
            levels,
            self._scale,
            reach=self._view.reach and settled,
            lines=settled,
        )
        self.view3d.paint(seq, pack(paint))

    def _levels(self, shown: ShownLight) -> dict[str, float]:
        if self._view.hour is None:
            return fullest(shown.brief).levels
        return levels_at(shown.brief, 3600.0 * self._view.hour)

    def _scale_for(self, shown: ShownLight) -> ColourScale:
        cuts, backs = values_shown(shown, self._view.channel, self._levels(shown))
        animal = next(iter(shown.brief.animals), None)
        uv = self._view.channel == "uvi" and animal is not None
        floor = animal.uv_floor.value if uv and animal and animal.uv_floor else None
        ceiling = animal.uv_ceiling.value if uv and animal and animal.uv_ceiling else None
        return colour_scale(cuts, backs, floor, ceiling)

    def _cut(self) -> Cut | None:
        return self._view.cut(self._scene.size) if self._scene is not None else None

    def marks(self, verdicts: list[Verdict]) -> None:
        """Show verdicts at their places."""
        self.view3d.marks(
            [
                Mark(verdict.id, verdict.state, f"{verdict.question}: {say(verdict.state)}", verdict.at)
                for verdict in verdicts
                if verdict.at is not None
            ]
        )

    def _source(self) -> PlanSource | None:
        """The plan that is shown: as it is now, or to compare as it was saved."""
        return self._bench.session.saved() if self._view.before else self._bench.state.last_sound

    async def _before_chosen(self, event: Any) -> None:
        if event.value and self._bench.session.saved() is None:
            self._told(say("no-saved"))
            event.sender.value = False
            return
        self._view.before = bool(event.value)
        await self.show()

    # What happens in it.

    async def _dragging(self, event: Dragging) -> None:
        source = self._bench.state.source
        if source is None or self._view.before:
            return
        if not any(event.delta):
            # It was let go where it was: what is settled is right.
            await self.repaint()
            return
        pictures, readings, cut = self._bench.pictures, self._bench.read_here, self._cut()
        await self._coarse(lambda: pictures.dragged(source, cut, event.key, event.delta, readings), event.seq)

    async def _aimed(self, event: Aimed) -> None:
        if event.done:
            self._wanted += 1
            if self._view.before or not self._apply(edits.aim(event.key.partition("/")[2], event.point)):
                self._put_back()
            return
        source = self._bench.state.source
        if source is not None and not self._view.before:
            pictures, readings, cut = self._bench.pictures, self._bench.read_here, self._cut()
            await self._coarse(
                lambda: pictures.aimed(source, cut, event.key, event.point, readings), event.seq
            )

    async def _section_moved(self, event: SectionMoved) -> None:
        self._view.axis, self._view.places[event.axis] = event.axis, event.place
        source, cut = self._source(), self._cut()
        if event.done or source is None or cut is None:
            self._place_of_cut()
            await self.repaint()
            return
        pictures, readings = self._bench.pictures, self._bench.read_here
        await self._coarse(lambda: pictures.cut_moved(source, cut, readings), event.seq)

    async def _coarse(self, compute: Callable[[], ShownLight], seq: int) -> None:
        """Compute while something is dragged: one at a time, then the newest; what was overtaken is not shown."""
        self._next = (compute, seq, self._wanted)
        if self._computing:
            return
        self._computing = True
        try:
            while self._next is not None:
                compute, seq, turn = self._next
                self._next = None
                shown = await beside(self._told, compute)
                if shown is not None and turn == self._wanted and not self.view3d.is_deleted:
                    self._busy.text = say("coarse")
                    self._paint(shown, seq)
        finally:
            self._computing = False

    def _dropped(self, event: Dropped) -> None:
        group, _, name = event.key.partition("/")
        # What is still being computed for the way there is not wanted any more.
        self._wanted += 1
        if self._view.before or not self._apply(edits.move(group, name, event.delta, with_aim=True)):
            self._put_back()
        # The next drag is a step of its own.
        self._bench.session.end_step()

    def _put_back(self) -> None:
        """Where it cannot be, it goes back."""
        if self._view.before:
            self._told(say("no-edit-now"))
        ui.timer(0, self.show, once=True)

    async def _probed(self, event: Probed) -> None:
        await self.card.show(event, self._shown)

    # Controls.

    def _controls(self) -> None:
        with ui.element("div").classes("sf-controls"):
            with ui.element("div").classes("row"):
                options = {channel: say(channel) for channel in CHANNELS}
                channel = ui.select(options, label=say("channel"), value=self._view.channel)
                channel.props("outlined dense").mark("channel").on_value_change(self._channel_chosen)
                hours = {-1: say("fullest")} | {hour: f"{hour:02d}:00" for hour in range(24)}
                hour = ui.select(hours, label=say("hour"), value=-1).props("outlined dense").mark("hour")
                hour.on_value_change(self._hour_chosen)
                cuts = {"": say("section-none")} | {axis: say(f"section-{axis}") for axis in "yxz"}
                cut = ui.select(cuts, label=say("section"), value=self._view.axis or "")
                cut.props("outlined dense").mark("cut").on_value_change(self._cut_chosen)
                self._place = (
                    ui.input(say("section-at")).props("outlined dense").classes("sf-narrow").mark("cut-at")
                )
                self._place.on("change", self._cut_placed)
                self._scale_box = ui.element("div").classes("sf-scale")
                self._busy = ui.label("").classes("quiet").props('role="status"').mark("busy")
            with ui.element("div").classes("row"):
                reach = ui.checkbox(say("reach"), value=self._view.reach).props("dense").mark("reach")
                reach.on_value_change(self._reach_chosen)
                before = ui.checkbox(say("before"), value=self._view.before).props("dense").mark("before")
                before.on_value_change(self._before_chosen)
                probe = ui.checkbox(say("probe")).props("dense").mark("probe")
                probe.on_value_change(lambda event: self.view3d.probe(on=bool(event.value)))
                ui.label(say("views")).classes("quiet")
                for name in VIEWS:
                    ui.button(say(f"view-{name}"), on_click=lambda name=name: self.view3d.look(name)).props(
                        "flat dense color=none"
                    ).mark(f"look {name}")
            self._basis = ui.label("").classes("quiet")

    async def _channel_chosen(self, event: Any) -> None:
        self._view.channel = event.value
        await self.repaint()

    async def _hour_chosen(self, event: Any) -> None:
        self._view.hour = None if event.value is None or event.value < 0 else int(event.value)
        await self.repaint()

    async def _cut_chosen(self, event: Any) -> None:
        self._view.axis = event.value or None
        self._place_of_cut()
        await self.repaint()

    async def _cut_placed(self) -> None:
        source = self._bench.state.last_sound
        if self._view.axis is not None and source is not None:
            try:
                self._view.places[self._view.axis] = parse_quantity(str(self._place.value), "length")
            except SunfleckError as error:
                ui.notify(str(error))
            self._place_of_cut()
            await self.repaint()

    async def _reach_chosen(self, event: Any) -> None:
        self._view.reach = bool(event.value)
        if self._shown is not None:
            self._paint(self._shown, 0)

    def _place_of_cut(self) -> None:
        cut, source = self._cut(), self._bench.state.last_sound
        self._place.set_visibility(cut is not None)
        if cut is not None and source is not None:
            self._place.value = format_quantity(cut.at, "length", source.plan.show_units)

    def _legend(self) -> None:
        """The scale with round numbers, and what the colours mean."""
        scale, shown = self._scale, self._shown
        if scale is None or shown is None:
            return
        name, unit = channel_words(self._view.channel, "")
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
        lit = [name for name, level in self._levels(shown).items() if level > 0]
        when = fullest(shown.brief).words() if self._view.hour is None else self._hour_words(lit)
        self._basis.text = say("basis", channel=name, unit=unit, when=when)
        if not self._place.value:
            self._place_of_cut()

    def _hour_words(self, lit: list[str]) -> str:
        lamps = ", ".join(lit) or say("no-lamp")
        return say("hour-as", hour=f"{self._view.hour:02d}:00", lamps=lamps)
