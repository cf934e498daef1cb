"""The page of one plan: bar, notices, picture, verdicts, parts. It wires them; each is a file of its own."""

from __future__ import annotations

import re

from nicegui import background_tasks, core, ui
from nicegui.events import KeyEventArguments

from sunfleck.errors import SunfleckError
from sunfleck.faces.web.workbench.more_panels import ClimatePanel, ReasonsPanel, TextPanel
from sunfleck.faces.web.workbench.notices import Notices
from sunfleck.faces.web.workbench.part_list import PartList
from sunfleck.faces.web.workbench.picture import Picture
from sunfleck.faces.web.workbench.scene.happenings import Command
from sunfleck.faces.web.workbench.top_bar import TopBar
from sunfleck.faces.web.workbench.verdict_panel import VerdictPanel
from sunfleck.faces.web.workbench.view import View
from sunfleck.faces.web.workbench.words import say
from sunfleck.faces.web.workbench.working import beside, done
from sunfleck.service.workbench import edits
from sunfleck.service.workbench.bench import Bench
from sunfleck.service.workbench.edits import Edit
from sunfleck.service.workbench.session import ChangedOnDiskError
from sunfleck.studies.report import Verdict

# How often it is looked whether the file was changed elsewhere. [s]
LOOK_AT_FILE = 1.0


