"""The sheet that ends a meter round: what was read, what is met, what is safe, what is open, and who signs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from sunfleck.outputs.drawing_library import drawing_settings
from sunfleck.outputs.meter_words import CAUTIONS, KINDS, learned_words
from sunfleck.outputs.paper import HELD, MARGIN, Cell, Paper, files_of
from sunfleck.outputs.themes import HEADING, TITLE
from sunfleck.outputs.verdict_words import range_words, worst_first
from sunfleck.plan.read_survey import SurveySource
from sunfleck.plan.surveys import Instrument
from sunfleck.studies.meter.calibration import Compared
from sunfleck.studies.meter.report import NOT_DONE, MeterReport, Rejudged
from sunfleck.studies.meter.slips import NAMES, said_of
from sunfleck.studies.meter.target_and_safety import target_and_safety
from sunfleck.studies.meter.things import Learned
from sunfleck.units import System, format_quantity

if TYPE_CHECKING:
    from matplotlib.figure import Figure

TABLE = 8.0  # [pt]
SMALL_PRINT = 7.5  # [pt]
SIGN_ROOM, CAUTION_ROOM = 1.45, 0.75  # [in]
WORDS_OF_ONE = 30
# Shapes first: a copy in black and white tells as much.
SHAPES = {"meets": "●", "short": "▼", "over": "▲", "unknown": "◇"}
TARGET = {"meets": "met", "short": "short", "over": "over", "unknown": "not known"}
SAFE = {"meets": "yes", "short": "NO", "over": "NO", "unknown": "not known"}
READY, OPEN = "Ready to be signed", "Open points remain"
NOT_ASKED = "–"


def signoff_sheet(
    report: MeterReport, surveys: Sequence[SurveySource], system: System, kind: str
) -> tuple[bytes, ...]:
    """Return the sign-off sheet as files: one PDF, or one picture a page.

    Parameters
    ----------
    report : MeterReport
        What the round says.
    surveys : sequence of SurveySource
        All of the plan's that were asked for, by date.
    system : str
        ``metric`` (A4) or ``us`` (letter).
    kind : str
        ``pdf`` or ``png``.

    Returns
    -------
    contents : tuple of bytes
        The same for the same round.

    Raises
    ------
    MissingExtra
        If matplotlib is not installed.
    """
    with drawing_settings():
        figures = _Sheet(report, tuple(surveys), system).pages()
        return files_of(figures, kind, f"Sign-off of {report.plan}")


class _Sheet:
    """Lays the sheet out."""

    def __init__(self, report: MeterReport, surveys: tuple[SurveySource, ...], system: System) -> None:
        self.report, self.system = report, system
        self.used = [source for source in surveys if source.name in report.surveys]
        self.paper = Paper(system)

    def pages(self) -> list[Figure]:
        """All pages."""
        self._head()
        self._readings()
        self._as_found()
        self._verdicts()
        self._adjustments()
        self._hold_points()
        self._open()
        self._not_checked()
        self._signatures()
        checked = self.report.report
        self.paper.feet(
            f"{_short(self.report.plan)}; Sunfleck {checked.version}, library {checked.library_hash[:12]}"
        )
        return self.paper.figures

    def _head(self) -> None:
        paper, report = self.paper, self.report
        still = len(report.open_points)
        paper.paragraph(OPEN if still else READY, TITLE + 4, bold=True)
        plan = f"Sign-off of the meter round: {report.plan}"
        paper.paragraph(plan, HEADING + 1, bold=True)
        if still:
            paper.paragraph(
                f"{still} open points, listed in part 6. This sheet releases nothing while one stands."
            )
        paper.space(0.08)
        rows = []
        for source in self.used:
            survey = source.survey
            lamps = (
                f"lamps on for {_time(survey.warm_up)}"
                if survey.warm_up is not None
                else "not said how long lamps were on"
            )
            room = (
                f"room {format_quantity(survey.room, 'temperature', self.system)}"
                if survey.room is not None
                else "room not read"
            )
            note = f"; {survey.note}" if survey.note else ""
            rows.append(_cells(survey.date, KINDS[survey.kind], survey.by, f"{room}; {lamps}{note}"))
        paper.table((1.0, 1.9, 1.6, 4.6), ("date", "kind", "read by", "conditions"), rows, TABLE)
        if report.too_old:
            paper.space(0.04)
            paper.paragraph(f"Not used, a newer round was read: {', '.join(report.too_old)}.", TABLE)
        paper.space(0.08)
        instruments = dict.fromkeys(
            (each.name, ", ".join(NAMES[q] for q in each.reads), *_of(each, self.system))
            for source in self.used
            for each in source.survey.instruments
        )
        paper.table(
            (2.2, 2.6, 1.2, 1.6, 1.6),
            ("instrument", "reads", "accuracy", "last calibration", "corrected by"),
            [_cells(*each) for each in instruments] or [_cells("none is stated", *[""] * 4)],
            TABLE,
        )

    def _readings(self) -> None:
        paper = self.paper
        paper.heading("1  Readings", HEADING)
        several = len(self.used) > 1
        rows = [self._reading(each, several=several) for each in self.report.calibration.compared]
        if not rows:
            paper.paragraph("Nothing was read.")
            return
        head = (
            "station",
            "what",
            "read",
            "expected before (nine of ten)",
            "now",
            "off, in its own spread",
            "remark",
        )
        paper.table((1.55, 1.1, 1.1, 1.65, 1.1, 0.95, 2.3), head, rows, TABLE)

    def _reading(self, each: Compared, *, several: bool) -> list[Cell]:
        reading = each.reading
        station = f"{reading.station} ({reading.survey})" if several else reading.station
        told = [reading.note] if reading.note else []
        read = said_of(reading, reading.value, self.system)
        if each.left_out:
            remark = "; ".join([f"not used: {each.left_out}", *told])
            return _cells(station, NAMES[reading.quantity], read, NOT_ASKED, NOT_ASKED, NOT_ASKED, remark)
        expected, low, high, now = (
            said_of(reading, value, self.system) for value in (each.before, each.low, each.high, each.after)
        )
        if each.odd:
            told = ["▲ CANNOT BE RIGHT, hardly counts: read it again", *told]
            told += [slip.question for slip in self.report.slips.get(each, ())]
        row = _cells(
            station,
            NAMES[reading.quantity],
            read,
            f"{expected} ({low} to {high})",
            now,
            f"{each.apart:+.1f}".replace("-", "−"),
            "; ".join(told),
        )
        return [Cell(cell.words, bold=each.odd) for cell in row]

    def _as_found(self) -> None:
        paper, found = self.paper, self.report.calibration
        paper.heading("2  Lamps and meshes as found", HEADING, keep=0.4)
        told = [each for each in found.learned if each.thing.kind in ("lamp", "sheet")]
        for words in _together(told):
            paper.paragraph(words, TABLE, mark="•")
        read = {each.thing.fixture for each in told if each.thing.fixture}
        unread = [fixture.name for fixture in found.brief.fixtures if fixture.name not in read]
        if unread:
            paper.paragraph(f"these readings tell nothing new of: {', '.join(unread)}", TABLE, mark="•")
        for words in found.tied:
            paper.paragraph(words, TABLE, mark="•")

    def _verdicts(self) -> None:
        paper = self.paper
        paper.heading("3  Targets and safety, before and with the readings", HEADING)
        key = ", ".join(f"{SHAPES[state]} {words}" for state, words in TARGET.items())
        paper.paragraph(
            f"{key}; {NOT_ASKED} not asked. A target met is not yet safe; safe says only what was checked (part 7).",
            TABLE,
        )
        paper.space(0.04)
        judged = sorted(self.report.verdicts, key=lambda pair: worst_first(pair.after))
        rows = [self._verdict(each) for each in judged]
        head = (
            "question",
            "before → with the readings",
            "target met",
            "safe",
            "expected, could be (with the readings)",
        )
        paper.table((2.9, 2.0, 1.15, 1.15, 2.6), head, rows, TABLE)

    def _verdict(self, each: Rejudged) -> list[Cell]:
        verdict = each.after
        change = " → ".join(f"{SHAPES[v.state]}{HELD}{v.state}" for v in (each.before, verdict))
        target, safe = target_and_safety(verdict)
        words = [
            f"{verdict.question} ({verdict.animal})",
            change,
            NOT_ASKED if target is None else f"{SHAPES[target]} {TARGET[target]}",
            NOT_ASKED if safe is None else f"{SHAPES[safe]} {SAFE[safe]}",
            range_words(verdict, self.system),
        ]
        return [Cell(cell, bold=k in (2, 3) and cell[0] in "▲▼") for k, cell in enumerate(words)]

    def _adjustments(self) -> None:
        paper = self.paper
        paper.heading("4  Adjustments still needed", HEADING, keep=0.3)
        told = [
            f"within the travel of the brackets ({verdict.animal}): {verdict.adjustment}"
            for verdict in self.report.report.verdicts
            if verdict.adjustment
        ]
        told += [
            f"{verdict.question} ({verdict.animal}): {verdict.advice}"
            for verdict in sorted(self.report.report.verdicts, key=worst_first)
            if verdict.advice and verdict.state != "meets"
        ]
        for words in told or ["none"]:
            paper.paragraph(words, TABLE, mark="•")
        for words in self.report.next_reading:
            paper.paragraph(f"read next: {words}", TABLE, mark="•")

    def _hold_points(self) -> None:
        paper = self.paper
        paper.heading("5  Hold points, before an animal moves in (common practice, no source)", HEADING)
        rows = [
            [
                Cell(box=point.done),
                Cell(f"{point.what}: {point.how}" + (f" ({point.note})" if point.note else "")),
                Cell(point.by),
                Cell(point.date),
            ]
            for point in self.report.hold_points
        ]
        paper.table((0.35, 6.2, 1.9, 1.2), ("", "what and how", "who", "when"), rows, TABLE)

    def _open(self) -> None:
        paper = self.paper
        paper.heading("6  Open points", HEADING, keep=0.4)
        points = self.report.open_points
        # Each stop has its own row and box above: here they are named, not told again.
        stops = [words.removeprefix(NOT_DONE) for words in points if words.startswith(NOT_DONE)]
        for words in points:
            if not words.startswith(NOT_DONE):
                paper.paragraph(words, TABLE, mark="□")
        if stops:
            paper.paragraph(
                f"{len(stops)} hold points of part 5 are not done: {', '.join(stops)}", TABLE, mark="□"
            )
        if not points:
            paper.paragraph("none", TABLE)

    def _not_checked(self) -> None:
        paper = self.paper
        paper.heading("7  What was NOT checked", HEADING, keep=0.4)
        for words in self.report.report.not_checked:
            paper.paragraph(words, SMALL_PRINT, mark="•")

    def _signatures(self) -> None:
        paper = self.paper
        # Signatures never stand on a page alone.
        paper.heading("Cautions", HEADING, keep=SIGN_ROOM + CAUTION_ROOM)
        for words in CAUTIONS:
            paper.paragraph(words, TABLE, mark="•")
        paper.heading("8  Signatures", HEADING, keep=SIGN_ROOM - 0.4)
        words = (
            "Open points remain. Who signs here has read them; nobody signs that the enclosure is ready."
            if self.report.open_points
            else "Who signs here has read what was not checked."
        )
        paper.paragraph(words)
        for who in ("measured by", "takes over"):
            paper.space(0.42)
            x = MARGIN
            for label, width in ((who, 3.2), ("date", 1.2), ("signature", 0.0)):
                paper.at(x, paper.top, label)
                start = x + (0.85 if label == who else 0.36 if label == "date" else 0.65)
                end = MARGIN + paper.room if not width else x + width
                paper.rule(start, paper.top - 0.03, end, paper.top - 0.03)
                x = end + 0.12


def _together(learned: Sequence[Learned]) -> Iterator[str]:
    """Yield what is said of lamps and meshes; kinds of light of one lamp that go together in one line."""
    found: dict[tuple[str, str], list[str]] = {}
    for each in learned:
        what = learned_words(each).removeprefix(each.thing.words)
        found.setdefault((each.thing.fixture or each.thing.id, what), []).append(each.thing.words)
    for (fixture, what), told in found.items():
        kinds = [words.removesuffix(f" of {fixture}") for words in told]
        yield f"{', '.join(kinds)} of {fixture}{what}" if kinds != told else f"{told[0]}{what}"


def _cells(*words: str) -> list[Cell]:
    return [Cell(each) for each in words]


def _of(each: Instrument, system: System) -> Iterator[str]:
    """Accuracy, last calibration and corrections of an instrument."""
    value, kind = each.accuracy
    yield f"{100 * value:g} %" if kind == "fraction" else _difference(value, system)
    yield each.calibrated or "not stated"
    told = [f"factor {each.factor:g}"] if each.factor is not None else []
    told += [f"less {_difference(each.offset, system)}"] if each.offset is not None else []
    told += ["salt check"] if each.salt is not None else []
    yield ", ".join(told) or "nothing"


def _difference(value: float, system: System) -> str:
    return format_quantity(value, "temperature_difference", system, 1)


def _time(seconds: float) -> str:
    return f"{seconds / 60:.0f} min" if seconds < 2 * 3600 else f"{seconds / 3600:.3g} h"


def _short(name: str) -> str:
    return name if len(name) <= WORDS_OF_ONE else name[: WORDS_OF_ONE - 1].rstrip() + "…"
