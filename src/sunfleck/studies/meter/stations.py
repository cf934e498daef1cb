"""Where to read: places an arm gets to whose readings tell most about the verdicts, and places for thermometers."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.build import Brief
from sunfleck.physics.conditioning import ChosenReadings
from sunfleck.studies.climate.report import ClimateReport
from sunfleck.studies.day import fullest
from sunfleck.studies.interreflection import Interior
from sunfleck.studies.meter.arm import ways_in
from sunfleck.studies.meter.choice import COUNT, Choice, choice_of, held, plan_hold
from sunfleck.studies.meter.spots import APART, Spot, from_walls, short
from sunfleck.studies.meter.station_notes import notes_of
from sunfleck.studies.meter.station_plan import Narrowed, Station, StationPlan
from sunfleck.studies.meter.wanted import Wanted, times
from sunfleck.studies.meter.warmth import Warmth, basking_spots, ends
from sunfleck.units import System

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

HELD_UP = "sensor up"
LAID_ON = "on the surface itself"
HUNG = "a shaded probe, after an hour"
# A gain smaller than this share of the largest is not worth a word. [-]
WORTH_NAMING = 0.5


def propose(
    brief: Brief,
    interior: Interior,
    count: int = COUNT,
    climate: ClimateReport | None = None,
    meter: str | None = None,
) -> StationPlan:
    """Propose stations: for light where readings narrow the verdicts most, and three for temperatures.

    Parameters
    ----------
    brief : Brief
        The resolved plan. Stations it has already are kept where they are, and completed.
    interior : Interior
        The inside of its box as it reflects.
    count : int
        How many stations of light, the plan's own among them. [-]
    climate : ClimateReport, optional
        Its heat and air, for what thermometers are expected to show.
    meter : str, optional
        With which meter light is read; by default the one of the plan's readings.

    Returns
    -------
    plan : StationPlan
        Numbered: the plan's own first, then of light, most telling first, then of temperature.
    """
    choice = choice_of(brief, interior, count, meter)
    chosen = choice.chosen(count)
    stations: list[Station] = []
    points: list[Floats] = []
    # The plan's own keep the order of the plan.
    for k in (*range(len(choice.kept)), *(k for k in chosen.order.tolist() if k >= len(choice.kept))):
        step = int(np.flatnonzero(chosen.order == k)[0]) if k in chosen.order else None
        stations.append(_light_station(choice, chosen, k, step))
        points.append(choice.spots[k].point)
    for warmth in _warmths(choice, climate):
        near = [i for i, point in enumerate(points) if np.linalg.norm(point - warmth.spot.point) < APART]
        if near:
            stations[near[0]] = _with(stations[near[0]], warmth)
        else:
            stations.append(_warm_station(choice, warmth))
            points.append(warmth.spot.point)
    numbered = tuple(
        replace(station, number=k, name=station.name if station.kept else f"{k} {station.name}")
        for k, station in enumerate(stations, start=1)
    )
    return StationPlan(
        plan=brief.plan.name,
        system=brief.plan.show_units,
        stations=numbered,
        meters=choice.prospect.meters,
        lit=fullest(brief).words(),
        looked_at=len(choice.spots),
        reached=int(choice.open_to.sum()),
        notes=tuple(notes_of(brief, choice, chosen, numbered, count, climate)),
    )


def _light_station(choice: Choice, chosen: ChosenReadings, k: int, step: int | None) -> Station:
    brief = choice.settings[0].brief
    spot, system = choice.spots[k], brief.plan.show_units
    of = choice.prospect
    reads = tuple(of.channel[i] for i in np.flatnonzero(of.station == k))
    kept = choice.kept[k] if k < len(choice.kept) else None
    narrowed: tuple[Narrowed, ...] = ()
    why = "no meter shows anything here: too dark, or inside something solid"
    if step is not None:
        before, after = chosen.variances[0], chosen.variances[step + 1]
        narrowed = tuple(
            Narrowed(each.id, each.words, times(before[i]), times(after[i]))
            for i, each in enumerate(of.wanted)
            if each.judged
        )
        why = _why(of.wanted, chosen.variances[step] - after)
    return Station(
        number=0,
        name=str(getattr(kept, "name", "")) if kept is not None else spot.words.split(",")[0],
        place=spot.words,
        at=(float(spot.point[0]), float(spot.point[1]), float(spot.point[2])),
        walls=from_walls(brief, spot.point, system),
        hold=_hold_words(kept, spot, system),
        way=choice.ways[k],
        reads=reads,
        expected=of.expected(k),
        narrowed=narrowed,
        why=f"already in the plan; {why}" if kept is not None else why,
        kept=kept is not None,
        plan_hold=plan_hold(kept),
        plan_note=str(getattr(kept, "note", None) or "") if kept is not None else "",
    )


def _why(wanted: tuple[Wanted, ...], gained: Floats) -> str:
    """What a station tells most about, of those it tells about so far."""
    told: dict[str, float] = {}
    for each, gain in zip(wanted, gained, strict=True):
        told[each.words] = told.get(each.words, 0.0) + each.weight * float(gain)
    most = max(told.values(), default=0.0)
    names = sorted(
        (words for words in told if told[words] >= WORTH_NAMING * most > 0), key=lambda w: -told[w]
    )
    return (
        f"tells most about {' and '.join(names[:2])}" if names else "tells little that is not known already"
    )


def _warmths(choice: Choice, climate: ClimateReport | None) -> Iterator[Warmth]:
    yield from basking_spots(choice.settings, climate)
    own = (np.arange(len(choice.spots)) < len(choice.kept)) & choice.sound
    reached = (choice.open_to & choice.sound) | own
    yield from ends(choice.settings[0], choice.spots, reached, own, choice.prospect.radiant, climate)


def _warm_station(choice: Choice, warmth: Warmth) -> Station:
    brief = choice.settings[0].brief
    point = warmth.spot.point
    surface = warmth.role == "surface"
    return Station(
        number=0,
        name=warmth.spot.words.split(",")[0] if surface else warmth.role,
        place=warmth.spot.words,
        at=(float(point[0]), float(point[1]), float(point[2])),
        walls=from_walls(brief, point, brief.plan.show_units),
        hold=LAID_ON if surface else f"{warmth.role}: {HUNG}",
        way=ways_in(brief, point[None, :])[0],
        reads=("surface" if surface else "air",),
        expected=warmth.expected,
        narrowed=(),
        why=warmth.why if warmth.shaded or surface else f"{warmth.why}: no shade there, shade the probe",
        kept=False,
    )


def _with(station: Station, warmth: Warmth) -> Station:
    """A station of light at which a thermometer is read too."""
    what, hold = ("surface", LAID_ON) if warmth.role == "surface" else ("air", HUNG)
    told = what if what == warmth.role else f"{what} of the {warmth.role}"
    if what in station.reads:
        return replace(station, why=f"{station.why}; {warmth.why}")
    return replace(
        station,
        reads=(*station.reads, what),
        expected=(*station.expected, *warmth.expected),
        hold=f"{station.hold}; {told}: {hold}",
        why=f"{station.why}; {warmth.why}",
    )


def _hold_words(station: Any, spot: Spot, system: System) -> str:
    way = held(station)
    if way is None or way == "up":
        if spot.above is None:
            return HELD_UP
        thing = "the ground" if spot.strip == "ground" else spot.strip.removeprefix("top of ")
        return f"{HELD_UP}, {short(spot.above, system)} off {thing}"
    return f"sensor {way}" if isinstance(way, str) else f"sensor along {tuple(way)}"