class BenchPage:
    """One window."""

    def __init__(self, bench: Bench) -> None:
        """Build the page of a plan."""
        self._bench, self._view = bench, View()
        self._client = ui.context.client
        self._waiting: set[str] = set()
        self._refreshing = False
        self._saved_text: str | None = None
        theme = ui.dark_mode(None)
        with ui.element("div").classes("sf sf-bench"):
            with ui.element("div").style("grid-column: 1 / -1"):
                self._bar = TopBar(bench, self.apply, self.save, self.tell, theme)
                self._notices = Notices(bench, self.tell)
            self._picture = Picture(
                bench, self._view, self.apply, self.choose, self._command, self._open, self.tell
            )
            with (
                ui.element("div")
                .classes("sf-side")
                .props('tabindex="0" role="region" aria-labelledby="verdicts-title"')
            ):
                self._verdicts = VerdictPanel(
                    bench, self._jump, lambda verdict: bool(self._place(verdict)), self.tell
                )
            with (
                ui.element("div")
                .classes("sf-side")
                .props('tabindex="0" role="region" aria-labelledby="parts-title"')
            ):
                self._parts = PartList(bench, self._view, self.apply, self.choose, self.tell)
                self._climate = ClimatePanel(bench)
                self._reasons = ReasonsPanel(bench, self.choose)
                self._text = TextPanel(bench, self.tell)
        ui.keyboard(on_key=self._key)
        ui.timer(LOOK_AT_FILE, self._look_at_files)
        unlisten = bench.listen(self._told)
        self._client.on_delete(unlisten)
        self._wake("text")
        self._wake("verdicts")

    def tell(self, words: str) -> None:
        """Tell the user in a line; nobody where the window is closed."""
        if self._client.id not in self._client.instances:
            return
        with self._client:
            ui.notify(words, timeout=8000, close_button=say("close"), multi_line=True)

    def apply(self, *changes: Edit) -> bool:
        """Apply edits as one step; False, and told, where they cannot be made."""
        return done(self.tell, lambda: self._bench.session.apply(*changes))

    def save(self) -> None:
        """Save the plan."""
        try:
            state = self._bench.session.save()
            if state.problems:
                self.tell(say("saved-with", count=len(state.problems)))
        except ChangedOnDiskError:
            self.tell(say("changed-on-disk"))
            self._notices.look_at_file()
        except SunfleckError as error:
            self.tell(str(error))

    def choose(self, key: str | None, in_picture: bool = False) -> None:
        """Choose a part, in the list, the form and the picture; there it is chosen already where it was picked there.

        An echo could come after the next key that chooses, and take its choice back.
        """
        self._view.key = key
        if not in_picture:
            self._picture.view3d.select(key)
        self._picture.view3d.hide(self._view.hidden)
        self._parts.show(self._bench.state)

    def _jump(self, verdict: Verdict) -> None:
        """Show the place of a verdict: the cut goes through it, and what its words name is chosen."""
        if verdict.at is not None:
            self._view.places = dict(zip("xyz", verdict.at, strict=True))
            self._view.axis = self._view.axis or "y"
            background_tasks.create(self._picture.repaint(), name="jump")
        named = self._named_in(verdict)
        if named:
            self.choose(max(named, key=len))

    def _place(self, verdict: Verdict) -> bool:
        return verdict.at is not None or bool(self._named_in(verdict))

    def _named_in(self, verdict: Verdict) -> list[str]:
        """Parts whose whole names stand in a verdict's words."""
        plan = self._bench.state.plan
        # What a verdict's numbers are of names lamps too.
        told = (
            verdict.question,
            verdict.place,
            verdict.sentence,
            verdict.advice,
            *(number.label for number in verdict.numbers),
        )
        words = " ".join(told)
        groups = ("fixtures", "perches", "ledges", "hides", "bowls", "backgrounds", "plants")
        names = [(group, part.name) for group in groups for part in getattr(plan, group, ())]
        found = [(g, n) for g, n in names if re.search(rf"(?<!\w){re.escape(n)}(?!\w)", words)]
        return [f"{group}/{name}" for group, name in found]

    def _open(self, verdict: str) -> None:
        self._verdicts.open(verdict)

    def _command(self, command: Command) -> None:
        session = self._bench.session
        if command.name in ("undo", "redo"):
            done(self.tell, session.undo if command.name == "undo" else session.redo)
        elif command.key is not None:
            group, _, name = command.key.partition("/")
            edit = edits.delete if command.name == "delete" else edits.duplicate
            self.apply(edit(group, name))

    def _key(self, event: KeyEventArguments) -> None:
        if not event.action.keydown or not (event.modifiers.ctrl or event.modifiers.meta):
            return
        key = str(event.key).lower()
        if key == "s":
            self.save()
        elif key == "z" and not event.modifiers.shift:
            done(self.tell, self._bench.session.undo)
        elif key in ("y", "z"):
            done(self.tell, self._bench.session.redo)

    async def _look_at_files(self) -> None:
        self._notices.look_at_file()
        await beside(self.tell, self._bench.look_at_surveys)

    # What changes, in whichever window or thread.

    def _told(self, what: str) -> None:
        """Take note in any thread."""
        if core.loop is not None and core.loop.is_running():
            core.loop.call_soon_threadsafe(self._wake, what)

    def _wake(self, what: str) -> None:
        self._waiting.add(what)
        if not self._refreshing:
            self._refreshing = True
            background_tasks.create(self._refresh(), name="refresh")

    async def _refresh(self) -> None:
        try:
            while self._waiting and self._client.id in self._client.instances:
                waiting, self._waiting = self._waiting, set()
                with self._client:
                    await self._shown(waiting)
        finally:
            self._refreshing = False

    async def _shown(self, waiting: set[str]) -> None:
        state, judged = self._bench.state, self._bench.judged
        current = self._bench.current
        report = judged.report if judged is not None and current else None
        # Each by itself: a fault in one must not leave the others as they were.
        for show in (
            lambda: self._bar.show(state),
            lambda: self._notices.show(state),
            lambda: self._verdicts.show(judged, current=current, sound=state.source is not None),
            lambda: self._picture.marks(list(report.verdicts) if report is not None else []),
            lambda: self._parts.show(state),
            lambda: self._text.show(state),
            self._reasons.show,
        ):
            done(self.tell, show)
        background_tasks.create(self._climate.refresh(judged), name="charts")
        if "text" in waiting:
            background_tasks.create(self._picture.show(), name="picture")
            background_tasks.create(self._picture.card.refresh(), name="value")
