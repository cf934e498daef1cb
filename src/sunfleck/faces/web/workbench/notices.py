"""What a user must know before going on: problems, a file changed elsewhere, steps that came back, a better layout."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from nicegui import ui

from sunfleck.document.merge import Choice, Merge
from sunfleck.errors import SunfleckError
from sunfleck.faces.web.workbench.places import place_words
from sunfleck.faces.web.workbench.words import say
from sunfleck.faces.web.workbench.working import done
from sunfleck.service.workbench.bench import Bench
from sunfleck.service.workbench.session import State

MOST_PROBLEMS = 6


class Notices:
    """Lines between the bar and the picture; most of the time there are none."""

    def __init__(self, bench: Bench, told: Callable[[str], None]) -> None:
        """Build them."""
        self._bench, self._tell = bench, told
        self._seen: object = None
        self._restored_shown = not bench.session.restored
        self._kept_mine = False
        # What somebody else did to the file, as far as it is not settled; and what is to be read once.
        self._disk: Merge | None = None
        self._disk_said = ""
        self._merge_step: str | None = None
        self.box = ui.element("div").classes("sf-notes")

    def show(self, state: State) -> None:
        """Show what there is to know now."""
        session, bench = self._bench.session, self._bench
        seen = (
            state.problems,
            self._disk,
            self._disk_said,
            state.undo == self._merge_step,
            session.offered,
            session.read_only,
            self._restored_shown,
            bench.progress,
            bench.better,
            self._kept_mine,
        )
        if seen == self._seen:
            return
        self._seen = seen
        self.box.clear()
        with self.box:
            if state.problems:
                self._problems(state)
            if session.read_only:
                self._note(say("read-only"), (say("take-over"), session.take_over))
            if session.offered is not None:
                labels = ", ".join(session.offered.labels)
                words = say("offered", count=len(session.offered.labels), labels=labels)
                self._conflicts(words, session.offered.merge, session.take_offer, say("take-offer"))
            elif self._disk is not None:
                self._conflicts(say("changed-on-disk"), self._disk, session.merge_from_disk, say("merge"))
            elif self._disk_said:
                # Undo here is of the merge, while that is the last step.
                last = self._merge_step is not None and state.undo == self._merge_step
                undo = [(say("undo"), session.undo)] if last else []
                self._note(self._disk_said, *undo, (say("close"), self._hide_said))
            if not self._restored_shown:
                labels = ", ".join(session.restored)
                words = say("restored", count=len(session.restored), labels=labels)
                self._note(words, (say("close"), self._hide_restored))
            self._layout()

    def look_at_file(self) -> None:
        """See whether somebody else changed the file; what nobody changed here too is taken in at once."""
        session = self._bench.session
        if session.offered is not None:
            return
        said, disk = self._disk_said, None
        try:
            if session.changed_on_disk():
                # What is offered is always of the plan and the file as they are now.
                merged = session.merge_from_disk()
                disk = merged if merged.conflicts else None
                if disk is None:
                    self._merge_step = session.state.undo
                    said = f"{say('changed-on-disk')} {say('merged')}"
            elif self._merge_step is None:
                said = ""
        except SunfleckError as error:
            self._merge_step = None
            said = f"{say('changed-on-disk')} {error}"
        if (said, disk) != (self._disk_said, self._disk):
            self._disk_said, self._disk = said, disk
            self.show(self._bench.state)

    def _problems(self, state: State) -> None:
        with ui.element("div").classes("sf-note wrong").props('role="alert"').mark("problems"):
            with ui.element("div").classes("grow"):
                ui.label(say("stale"))
                with ui.element("ul"):
                    for problem in state.problems[:MOST_PROBLEMS]:
                        words = f"{place_words(problem.where)}: {problem.wrote}; needed {problem.needed}"
                        if problem.fix:
                            words += f"; {say('problem-try', fix=problem.fix)}"
                        with ui.element("li"):
                            ui.label(words)
            if state.undo is not None:
                undo = ui.button(say("undo")).props("outline dense color=none")
                undo.on("click", lambda: done(self._tell, self._bench.session.undo))

    def _conflicts(self, words: str, merged: Merge, take: Callable[..., object], label: str) -> None:
        choices: tuple[tuple[str, Choice], ...] = (
            (say("merge-mine"), "mine"),
            (say("merge-theirs"), "theirs"),
        )

        def taken(choice: Choice) -> None:
            now = take()
            if isinstance(now, Merge) and now.conflicts == merged.conflicts:
                take([choice] * len(merged.conflicts))
            self._disk = None
            self._tell(say("merged"))
            self.look_at_file()
            self.show(self._bench.state)

        buttons: list[tuple[str, Callable[[], object]]] = [(label, lambda: taken("mine"))]
        if merged.conflicts:
            buttons = [(words, partial(taken, choice)) for words, choice in choices]
        if self._bench.session.offered is not None:
            buttons.append((say("drop-offer"), self._bench.session.drop_offer))
        lines = [
            say("both", mine="".join(conflict.mine).strip(), theirs="".join(conflict.theirs).strip())
            for conflict in merged.conflicts
        ]
        self._note(" ".join([words, *lines]), *buttons)

    def _layout(self) -> None:
        bench = self._bench
        if bench.better is not None and not self._kept_mine:
            better = bench.better

            def taken() -> None:
                bench.take(better)
                self._keep_mine()

            self._note(self._better_words(), (say("take-better"), taken), (say("keep-mine"), self._keep_mine))
        elif bench.progress is not None and bench.progress[0] < 1.0:
            share, words = bench.progress
            self._note(f"{say('improving', words=words)} ({share:.0%})", (say("stop"), bench.stop_refining))
        elif bench.progress is not None and bench.progress[1]:
            self._note(bench.progress[1])

    def _better_words(self) -> str:
        now, then = self._bench.counts
        return say("better", now=now, then=then)

    def _keep_mine(self) -> None:
        self._kept_mine = True
        self.show(self._bench.state)

    def _hide_said(self) -> None:
        self._disk_said, self._merge_step = "", None
        self.show(self._bench.state)

    def _hide_restored(self) -> None:
        self._restored_shown = True
        self.show(self._bench.state)

    def _note(self, words: str, *buttons: tuple[str, Callable[[], object]]) -> None:
        with ui.element("div").classes("sf-note").props('role="status"').mark("note"):
            ui.label(words).classes("grow")
            for label, clicked in buttons:
                button = ui.button(label).props("outline dense color=none")
                button.on("click", partial(done, self._tell, clicked))
