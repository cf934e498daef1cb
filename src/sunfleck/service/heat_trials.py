"""Changes of a plan that are worth trying for its heat and air, in series from the smallest on."""

from __future__ import annotations

from collections.abc import Iterator

from sunfleck.brief.givens import number
from sunfleck.plan.read import PlanSource
from sunfleck.service.air_trials import fan_levels, new_fans, new_vents
from sunfleck.service.trials import Edit, Series, Trial, lamps_moved, swaps
from sunfleck.service.wall_trials import insulated, thicker_walls
from sunfleck.studies.report import Verdict
from sunfleck.units import format_quantity

OF_AIR = ("warm-end", "cool-end", "gradient", "night")
OF_THE_SPOT = ("basking-spot", "basking-body", "burns")
# Thermostats are set by degrees, timers by hours, vents by halves. [K], [s]
DEGREES = (2.0, 4.0, 6.0, 8.0, 10.0)
HOURS = (3600.0, 7200.0, 10800.0, 14400.0)
WIDER, NARROWER = (1.5, 2.0, 3.0), (0.5, 0.25)
# A room is kept within what people live in. [K]
LIVED_IN = (283.15, 303.15)
WHEN = {
    "winter": "in winter",
    "summer": "in summer",
    "coldest": "on the coldest day",
    "hottest": "on the hottest day",
}


def heat_trials(plan: PlanSource, verdict: Verdict) -> list[Series]:
    """Return series of single changes for a verdict about heat or air, cheapest kinds first.

    Parameters
    ----------
    plan : PlanSource
        As it is.
    verdict : Verdict
        Which does not meet.

    Returns
    -------
    series : list of list of Trial
        Each from the smallest change on; none for a verdict about something else.
    """
    question = verdict.id.split(":")[0]
    values = {number.id.rsplit(".", 1)[1]: number.value for number in verdict.numbers}
    cold, hot = _seasons(values, below=True), _seasons(values, below=False)
    heating = [i for i, f in enumerate(plan.plan.fixtures) if plan.library.lamps[f.lamp].heats]
    if question in OF_THE_SPOT:
        ways = [way for way, asked in ((-1, cold), (1, hot)) if asked]
        of_spot = [series for way in ways for series in _thermostats(plan, heating, -way)]
        of_spot += [series for way in ways for series in lamps_moved(plan, heating, way)]
        return [*of_spot, *_other_watts(plan, heating, more=bool(cold), less=bool(hot))]
    if question not in OF_AIR:
        return []
    found: list[Series] = []
    # By night a box without lamps is its room: more of the room's air cools it no further.
    aired = hot and not cold and question != "night"
    if aired:
        found += [*fan_levels(plan, more=True), *_shorter(plan, heating)]
        found += [*_vents(plan, WIDER), *new_vents(plan)]
    if cold and not hot:
        found += [*fan_levels(plan, more=False), *_vents(plan, NARROWER)]
    if question != "night":
        found += _other_watts(plan, heating, more=bool(cold), less=bool(hot))
    if aired:
        found.append(new_fans(plan))
    if cold and not hot:
        found += [*thicker_walls(plan), *insulated(plan)]
    return [series for series in (*found, *_room(plan, values)) if series]


def _seasons(values: dict[str, float], *, below: bool) -> list[str]:
    """Seasons in which what is expected lies below the target, or above it."""
    low = values.get("floor", float("-inf"))
    high = min(values.get("comfort_ceiling", float("inf")), values.get("ceiling", float("inf")))
    found = []
    for name, value in values.items():
        if name.endswith("_expected") and (value < low if below else value > high):
            found.append(name.removesuffix("_expected"))
    if not found and not below and "ceiling" in values:
        # A ceiling is passed by what could be, not by what is expected.
        found = [
            n.removesuffix("_high")
            for n, v in values.items()
            if n.endswith("_high") and v > values["ceiling"]
        ]
    return found


def _thermostats(plan: PlanSource, heating: list[int], way: int) -> Iterator[Series]:
    """All thermostats of the heating lamps warmer or cooler, degree by degree."""
    driven = [i for i in heating if plan.plan.fixtures[i].control is not None]
    if not driven:
        return
    verb = "warmer" if way > 0 else "cooler"
    names = " and ".join(plan.plan.fixtures[i].name for i in driven)
    series = []
    for by in DEGREES:
        edits = []
        for i in driven:
            control = plan.plan.fixtures[i].control
            assert control is not None
            target = control.target + way * by
            edits.append(Edit(("fixtures", i, "control", "target"), _degrees(plan, target)))
            if control.cut_out is not None:
                edits.append(
                    Edit(("fixtures", i, "control", "cut_out"), _degrees(plan, control.cut_out + way * by))
                )
        shown = format_quantity(by, "temperature_difference", plan.plan.show_units)
        series.append(Trial(("setting",), f"set the thermostat of {names} {shown} {verb}", tuple(edits)))
    yield series


