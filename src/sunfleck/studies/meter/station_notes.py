"""How stations were chosen, and what could not be done, in words."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from sunfleck.brief.build import Brief
from sunfleck.brief.evidence import METER
from sunfleck.physics.conditioning import ChosenReadings, covariance_left
from sunfleck.studies.climate.report import ClimateReport
from sunfleck.studies.meter.arm import ARM, LONGEST, has_door
from sunfleck.studies.meter.choice import Choice
from sunfleck.studies.meter.light_predictions import MESH
from sunfleck.studies.meter.spots import short
from sunfleck.studies.meter.station_plan import Station
from sunfleck.studies.meter.wanted import HOW_WEIGHED, times
from sunfleck.studies.meter.warmth import ALIKE


def _of_the_meter(choice: Choice, chosen: ChosenReadings) -> Iterator[str]:
    """What a meter cannot tell of itself, and what another one would."""
    if not choice.prospect.same_meter.any() or not len(chosen.order):
        return
    other = choice.prospect.with_another_meter()
    read = np.flatnonzero(np.isin(other.station, chosen.order))
    left = np.diag(covariance_left(other.covariance(), other.own, other.shared, read))
    told = [
        f"{each.words} to {times(left[i]):.2f}x instead of {times(chosen.variances[-1][i]):.2f}x"
        for i, each in enumerate(choice.prospect.wanted)
        if each.judged
    ]
    if told:
        yield (
            "lamps and stations are read with the same meter, so that what it is off by stays unknown; the same stations "
            f"read with a second meter that is {METER:.0%} off narrow {', '.join(told)}"
        )


def _of_the_air(stations: tuple[Station, ...]) -> Iterator[str]:
    air = [each for station in stations for each in station.expected if each.what == "air"]
    seasons = {each.when: [one.middle for one in air if one.when == each.when] for each in air}
    if any(len(each) > 1 and max(each) - min(each) < ALIKE for each in seasons.values()):
        yield (
            "the computed air is about the same at both ends: it knows heights and no sides, so that these two probes tell "
            "what the program cannot"
        )


def _of_the_lamps(brief: Brief) -> Iterator[str]:
    """What tells two lamps apart, and a lamp from its mesh."""
    lamps = [fixture.name for fixture in brief.fixtures if "uvi" in fixture.outputs]
    if len(lamps) > 1:
        yield (
            f"with {' and '.join(lamps)} on together nobody can tell which is weak: read one station once more with each "
            f"of them alone (`lit: [{lamps[0]}]`)"
        )
    if lamps and any(sheet.medium.id.startswith(MESH) for sheet in brief.sheets):
        yield (
            "a weak lamp and a dense mesh look alike from below: where the mesh comes off, read one station once more "
            "without it (`mesh: lifted`)"
        )


def notes_of(
    brief: Brief,
    choice: Choice,
    chosen: ChosenReadings,
    stations: tuple[Station, ...],
    count: int,
    climate: ClimateReport | None,
) -> Iterator[str]:
    """Yield what a reader of the stations should know of them.

    Parameters
    ----------
    brief : Brief
        The resolved plan.
    choice, chosen, stations
        What was chosen from, what was chosen, and the stations made of it.
    count : int
        How many stations of light were asked for. [-]
    climate : ClimateReport or None
        Heat and air, where it was worked out.

    Yields
    ------
    words : str
        A sentence each.
    """
    system = brief.plan.show_units
    yield (
        "chosen one after another, each where its readings lower the summed variance of what is wanted most, those "
        f"before it known: {HOW_WEIGHED}"
    )
    yield (
        f"within {short(ARM, system)} of an open door, {short(LONGEST, system)} at most, along a straight way clear of "
        f"furnishing and lamps (common practice, no source); {int(choice.open_to.sum())} of {len(choice.spots)} places "
        "at the animals' backs"
    )
    yield (
        "expected are lamps as rated, dimmed as planned, thermostats not yet driving them down; the range holds nine of "
        "ten readings, meter and hand included"
    )
    yield from _of_the_meter(choice, chosen)
    yield from _of_the_lamps(brief)
    if not has_door(brief):
        yield "the plan has no door that a hand goes through: whether an arm gets to a station is not known"
    unlit = count - sum(1 for station in stations if {"uvi", "lux"} & set(station.reads))
    if unlit > 0:
        yield f"{unlit} fewer stations of light than asked for: no more places within an arm where a meter shows anything"
    out_of_reach = [str(s.number) for s in stations if s.way is None]
    if out_of_reach and has_door(brief):
        yield f"no arm gets straight to station {', '.join(out_of_reach)}: from above or along a branch, lamps off"
    yield from _of_the_air(stations)
    if climate is None or not climate.seasons:
        yield "what thermometers will show is not said: the climate was not worked out, or the plan gives no room"
