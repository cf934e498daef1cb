"""The verdicts, always in sight: each with its place, what turns it, and what was not checked beside them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial

from nicegui import ui

from sunfleck.faces.web.workbench.words import say, sign, typeset
from sunfleck.faces.web.workbench.working import beside, done
from sunfleck.outputs.remedy_words import change_words, cost_words
from sunfleck.outputs.verdict_words import range_words, wanted_words, worst_first
from sunfleck.service.workbench.bench import Bench, Offered
from sunfleck.service.workbench.judging import Judged
from sunfleck.studies.remedy import Remedied
from sunfleck.studies.report import Report, Verdict

# A plan is judged in a few seconds; what takes longer is the first time. [s]
FIRST_TIME = 8.0


@dataclass
class _Row:
    """What one verdict shows, to be filled anew without moving the focus."""

    box: ui.element
    head: ui.element
    shape: ui.html
    state: ui.label
    question: ui.label
    line: ui.label
    body: ui.element
    open: bool = False
    verdict: Verdict | None = None


class VerdictPanel:
    """The list of verdicts."""

    def __init__(
        self,
        bench: Bench,
        jump: Callable[[Verdict], None],
        has_place: Callable[[Verdict], bool],
        told: Callable[[str], None],
    ) -> None:
        """Build the panel.

        Parameters
        ----------
        bench : Bench
            The plan.
        jump : callable
            Shows the place of a verdict in the picture.
        has_place : callable
            Whether it has one.
        told : callable
            Tells the user in a line.
        """
        self._bench, self._jump, self._has_place, self._tell = bench, jump, has_place, told
        self._rows: dict[str, _Row] = {}
        self._whole: tuple[Verdict, ...] = ()
        with ui.element("section").classes("stack").props('aria-labelledby="verdicts-title"'):
            with ui.element("div").classes("row"):
                with ui.element("h2").props('id="verdicts-title"'):
                    ui.label(say("verdicts"))
                self._summary = (
                    ui.label(say("working")).classes("quiet").props('role="status"').mark("summary")
                )
            self._follows = ui.checkbox(say("follow"), value=bench.follows).props("dense").mark("follow")
            self._follows.on_value_change(lambda event: bench.follow(readings=bool(event.value)))
            self._rounds = ui.label("").classes("quiet").mark("rounds")
            self._stage = ui.label("").classes("quiet")
            self._list = ui.element("div")
            with ui.element("details"):
                with ui.element("summary"):
                    ui.label(say("not-checked"))
                ui.label(say("not-checked-hint")).classes("quiet")
                self._not_checked = ui.element("ul").mark("not-checked")
            with ui.element("details"):
                with ui.element("summary"):
                    ui.label(say("cautions"))
                self._cautions = ui.element("ul")

        ui.timer(FIRST_TIME, self._first_time, once=True)

    def _first_time(self) -> None:
        """Kernels are compiled once on a machine: nobody should think that the page has stopped."""
        if not self._rows:
            self._summary.text = say("first-time")

    def show(self, judged: Judged | None, *, current: bool, sound: bool) -> None:
        """Show what is known by now.

        Parameters
        ----------
        judged : Judged or None
            The newest verdicts; None before there are any.
        current : bool
            Whether they are of the plan as it is now: others stay in sight, faint, and are not counted.
        sound : bool
            Whether the plan has no problem, so that new ones will come.
        """
        self._follows.set_visibility(bool(self._bench.surveys))
        if judged is None:
            return
        report = judged.report
        names = ", ".join(report.surveys) if report is not None else ""
        self._rounds.text = self._bench.unread or (say("rounds", names=names) if names else "")
        self._rounds.set_visibility(bool(self._rounds.text))
        if report is None:
            self._summary.text = say("light-failed", why=judged.why)
            self._fade()
            return
        verdicts, old = report.verdicts, set[str]()
        if judged.stage == "light":
            # Those of heat and air stay in sight, faint, until the new ones are known.
            known = {verdict.id for verdict in verdicts}
            kept = tuple(verdict for verdict in self._whole if verdict.id not in known)
            verdicts, old = (*verdicts, *kept), {verdict.id for verdict in kept}
        else:
            self._whole = verdicts
        if not current:
            old = {verdict.id for verdict in verdicts}
        fresh = [verdict for verdict in verdicts if verdict.id not in old]
        count = {"meets": sum(verdict.state == "meets" for verdict in fresh), "count": len(fresh)}
        if not current:
            self._summary.text = say("of-before") if sound else say("of-sound")
        elif judged.stage == "light":
            self._summary.text = say("summary-so-far", **count)
        else:
            self._summary.text = say("summary", **count) if fresh else say("none")
        failed = judged.stage == "failed" and current
        self._stage.text = say("failed", why=judged.why) if failed else ""
        self._stage.set_visibility(failed)
        self._fill(sorted(verdicts, key=worst_first), old, judged.source.plan.show_units)
        _items(self._not_checked, (*_not_accepted(report), *report.not_checked))
        _items(self._cautions, report.cautions)

    def _fade(self) -> None:
        for row in self._rows.values():
            row.box.classes(add="old")

    def _fill(self, verdicts: list[Verdict], old: set[str], system: str) -> None:
        ids = [verdict.id for verdict in verdicts]
        if list(self._rows) != ids:
            # Rows stay what they are: one that was made anew would lose a click that is on its way, and be closed.
            for id_ in set(self._rows) - set(ids):
                self._rows.pop(id_).box.delete()
            with self._list:
                self._rows = {id_: self._rows.get(id_) or self._row(id_) for id_ in ids}
            for place, row in enumerate(self._rows.values()):
                if self._list.default_slot.children[place] is not row.box:
                    row.box.move(target_index=place)
        for verdict in verdicts:
            row = self._rows[verdict.id]
            self._fill_row(row, verdict, system)
            row.box.classes(replace=f"sf-verdict {verdict.state}" + (" old" if verdict.id in old else ""))

    def _row(self, id_: str) -> _Row:
        with ui.element("article").classes("sf-verdict") as box:
            head = ui.element("button").classes("head").props('type="button"').mark(f"verdict {id_}")
            with head:
                shape = ui.html("", sanitize=False).classes("sf-sign")
                with ui.element("span"):
                    with ui.element("span").classes("row"):
                        state = ui.label("").classes("sf-state")
                        question = ui.label("")
                    line = ui.label("").classes("quiet")
            body = ui.element("div").classes("body")
        row = _Row(box, head, shape, state, question, line, body)
        body.set_visibility(False)
        head.on("click", lambda: self._turn(row))
        return row

    def _fill_row(self, row: _Row, verdict: Verdict, system: str) -> None:
        row.shape.content, row.state.text = sign(verdict.state), say(verdict.state)
        row.question.text = typeset(verdict.question)
        row.line.text = typeset(range_words(verdict, system) or verdict.sentence)
        row.head.props(f'aria-expanded="{"true" if row.open else "false"}"')
        changed = row.verdict is None or _told_of(row.verdict) != _told_of(verdict)
        row.verdict = verdict
        if changed:
            row.body.clear()
            with row.body:
                self._body(verdict, system)

    def open(self, id_: str) -> None:
        """Open one verdict, chosen in the picture."""
        row = self._rows.get(id_)
        if row is not None and not row.open:
            self._turn(row)

    def _turn(self, row: _Row) -> None:
        row.open = not row.open
        row.body.set_visibility(row.open)
        row.head.props(f'aria-expanded="{"true" if row.open else "false"}"')
        if row.verdict is not None:
            self._jump(row.verdict)

    def _body(self, verdict: Verdict, system: str) -> None:
        ui.label(typeset(verdict.sentence))
        for words in (wanted_words(verdict, system), verdict.adjustment, verdict.place):
            if words:
                ui.label(typeset(words)).classes("quiet")
        if verdict.advice:
            ui.label(typeset(f"{say('do')}: {verdict.advice}"))
        with ui.element("div").classes("row"):
            if self._has_place(verdict):
                ui.button(say("show-place"), on_click=lambda: self._jump(verdict)).props(
                    "flat dense color=none"
                )
            look = ui.button(say("what-turns-it")).props("outline dense color=none")
            look.mark(f"remedies {verdict.id}").set_visibility(verdict.state != "meets")
        found = ui.element("div").classes("stack")
        look.on("click", lambda: self._look_for(verdict, look, found))

    async def _look_for(self, verdict: Verdict, button: ui.button, found: ui.element) -> None:
        source = self._bench.state.source
        if source is None:
            self._tell(say("stale"))
            return
        button.disable()
        found.clear()
        with found:
            ui.label(say("looking")).props('role="status"')
            if self._bench.read_here:
                ui.label(say("without-readings")).classes("quiet")
        remedied = await beside(self._tell, self._bench.remedies, source, verdict.id)
        if found.is_deleted:
            return
        button.enable()
        found.clear()
        with found:
            if self._bench.read_here:
                ui.label(say("without-readings")).classes("quiet")
            if remedied is None or not remedied.remedies:
                tried = remedied.tried if remedied is not None else 0
                ui.label(say("nothing-turns-it", tried=tried))
            else:
                self._remedies(remedied, source.document.text, source.plan.show_units)

    def _remedies(self, remedied: Remedied, base: str, system: str) -> None:
        for number, remedy in enumerate(remedied.remedies, 1):
            with ui.element("div").classes("sf-remedy").mark("remedy"):
                ui.label(typeset(f"{remedy.words} ({cost_words(remedy)})"))
                others = [change_words(change, system) for change in remedy.changes]
                with ui.element("details"):
                    with ui.element("summary"):
                        ui.label(say("also"))
                    listed = ui.element("ul")
                    _items(listed, others or [say("same-otherwise")])
                offered = Offered(base, remedy.text, remedy.words)
                take = ui.button(say("take"), on_click=lambda offered=offered: self._take(offered))
                take.props("outline dense color=none").mark(f"take {number}")

    def _take(self, offered: Offered) -> None:
        done(self._tell, partial(self._bench.take, offered))


def _told_of(verdict: Verdict) -> tuple[object, ...]:
    numbers = tuple((number.id, number.value) for number in verdict.numbers)
    return verdict.state, verdict.sentence, verdict.place, verdict.advice, verdict.adjustment, numbers


def _not_accepted(report: Report) -> tuple[str, ...]:
    return tuple(f"{name}: {say('not-accepted')}" for name, by in report.accepted.items() if not by)


def _items(listed: ui.element, lines: Sequence[str]) -> None:
    listed.clear()
    with listed:
        for line in lines:
            with ui.element("li"):
                ui.label(typeset(line))