def _shorter(plan: PlanSource, heating: list[int]) -> Iterator[Series]:
    """The heating lamps off earlier, hour by hour."""
    timed = [i for i in heating if plan.plan.fixtures[i].hours]
    if not timed:
        return
    names = " and ".join(plan.plan.fixtures[i].name for i in timed)
    series = []
    for by in HOURS:
        edits = []
        for i in timed:
            hours = plan.plan.fixtures[i].hours
            assert hours is not None
            if hours[-1] - by > hours[-2] + 3600.0:
                edits.append(Edit(("fixtures", i, "hours", len(hours) - 1), _clock(hours[-1] - by)))
        if edits:
            series.append(Trial(("timer",), f"{names} off {by / 3600:.0f} h earlier", tuple(edits)))
    yield series


def _vents(plan: PlanSource, factors: tuple[float, ...]) -> Iterator[Series]:
    """Every vent in the sides wider, or narrower, along its longer way."""
    vents = [(k, v) for k, v in enumerate(plan.plan.enclosure.vents) if v.face not in ("top", "bottom")]
    if not vents:
        return
    series = []
    for factor in factors:
        edits = []
        for k, vent in vents:
            way = 0 if vent.size[0] >= vent.size[1] else 1
            # About its middle, so that it stays where it was.
            at = vent.at[way] - vent.size[way] * (factor - 1.0) / 2.0
            edits.append(Edit(("enclosure", "vents", k, "at", way), _length(plan, max(0.005, at))))
            edits.append(Edit(("enclosure", "vents", k, "size", way), _length(plan, vent.size[way] * factor)))
        names = " and ".join(vent.name for _, vent in vents)
        series.append(Trial(("vent",), f"make {names} {factor:g} times as long", tuple(edits)))
    yield series


def _other_watts(plan: PlanSource, heating: list[int], *, more: bool, less: bool) -> Iterator[Series]:
    """Lamps of the same build with more or fewer watts."""
    for series in swaps(plan, heating):
        new = next((str(e.value) for t in series for e in t.edits if e.path[-1] == "lamp"), None)
        old = next(
            (
                plan.plan.fixtures[int(e.path[1])].lamp
                for t in series
                for e in t.edits
                if e.path[-1] == "lamp"
            ),
            None,
        )
        if new is None or old is None:
            continue
        watts = [number(plan.library.lamps[id_].input_power) for id_ in (old, new)]
        if (more and watts[1] > watts[0]) or (less and watts[1] < watts[0]):
            yield series


def _room(plan: PlanSource, values: dict[str, float]) -> Iterator[Series]:
    """The room warmer or cooler by as much as brings the middle of what is wanted, in every season that needs it."""
    site = plan.plan.site
    if site is None or site.room is None or "floor" not in values or "comfort_ceiling" not in values:
        return
    series = []
    for share in (0.5, 0.3, 0.7):
        wanted = values["floor"] + share * (values["comfort_ceiling"] - values["floor"])
        edits, told = [], []
        for season in ("winter", "summer", "coldest", "hottest"):
            now, expected = getattr(site.room, season), values.get(f"{season}_expected")
            if now is None or expected is None:
                continue
            if values["floor"] <= expected <= values["comfort_ceiling"] and share == 0.5:
                continue
            kept = now + wanted - expected
            if LIVED_IN[0] <= kept <= LIVED_IN[1] and abs(kept - now) >= 0.5:
                edits.append(Edit(("site", "room", season), _degrees(plan, kept)))
                told.append(f"{_degrees(plan, kept)} {WHEN[season]}")
        if edits:
            series.append(Trial(("room",), f"keep the room at {' and '.join(told)}", tuple(edits)))
    yield series


def _degrees(plan: PlanSource, kelvin: float) -> str:
    return format_quantity(kelvin, "temperature", plan.plan.show_units)


def _length(plan: PlanSource, metres: float) -> str:
    return format_quantity(metres, "length", plan.plan.show_units)


def _clock(seconds: float) -> str:
    minutes = round(seconds / 60)
    return f"{minutes // 60:02d}:{minutes % 60:02d}"
