"""What a meter round says: readings beside predictions, lamps beside their labels, verdicts before and after."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from sunfleck.studies.meter.ageing import Due, LampAge
from sunfleck.studies.meter.calibration import Calibration, Compared
from sunfleck.studies.meter.hold_points import HoldPoint
from sunfleck.studies.meter.slips import Slip
from sunfleck.studies.meter.things import Learned
from sunfleck.studies.report import Report, Verdict

SCHEMA = 1
NOT_DONE = "not yet done: "


OF_HEAT = (
    "basking-spot",
    "basking-body",
    "warm-end",
    "cool-end",
    "gradient",
    "night",
    "burns",
    "one-failure",
)


def doubts_of(calibration: Calibration, changed: Sequence[str]) -> dict[str, tuple[str, str]]:
    """Why verdicts may not be met for now, and what to do, by what they are about: ``uv`` and ``heat``.

    Parameters
    ----------
    calibration : Calibration
        What the readings say.
    changed : sequence of str
        Surveys since which the plan was changed.

    Returns
    -------
    doubts : dict of str to (str, str)
        None where nothing is in doubt.
    """
    found: dict[str, tuple[str, str]] = {}
    for about, quantities in (("uv", ("uvi",)), ("heat", ("surface", "air"))):
        odd = [each.reading.station for each in calibration.odd if each.reading.quantity in quantities]
        read = any(each.reading.quantity in quantities and not each.left_out for each in calibration.compared)
        beyond = [words for of, words in calibration.beyond if of == about]
        if odd:
            stations = ", ".join(dict.fromkeys(odd))
            found[about] = (
                f"a reading that cannot be right stands against it (at {stations})",
                f"read again at {stations}, and correct or strike what was written there",
            )
        elif beyond:
            found[about] = (
                "; ".join(beyond),
                "look whether the lamp that hangs there is the plan's, and read again with another meter",
            )
        elif changed and read:
            found[about] = (
                f"the plan was changed since {' and '.join(changed)} was read: its readings are held against what stands now",
                "build what the plan says, and read again",
            )
    return found


def with_doubts(report: Report, calibration: Calibration, changed: Sequence[str] = ()) -> Report:
    """The same report, in which nothing is met that readings leave in doubt.

    Parameters
    ----------
    report : Report
        Of the plan with its readings.
    calibration : Calibration
        What they say.
    changed : sequence of str
        Surveys since which the plan was changed.

    Returns
    -------
    report : Report
        Such verdicts are not known until it is read again: the doubtful reading may be the one that is right.
    """
    return replace(report, verdicts=doubted(report.verdicts, calibration, changed))


def doubted(
    verdicts: Sequence[Verdict], calibration: Calibration, changed: Sequence[str]
) -> tuple[Verdict, ...]:
    """Verdicts of which none is met that readings leave in doubt; see `with_doubts`."""
    doubts = doubts_of(calibration, changed)
    return tuple(_doubted(verdict, doubts) for verdict in verdicts)


def _doubted(verdict: Verdict, doubts: dict[str, tuple[str, str]]) -> Verdict:
    question = verdict.id.split(":")[0]
    about = "uv" if question.startswith("uv-") else "heat" if question in OF_HEAT else ""
    if verdict.state != "meets" or about not in doubts:
        return verdict
    why, what = doubts[about]
    return replace(verdict, state="unknown", sentence=f"{verdict.sentence}, but {why}", advice=what)


@dataclass(frozen=True)
class Rejudged:
    """A verdict before and after the readings.

    Attributes
    ----------
    before, after : Verdict
        Of one question.
    """

    before: Verdict
    after: Verdict

    @property
    def narrowed(self) -> float | None:
        """Width of its range after over that before, of a logarithm where it is no temperature; None without one."""
        widths = [_width(verdict) for verdict in (self.before, self.after)]
        return None if widths[0] is None or widths[1] is None or not widths[0] else widths[1] / widths[0]


def _width(verdict: Verdict) -> float | None:
    ends = {n.id.rsplit(".", 1)[1]: n for n in verdict.numbers if n.id.endswith((".low", ".high"))}
    if len(ends) < 2:
        return None
    low, high = ends["low"].value, ends["high"].value
    if ends["low"].unit == "K":
        return high - low
    return float(np.log(high / low)) if low > 0 else None


@dataclass(frozen=True, eq=False)
class MeterReport:
    """The answer to ``calibrate``.

    Attributes
    ----------
    plan : str
        The plan's name.
    surveys : tuple of str
        Those that were used, by date.
    too_old : tuple of str
        Those that a newer one replaces.
    kind : str
        Of the newest: ``dry``, ``final`` or ``later``.
    calibration : Calibration
        What they say.
    slips : dict of Compared to tuple of Slip
        What may have gone wrong with each that cannot be right.
    report, before : Report
        The plan checked with the readings and without.
    lamps : tuple of LampAge
        How they fade.
    due : tuple of Due
        When floors will be missed.
    next_reading : tuple of str
        What to read next, in words.
    hold_points : tuple of HoldPoint
        What is to be tested before an animal moves in.
    """

    plan: str
    surveys: tuple[str, ...]
    too_old: tuple[str, ...]
    kind: str
    calibration: Calibration
    slips: dict[Compared, tuple[Slip, ...]]
    report: Report
    before: Report
    lamps: tuple[LampAge, ...]
    due: tuple[Due, ...]
    next_reading: tuple[str, ...]
    hold_points: tuple[HoldPoint, ...]

    @property
    def verdicts(self) -> tuple[Rejudged, ...]:
        """Every verdict before and after."""
        earlier = {verdict.id: verdict for verdict in self.before.verdicts}
        return tuple(
            Rejudged(earlier[verdict.id], verdict)
            for verdict in self.report.verdicts
            if verdict.id in earlier
        )

    @property
    def open_points(self) -> tuple[str, ...]:
        """What stands between this round and a signature."""
        found = [
            f"reading at {each.reading.station} cannot be right ({each.reading.where})"
            for each in self.calibration.odd
        ]
        if all(each.left_out for each in self.calibration.compared):
            found.append("nothing was read that could be used")
        found += [
            f"{verdict.question} ({verdict.animal}): {verdict.sentence}"
            for verdict in self.report.verdicts
            if verdict.state != "meets"
        ]
        found += [f"{NOT_DONE}{point.what}" for point in self.hold_points if not point.done]
        return tuple(found)

    @property
    def exit_code(self) -> int:
        """As `check` has it of the plan with its readings; 3 at least while a reading cannot be right."""
        code = self.report.exit_code
        return 3 if code == 0 and self.calibration.odd else code

    def to_dict(self) -> dict[str, Any]:
        """Return it as plain data for JSON."""
        return {
            "schema": SCHEMA,
            "plan": self.plan,
            "surveys": list(self.surveys),
            "too_old": list(self.too_old),
            "kind": self.kind,
            "exit_code": self.exit_code,
            "readings": [_compared(each, self.slips.get(each, ())) for each in self.calibration.compared],
            "learned": [_learned(each) for each in self.calibration.learned],
            "cannot_tell_apart": list(self.calibration.tied),
            "verdicts": [
                {
                    "id": each.after.id,
                    "before": each.before.state,
                    "after": each.after.state,
                    "range_width_ratio": each.narrowed,
                    "verdict": each.after.to_dict(),
                }
                for each in self.verdicts
            ],
            "lamps": [_lamp(each) for each in self.lamps],
            "due": [
                {
                    "verdict": each.verdict,
                    "earliest": each.earliest or None,
                    "expected": each.expected or None,
                    "latest": each.latest or None,
                    "missed": each.missed,
                }
                for each in self.due
            ],
            "next_reading": list(self.next_reading),
            "hold_points": [
                {"key": p.key, "what": p.what, "how": p.how, "by": p.by, "date": p.date, "note": p.note}
                for p in self.hold_points
            ],
            "open_points": list(self.open_points),
        }


def _number(value: float) -> float | None:
    return None if np.isnan(value) else value


def _compared(each: Compared, slips: tuple[Slip, ...]) -> dict[str, Any]:
    reading = each.reading
    return {
        "survey": reading.survey,
        "station": reading.station,
        "point_m": [float(x) for x in reading.point],
        "quantity": reading.quantity,
        "read": reading.value,
        "expected": _number(each.before),
        "low": _number(each.low),
        "high": _number(each.high),
        "now": _number(each.after),
        "others_say": _number(each.said),
        "others_say_low": _number(each.said_low),
        "others_say_high": _number(each.said_high),
        "standard_deviations_off": _number(each.apart),
        "cannot_be_right": each.odd,
        "not_used": each.left_out,
        "questions": [slip.question for slip in slips],
        "where": reading.where,
        "note": reading.note,
    }


def _learned(each: Learned) -> dict[str, Any]:
    return {
        "id": each.thing.id,
        "words": each.thing.words,
        "unit": each.unit,
        "added": each.shift,
        "expected": each.expected,
        "low": each.low,
        "high": each.high,
        "before_low": each.before_low,
        "before_high": each.before_high,
    }


def _lamp(each: LampAge) -> dict[str, Any]:
    return {
        "fixture": each.fixture,
        "hours": list(each.hours),
        "outputs": list(each.outputs),
        "lost_per_100_h": each.per_hundred,
        "lost_per_100_h_spread": 100.0 * float(np.sqrt(each.fading.covariance[1, 1])),
    }
