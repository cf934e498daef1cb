"""A motion as numbered drawings: one column for a phone, sheets of paper for the workshop."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from io import BytesIO
from math import ceil
from typing import TYPE_CHECKING, Any

from sunfleck.errors import DomainError
from sunfleck.geometry.passage.bodies import Body
from sunfleck.geometry.passage.motion import Motion
from sunfleck.geometry.passage.stage import Stage
from sunfleck.geometry.passage.steps import Step
from sunfleck.outputs.data_sheet import PAPERS
from sunfleck.outputs.drawing_library import drawing_settings
from sunfleck.outputs.page import LEADING, MARGIN, POINTS, WIDTH, Page
from sunfleck.outputs.paper import broken, files_of
from sunfleck.outputs.passage_staging import Staging
from sunfleck.outputs.passage_views import View
from sunfleck.outputs.pictures import NOTHING_OF_TODAY
from sunfleck.outputs.step_words import (
    NOT_LOOKED_AT,
    SIGNS,
    room_words,
    sentence_of,
    standing_words,
    start_words,
)
from sunfleck.outputs.themes import HEADING, LIGHT, SMALL, TEXT, TITLE, Theme
from sunfleck.units import System

if TYPE_CHECKING:
    from matplotlib.figure import Figure

HIGHEST = 2.9  # of a view in the column [in]
GAP = 0.22  # between two views [in]
EDGE = 0.42  # of a sheet [in]
DOTS = 150  # [1/in]
MOST_ON_A_SHEET = 6
HEAD, FOOT = 0.75, 0.5  # of a sheet [in]


@dataclass(frozen=True, slots=True)
class Drawn:
    """A motion with what is told of it.

    Attributes
    ----------
    title : str
        ``Back panel, in through the door``.
    plan : str
        Name of the plan.
    stage : Stage
        The box. [m]
    body : Body
        What moves. [-]
    motion : Motion
        In or, backwards, out; in the enclosure's coordinates. [m]
    steps : tuple of Step
        Of the motion; with their room where it was measured. [-]
    carried : str
        Who carries what, as a sentence: ``Two people, 14.2 kg.`` May be empty.
    stated : str
        The foot: program, version, what was not checked.
    """

    title: str
    plan: str
    stage: Stage
    body: Body
    motion: Motion
    steps: tuple[Step, ...]
    carried: str = ""
    stated: str = ""


def passage_column(drawn: Drawn, system: System, theme: Theme) -> bytes:
    """Draw the steps below each other, narrow enough for a phone, as SVG.

    Parameters
    ----------
    drawn : Drawn
        The motion. [-]
    system : str
        ``metric`` or ``us``. [-]
    theme : Theme
        Colours. [-]

    Returns
    -------
    content : bytes
        The file; the same for the same motion.

    Raises
    ------
    DomainError
        If there is no step.
    MissingExtra
        If matplotlib is not installed.
    """
    drawn = _printable(drawn)
    with drawing_settings():
        return _svg(_column(drawn, system, theme), drawn)


def passage_sheets(drawn: Drawn, system: System) -> bytes:
    """Draw the steps on lying sheets, up to six on each, as one PDF.

    Parameters
    ----------
    drawn : Drawn
        The motion. [-]
    system : str
        ``metric`` (A4) or ``us`` (letter). [-]

    Returns
    -------
    content : bytes
        The file; the same for the same motion.

    Raises
    ------
    DomainError
        If there is no step.
    MissingExtra
        If matplotlib is not installed.
    """
    drawn = _printable(drawn)
    with drawing_settings():
        return files_of(_sheets(drawn, system, LIGHT), "pdf", f"{drawn.plan}: {drawn.title}")[0]


def _printable(drawn: Drawn) -> Drawn:
    """The same without signs that no file of a picture may hold, such as a line break in a name."""
    if not drawn.steps:
        msg = f"a drawing needs a motion of one step or more; {drawn.title or 'this one'} stands in its place already"
        raise DomainError(msg)

    def plain(words: str) -> str:
        return "".join(sign if sign.isprintable() else " " for sign in words)

    return replace(
        drawn,
        title=plain(drawn.title),
        plan=plain(drawn.plan),
        carried=plain(drawn.carried),
        stated=plain(drawn.stated),
        stage=replace(drawn.stage, names=tuple(map(plain, drawn.stage.names))),
    )


def _svg(figure: Figure, drawn: Drawn) -> bytes:
    content = BytesIO()
    metadata = {**NOTHING_OF_TODAY["svg"], "Title": f"{drawn.plan}: {drawn.title}"}
    figure.savefig(content, format="svg", facecolor=figure.get_facecolor(), metadata=metadata)
    return content.getvalue()


def _facts(drawn: Drawn) -> list[str]:
    facts = [
        start_words(drawn.motion, drawn.stage),
        drawn.carried,
        standing_words(drawn.stage.names),
    ]
    return [each for each in facts if each]


def _spans(staging: Staging, steps: Sequence[Step]) -> list[tuple[View, ...]]:
    return [staging.views(step) for step in steps]


def _metre(staging: Staging, pairs: Sequence[tuple[View, ...]], width: float, height: float) -> float:
    """How long a metre is drawn so that each pair of views fits. [in]"""
    sizes = [
        [high - low for low, high in (staging.bounds(step, view) for view in pair)]
        for step, pair in zip(staging.steps, pairs, strict=True)
    ]
    return min(
        min((width - GAP * (len(pair) - 1)) / sum(float(size[0]) for size in pair), height / max(float(size[1]) for size in pair))
        for pair in sizes
    )  # fmt: skip


def _column(drawn: Drawn, system: System, theme: Theme) -> Figure:
    staging = Staging(drawn.stage, drawn.body, drawn.motion, drawn.steps)
    page = Page(theme)
    page.title(drawn.plan, drawn.title, " ".join(_facts(drawn)))
    page.text(SIGNS, SMALL, quiet=True)
    pairs = _spans(staging, drawn.steps)
    room = WIDTH - 2 * MARGIN
    metre = _metre(staging, pairs, room, HIGHEST)
    for number, (step, pair) in enumerate(zip(drawn.steps, pairs, strict=True), start=1):
        page.space(0.2)
        words = sentence_of(step, drawn.motion, drawn.body, drawn.stage, system)
        page.text(f"{number}. {words}", HEADING, bold=True)
        page.space(0.06)
        _pair(page, staging, step, pair, metre)
        beside = room_words(step, system)
        if beside:
            page.text(beside, TEXT)
    page.space(0.16)
    page.text(NOT_LOOKED_AT, SMALL, quiet=True)
    if drawn.stated:
        page.text(drawn.stated, SMALL, quiet=True)
    return page.build()


def _pair(page: Page, staging: Staging, step: Step, pair: tuple[View, ...], metre: float) -> None:
    """Views side by side, level at their feet, each with its name below."""
    sizes = [(high - low) * metre for low, high in (staging.bounds(step, view) for view in pair)]
    height = max(float(size[1]) for size in sizes)
    left = MARGIN
    for k, (view, size) in enumerate(zip(pair, sizes, strict=True)):
        last = k == len(pair) - 1
        page.space(height - float(size[1]))
        page.axes(
            float(size[1]),
            lambda ax, view=view: staging.draw(ax, step, view, page.theme),  # type: ignore[misc]
            left=left,
            width=float(size[0]),
        )
        page.text(view.words, SMALL, quiet=True, left=left)
        if not last:
            # Back up, so that the next stands beside it.
            page.space(-height - SMALL * LEADING / POINTS)
        left += float(size[0]) + GAP


def _sheets(drawn: Drawn, system: System, theme: Theme) -> list[Figure]:
    from matplotlib.backends.backend_agg import FigureCanvasAgg  # noqa: PLC0415  # an extra
    from matplotlib.figure import Figure  # noqa: PLC0415  # an extra

    height, width = PAPERS[system]  # lying
    staging = Staging(drawn.stage, drawn.body, drawn.motion, drawn.steps)
    pairs = _spans(staging, drawn.steps)
    each = min(len(drawn.steps), MOST_ON_A_SHEET)
    facts = broken(" ".join(_facts(drawn)), TEXT, width - 2 * EDGE)
    head = HEAD + 0.16 * max(0, len(facts) - 2)
    line = TEXT * LEADING / POINTS
    below = 2 * SMALL * LEADING / POINTS + 0.12

    def arranged(columns: int) -> tuple[float, int, tuple[float, float], list[list[str]], float]:
        """How long a metre is drawn with so many steps beside each other, and what that asks for."""
        cell = (
            (width - 2 * EDGE + GAP) / columns - GAP,
            (height - 2 * EDGE - head - FOOT) / ceil(each / columns),
        )
        sentences = [
            broken(f"{k}. {sentence_of(step, drawn.motion, drawn.body, drawn.stage, system)}", TEXT, cell[0], bold=True)
            for k, step in enumerate(drawn.steps, start=1)
        ]  # fmt: skip
        above = max(len(lines) for lines in sentences) * line + 0.06
        return _metre(staging, pairs, cell[0], cell[1] - above - below), columns, cell, sentences, above

    metre, columns, cell, sentences, above = max(
        (arranged(columns) for columns in range(1, each + 1)), key=lambda found: found[:2]
    )
    figures = []
    count = ceil(len(drawn.steps) / each)
    for sheet in range(count):
        figure = Figure(figsize=(width, height), dpi=DOTS, facecolor="white")
        FigureCanvasAgg(figure)
        figures.append(figure)

        def write(x: float, y: float, words: str, size: float, figure: Figure = figure, **more: Any) -> None:
            figure.text(x / width, y / height, words, fontsize=size, va="baseline", **more)

        write(EDGE, height - EDGE - 0.18, drawn.title, TITLE, fontweight="bold", color=theme.ink)
        write(width - EDGE, height - EDGE - 0.18, drawn.plan, SMALL, color=theme.quiet, ha="right")
        for k, words in enumerate(facts):
            write(EDGE, height - EDGE - 0.40 - 0.16 * k, words, TEXT, color=theme.ink)
        foot = f"{SIGNS} {NOT_LOOKED_AT} {drawn.stated}"
        foot += f" Sheet {sheet + 1} of {count}." if count > 1 else ""
        small = SMALL - 1
        for k, words in enumerate(broken(foot, small, width - 2 * EDGE)):
            write(EDGE, EDGE + FOOT - 0.22 - k * small * LEADING / POINTS, words, small, color=theme.quiet)
        for place in range(each):
            k = sheet * each + place
            if k >= len(drawn.steps):
                break
            step = drawn.steps[k]
            left = EDGE + (place % columns) * (cell[0] + GAP)
            top = height - EDGE - head - (place // columns) * cell[1]
            for row, words in enumerate(sentences[k]):
                write(left, top - (row + 0.78) * line, words, TEXT, fontweight="bold", color=theme.ink)
            sizes = [(high - low) * metre for low, high in (staging.bounds(step, view) for view in pairs[k])]
            foot_at = top - above - max(float(size[1]) for size in sizes)
            here = left
            for view, size in zip(pairs[k], sizes, strict=True):
                box = (here / width, foot_at / height, float(size[0]) / width, float(size[1]) / height)
                staging.draw(figure.add_axes(box, facecolor="none"), step, view, theme)
                write(here, foot_at - 0.13, view.words, SMALL, color=theme.quiet)
                here += float(size[0]) + GAP
            write(left, foot_at - 0.29, room_words(step, system), SMALL, color=theme.ink)
    return figures
