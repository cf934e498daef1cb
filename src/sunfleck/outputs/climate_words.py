"""The climate of a plan as text for a terminal."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from sunfleck.outputs.round_words import round_lines
from sunfleck.outputs.verdict_words import NOT_ACCEPTED, SIGNS, verdict_lines, wrapped
from sunfleck.studies.climate.report import NOT_COMPUTED, ClimateReport
from sunfleck.studies.climate.seasons import Hours
from sunfleck.studies.climate.worlds import SeasonWorlds
from sunfleck.studies.day import clock
from sunfleck.studies.questions.one_failure import Outcome
from sunfleck.units import System, format_quantity

# Heights that are told: as many as a builder can hang thermometers.
TOLD = 5
CAUTIONS = (
    "heat and fire: nothing that can burn within a lamp's least distance, upwards and to its holder too; burn-in attended, "
    "24 h, with touch temperatures, before the animal moves in",
    "mains near water: residual-current protection, drip loops, and a licensed electrician for what is fixed wiring",
    "a heat source the animal can touch wants a guard; a second, independent cut-out stands behind every thermostat",
    "an animal that is limp, gapes or lies far from all warmth needs a reptile veterinarian, not a better prediction",
)


def climate_text(
    report: ClimateReport, system: System, accepted: dict[str, str], *, more: bool = False
) -> str:
    """Return the climate of a plan as a person reads it.

    Parameters
    ----------
    report : ClimateReport
        What was studied.
    system : str
        ``metric`` or ``us``.
    accepted : dict of str to str
        By animal, who stands for its targets; "" where nobody does.
    more : bool
        Whether chances, causes and sources are wanted too.

    Returns
    -------
    text : str
        Verdicts, air by height, where the heat goes, failures, what was not computed.
    """
    return "\n".join(_lines(report, system, accepted, more=more)) + "\n"


def _lines(report: ClimateReport, system: System, accepted: dict[str, str], *, more: bool) -> Iterator[str]:
    yield report.plan
    yield from round_lines(report.surveys, report.too_old)
    yield from _hours(report)
    if report.lacks:
        yield ""
        yield from wrapped(f"Nothing can be judged: {report.lacks}", "", "")
    for animal in dict.fromkeys(verdict.animal for verdict in report.verdicts):
        yield ""
        yield f"TARGETS of {animal}   (a target met is not yet a safe enclosure: see NOT COMPUTED)"
        if animal in accepted:
            yield f"  {accepted[animal] or NOT_ACCEPTED}"
        for verdict in report.verdicts:
            if verdict.animal == animal:
                yield from verdict_lines(verdict, system, "", more=more)
    for worlds in report.seasons:
        yield ""
        yield from _air(worlds, system)
    if report.words:
        yield ""
        yield "WHERE THE HEAT GOES"
        for line in report.words:
            yield from wrapped(line, "  - ", "    ")
        if report.cost:
            yield from wrapped(f"electricity: {report.cost}", "  - ", "    ")
    yield from _failures(report, system)
    for title, lines in (
        ("TAKEN, because the plan does not say", report.assumed),
        ("NOT COMPUTED", NOT_COMPUTED),
        ("CAUTIONS", CAUTIONS),
        ("BASIS", _basis(report)),
    ):
        if lines:
            yield ""
            yield title
            for line in lines:
                yield from wrapped(line, "  - ", "    ")


def _hours(report: ClimateReport) -> Iterator[str]:
    """When it is judged, once for each half of the year that is judged differently."""
    told: dict[Hours, str] = {}
    for worlds in report.seasons:
        told.setdefault(report.model.hours(worlds.season), worlds.season.words)
    for hours, when in told.items():
        by_day, by_night = (f"{clock(start)}-{clock(end)}" for start, end in (hours.day, hours.night))
        which = f" {when}" if len(told) > 1 else ""
        yield f"Judged{which} by day {by_day}, by night {by_night}; the basking spot in the hour when its lamps give most."


def _air(worlds: SeasonWorlds, system: System) -> Iterator[str]:
    season = worlds.season
    shown = format_quantity(season.warmth, "temperature", system)
    yield f"AIR BY HEIGHT {season.words}   room {shown} in the afternoon; expected (could be)"
    edges = worlds.model.column.edges
    middles = (edges[1:] + edges[:-1]) / 2
    chosen = sorted({round(x) for x in np.linspace(0, len(middles) - 1, TOLD)}, reverse=True)
    day, night = worlds.worlds.air_day, worlds.worlds.air_night
    yield f"    {'above the ground':<18} {'by day':<32} by night"
    for k in chosen:
        height = format_quantity(float(middles[k]), "length", system, 0)
        yield f"    {height:<18} {_range(day[:, k], system):<32} {_range(night[:, k], system)}"


def _range(values: np.ndarray[tuple[int], np.dtype[np.float64]], system: System) -> str:
    low, middle, high = (
        format_quantity(float(x), "temperature", system) for x in np.percentile(values, [5, 50, 95])
    )
    return f"{middle} ({low} to {high})"


def _failures(report: ClimateReport, system: System) -> Iterator[str]:
    for animal, found in report.failures.items():
        if not found:
            continue
        yield ""
        yield f"ONE FAILURE AT A TIME, for {animal}   coolest place in heat, warmest place in cold"
        for outcome in found:
            yield from wrapped(_failure(outcome, system), "    ", "        ")
        back = next((outcome.failure.back for outcome in found if outcome.failure.back), "")
        if back:
            yield from wrapped(f"when the power is back: {back}", "    ", "      ")


def _failure(outcome: Outcome, system: System) -> str:
    failure = outcome.failure
    value = format_quantity(float(np.median(outcome.extreme)), "temperature", system)
    until = f", limit passed after {outcome.minutes:.0f} min" if np.isfinite(outcome.minutes) else ""
    sign = SIGNS[outcome.state].strip()
    return f"{sign:<12} {failure.device} {failure.what}, {failure.worlds.season.words}: {value}{until}"


def _basis(report: ClimateReport) -> tuple[str, ...]:
    if not report.seasons:
        return ()
    worlds = report.seasons[0]
    drift = max(each.day.drift for each in report.seasons)
    return (
        f"air in {len(worlds.model.column.volume)} level layers between {len(worlds.model.shells.shells)} surfaces; each day "
        f"repeats itself within {drift:.2f} K; docs/physics.md says of each model where it comes from and what it leaves out",
        f"ranges hold 90 % of {len(worlds.matrix.normals)} possible worlds of {len(worlds.matrix.fields)} uncertain factors, "
        "lamps among them; a plan's thermostats are followed where their probes hang",
        "layers were fitted to a flow computation, not to measurements: hang thermometers at three heights for a day before "
        "planting, and compare",
    )
