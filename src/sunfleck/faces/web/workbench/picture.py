"""The picture: the box in space with its light, and the value at a point."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from nicegui import ui

from sunfleck.faces.web.workbench.controls import Controls
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
from sunfleck.outputs.scales import ColourScale, colour_scale
from sunfleck.outputs.scene.build import scene_of
from sunfleck.outputs.scene.packing import pack
from sunfleck.outputs.scene.painting import painted, values_shown
from sunfleck.outputs.scene.parts import Mark, Scene
from sunfleck.plan.read import PlanSource
from sunfleck.service.workbench import edits
from sunfleck.service.workbench.bench import Bench
from sunfleck.studies.channels import Channel
from sunfleck.studies.day import fullest
from sunfleck.studies.report import Verdict
from sunfleck.studies.shown import Cut, ShownLight, levels_at


@dataclass(frozen=True)
class Wish:
    """What is to be seen of a picture's light.

    Attributes
    ----------
    scene : Scene
        What is painted.
    channel : str
        Which light.
    hour : int or None
        Of the day; None for the hours in which most lamps are lit. [h]
    reach, lines : bool
        Whether the points within reach and the lines of equal light are wanted.
    scale : ColourScale or None
        Its colours; None for a scale of the light's own.
    """

    scene: Scene
    channel: Channel
    hour: int | None
    reach: bool
    lines: bool
    scale: ColourScale | None

    @property
    def scale_of(self) -> tuple[Channel, int | None]:
        """What a scale is of; colours of something else are never put on it."""
        return self.channel, self.hour


@dataclass(frozen=True)
class Painting:
    """A picture's light ready to be sent: bytes, their scale, and which lamps are lit."""

    shown: ShownLight
    wish: Wish
    scale: ColourScale
    paint: bytes
    lit: tuple[str, ...]


def painting_of(shown: ShownLight, wish: Wish) -> Painting:
    """Paint; it takes a while, so not in the event loop."""
    brief = shown.brief
    levels = fullest(brief).levels if wish.hour is None else levels_at(brief, 3600.0 * wish.hour)
    scale = wish.scale or _scale_for(shown, wish.channel, levels)
    paint = painted(shown, wish.scene, wish.channel, levels, scale, reach=wish.reach, lines=wish.lines)
    lit = tuple(name for name, level in levels.items() if level > 0)
    return Painting(shown, wish, scale, pack(paint), lit)


def _scale_for(shown: ShownLight, channel: Channel, levels: dict[str, float]) -> ColourScale:
    cuts, backs = values_shown(shown, channel, levels)
    animal = next(iter(shown.brief.animals), None)
    uv = channel == "uvi" and animal is not None
    floor = animal.uv_floor.value if uv and animal and animal.uv_floor else None
    ceiling = animal.uv_ceiling.value if uv and animal and animal.uv_ceiling else None
    return colour_scale(cuts, backs, floor, ceiling)


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
        self._bench, self._view, self._apply = bench, view, apply
        self._scene: Scene | None = None
        # What is seen now, settled.
        self._seen: Painting | None = None
        # Counts what is asked for: what was asked before is not wanted any more.
        self._wanted = 0
        self._settling, self._redraw = False, False
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
            self._controls = Controls(
                view,
                self.repaint,
                self._before_chosen,
                lambda on: self.view3d.probe(on=on),
                self.view3d.look,
                told,
            )

    # What is shown.

    async def show(self) -> None:
        """Show the newest plan: first the box, then its light once that is worked out."""
        self._redraw = True
        await self.repaint()

    async def repaint(self) -> None:
        """Show another channel, hour or cut; one at a time, then the newest: what was overtaken is not worked out."""
        self._wanted += 1
        self._place_of_cut()
        if self._settling:
            return
        self._settling = True
        try:
            turn = -1
            while turn != self._wanted and not self.view3d.is_deleted:
                turn = self._wanted
                await self._settle(turn)
        finally:
            self._settling = False

    async def _settle(self, turn: int) -> None:
        source = self._source()
        if source is None:
            return
        if self._redraw or self._scene is None:
            self._redraw = False
            found = await beside(self._told, _drawn, source)
            if turn != self._wanted or found is None or self.view3d.is_deleted:
                self._redraw = self._redraw or turn != self._wanted
                return
            self._scene, packed = found
            self.view3d.show(packed)
            self.view3d.select(self._view.key)
        self._controls.busy.text = say("settling")
        cut, wish = self._cut(), self._wish(settled=True)
        pictures, readings = self._bench.pictures, self._bench.read_here
        painting = await self._painted(lambda: pictures.settled(source, cut, readings), wish)
        if self.view3d.is_deleted or turn != self._wanted:
            return  # the window was closed meanwhile, or something else is wanted
        self._controls.busy.text = ""
        if painting is not None:
            self._seen = painting
            self.view3d.paint(0, painting.paint)
            self._legend(painting)

    async def _painted(self, compute: Callable[[], ShownLight], wish: Wish | None) -> Painting | None:
        if wish is None:
            return None
        return await beside(self._told, lambda: painting_of(compute(), wish))

    def _wish(self, *, settled: bool) -> Wish | None:
        """What is to be seen now; while something is dragged, on the scale that stands."""
        if self._scene is None:
            return None
        view = self._view
        wish = Wish(self._scene, view.channel, view.hour, view.reach and settled, settled, None)
        seen = self._seen if self._seen is not None and self._seen.wish.scale_of == wish.scale_of else None
        if settled:
            # Before and after have one scale, so that a colour means the same on both.
            return replace(wish, scale=seen.scale) if view.before and seen is not None else wish
        # Lines would lag behind what is dragged, and jump.
        return replace(wish, scale=seen.scale) if seen is not None else None

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

    def _legend(self, painting: Painting) -> None:
        hour, shown = painting.wish.hour, painting.shown
        when = fullest(shown.brief).words()
        if hour is not None:
            when = say("hour-as", hour=f"{hour:02d}:00", lamps=", ".join(painting.lit) or say("no-lamp"))
        self._controls.legend(painting.scale, painting.wish.channel, when)
        self._place_of_cut()

    def _place_of_cut(self) -> None:
        source = self._bench.state.last_sound
        if source is not None:
            self._controls.place_of_cut(self._cut(), source.plan.show_units)

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
                painting = await self._painted(compute, self._wish(settled=False))
                if painting is not None and turn == self._wanted and not self.view3d.is_deleted:
                    self._controls.busy.text = say("coarse")
                    self.view3d.paint(seq, painting.paint)
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
        await self.card.show(event, self._seen.shown if self._seen is not None else None)


def _drawn(source: PlanSource) -> tuple[Scene, bytes]:
    scene = scene_of(source)
    return scene, pack(scene)
