"""From nothing: at most twelve questions, and a layout to begin with."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from nicegui import ui

from sunfleck.document.problem import PlanError
from sunfleck.errors import SunfleckError
from sunfleck.faces.web.workbench.words import say, typeset
from sunfleck.faces.web.workbench.working import beside
from sunfleck.plan.rules.names import slug
from sunfleck.service.first_plan import Answers, FirstPlan, Question, first_plan, options
from sunfleck.service.starting import STARTERS, starter_text, write_plan

MANY = 8


class StartPage:
    """The questions of one window."""

    def __init__(self, folder: Path, opened: Callable[[Path, FirstPlan | None], None]) -> None:
        """Build the page.

        Parameters
        ----------
        folder : Path
            Where plans are written, each in a folder of its own.
        opened : callable
            Called with the file of the new plan, and with the layout it was made from.
        """
        self._folder, self._opened = folder, opened
        self._asked: dict[str, Any] = {}
        self._wrong: dict[str, ui.label] = {}
        ui.dark_mode(None)
        with ui.element("main").classes("sf sf-start"):
            with ui.element("h1"):
                ui.label(say("start"))
            ui.label(say("start-hint"))
            with ui.element("form").props('onsubmit="return false"').classes("stack"):
                with ui.element("div").classes("questions"):
                    for question in options():
                        self._question(question)
                self._button = ui.button(say("propose"), on_click=self._propose).classes("main")
                self._button.props("unelevated color=none text-color=none").mark("propose")
            self._told = ui.label("").props('role="status"').mark("told")
            with ui.element("section").classes("stack"):
                ui.label(say("open-other")).classes("quiet")
                with ui.element("div").classes("row"):
                    for name, words in STARTERS.items():
                        ui.button(words, on_click=lambda name=name: self._example(name)).props(
                            "flat dense color=none"
                        ).mark(f"example {name}")

    def _question(self, question: Question) -> None:
        hint = [say("example", example=typeset(question.example))] if question.example else []
        if question.default == "":
            hint.append(say("optional"))
        with ui.element("div").classes("question"):
            ui.label(question.label).props('aria-hidden="true"')
            if question.choices:
                choices = {choice.value: choice.label for choice in question.choices}
                field: Any = ui.select(choices, value=question.default, with_input=len(choices) > MANY)
            else:
                field = ui.input(value=typeset(question.default or ""))
            words = "; ".join([question.label, *hint]).replace('"', "'")
            field.props(f'outlined dense aria-label="{words}"').mark(f"ask {question.field}")
            ui.label("; ".join(hint)).classes("quiet").props('aria-hidden="true"').set_visibility(bool(hint))
            self._wrong[question.field] = ui.label("").classes("sf-wrong").props('role="alert"')
            self._asked[question.field] = field

    async def _propose(self) -> None:
        for label in self._wrong.values():
            label.text = ""
        given = {name: str(field.value or "") for name, field in self._asked.items()}
        self._told.text = say("proposing")
        self._button.disable()
        first = await beside(self._tell, self._proposed, given)
        if self._told.is_deleted:
            return
        self._button.enable()
        if self._told.text == say("proposing"):
            self._told.text = ""
        if first is not None and not isinstance(first, FirstPlan):
            self._say_problems(first)
            return
        if first is not None:
            self._write(slug(first.plan.plan.name), first.text, first)

    @staticmethod
    def _proposed(given: dict[str, str]) -> FirstPlan | PlanError:
        try:
            return first_plan(Answers(**given))  # type: ignore[arg-type]  # units are a choice
        except PlanError as error:
            return error

    def _tell(self, words: str) -> None:
        if not self._told.is_deleted:
            self._told.text = words

    def _say_problems(self, error: PlanError) -> None:
        for problem in error.problems:
            # `where` begins with the name of the answer.
            label = self._wrong.get(problem.where.partition(" ")[0], self._told)
            field = self._asked.get(problem.where.partition(" ")[0])
            unanswered = isinstance(field, ui.select) and not field.value
            words = say("choose-one") if unanswered else f"{problem.wrote}: {problem.needed}"
            if problem.fix:
                words += f"; {say('problem-try', fix=problem.fix)}"
            label.text = f"{label.text}. {words}" if label.text else words

    def _example(self, name: str) -> None:
        self._write(name, starter_text(name), None)

    def _write(self, name: str, text: str, first: FirstPlan | None) -> None:
        try:
            file = write_plan(self._folder / name, text)
            self._opened(file, first)
        except SunfleckError as error:
            self._told.text = str(error)
