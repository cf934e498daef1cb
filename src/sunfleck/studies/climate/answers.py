"""A temperature judged in every season: one verdict, by the season that is worst."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.givens import Given
from sunfleck.studies.climate.animal import AnimalClimate
from sunfleck.studies.climate.ledger import sun_kept
from sunfleck.studies.climate.worlds import SeasonWorlds
from sunfleck.studies.ranges import chance_numbers, range_numbers, wanted_numbers
from sunfleck.studies.report import Verdict
from sunfleck.studies.rule import Chances, State, chances, row_at
from sunfleck.studies.setting import Point
from sunfleck.studies.trace import Number, Step, number_of_step
from sunfleck.units import System, format_quantity

Floats = NDArray[np.float64]
SeasonTrace = Callable[[SeasonWorlds, int], Step]

WORST: tuple[State, ...] = ("over", "short", "unknown", "meets")
CAUSE = (
    "square of the correlation between the temperature and the factor over the rows of the factor matrix; of lamps of one "
    "class, which move together, the first stands for all"
)
WORTH_NAMING, MOST_NAMED = 0.08, 3
ALIKE = 0.6
METHOD = "the day that repeats itself, of layers of air between surfaces; every factor by its slope"
DAY, NIGHT = "day", "night"


@dataclass(frozen=True, eq=False)
class Asked:
    """A question about a temperature.

    Attributes
    ----------
    id : str
        Of its verdict.
    question, label : str
        In a builder's words: what is asked, and what is judged.
    floor, comfort_ceiling, ceiling : Given or None
        What is wanted. [K]
    words : dict of str to str
        By state, what it means.
    advice : dict of str to str
        By state, what to do.
    place : str
        Where; "" where it is about the whole.
    point : (3,) float or None
        Where in the box what is judged is looked for; None where that is nowhere in particular. [m]
    at : callable, optional
        Takes a season and a row; says what is judged there and where it is, in place of `place`.
    """

    id: str
    question: str
    label: str
    floor: Given | None
    comfort_ceiling: Given | None
    ceiling: Given | None
    words: dict[str, str]
    advice: dict[str, str]
    place: str = ""
    point: Point | None = None
    at: Callable[[SeasonWorlds, int], tuple[str, str]] | None = None


@dataclass(frozen=True, eq=False)
class SeasonAnswer:
    """One season of an answer."""

    worlds: SeasonWorlds
    values: Floats
    counted: Chances
    state: State


def answered(
    animal: AnimalClimate, asked: Asked, values: Callable[[SeasonWorlds], Floats], trace: SeasonTrace
) -> Verdict:
    """Judge every season and answer with the worst.

    Parameters
    ----------
    animal : AnimalClimate
        Whose box.
    asked : Asked
        What is asked.
    values : callable
        Takes a season; what is judged, in every row. [K]
    trace : callable
        Takes a season and a row; takes the value apart.

    Returns
    -------
    verdict : Verdict
        With the numbers of the worst season, and the range of every season beside them.
    """
    found = [_season(asked, worlds, values(worlds)) for worlds in animal.seasons]
    worst = min(found, key=lambda each: _badness(asked, each))
    system = animal.setting.system
    numbers: list[Number] = [
        *range_numbers(asked.id, asked.label, "K", worst.values, partial(trace, worst.worlds)),
        *wanted_numbers(
            asked.id, floor=asked.floor, comfort_ceiling=asked.comfort_ceiling, ceiling=asked.ceiling
        ),
        *chance_numbers(asked.id, worst.counted),
        *_causes(asked.id, worst),
    ]
    for each in found:
        key = f"{asked.id}.{each.worlds.season.key}"
        for number in range_numbers(key, asked.label, "K", each.values, partial(trace, each.worlds)):
            name = number.id.rsplit(".", 1)[1]
            numbers.append(Number(f"{key}_{name}", number.label, number.value, number.unit, number.trace))
    sentence = "; ".join(_words(asked, each, system) for each in found)
    return Verdict(
        asked.id,
        asked.question,
        animal.setting.animal.name,
        worst.state,
        sentence,
        asked.place if asked.at is None else asked.at(worst.worlds, row_at(worst.values, 0.5))[1],
        tuple(numbers),
        _advice(asked, worst, found),
        at=asked.point,
    )


def _advice(asked: Asked, worst: SeasonAnswer, found: list[SeasonAnswer]) -> str:
    """What to do about the worst season, then about others that are wrong in another way."""
    told = [asked.advice.get(worst.state, "")]
    for each in found:
        other = asked.advice.get(each.state, "")
        if each.state in ("over", "short") and each.state != worst.state and other:
            told.append(f"{each.worlds.season.words}: {other}")
    return "; ".join(dict.fromkeys(words for words in told if words))


def _season(asked: Asked, worlds: SeasonWorlds, values: Floats) -> SeasonAnswer:
    limits = (asked.floor, asked.comfort_ceiling, asked.ceiling)
    counted = chances(values, *(given.value if given is not None else None for given in limits))
    return SeasonAnswer(worlds, values, counted, counted.state())


def _badness(asked: Asked, answer: SeasonAnswer) -> tuple[int, int, int, float]:
    """Over and short count alike; then fewest worlds inside is worst, then heat before cold, then the farthest off."""
    rank = 0 if answer.state in ("over", "short") else WORST.index(answer.state)
    middle = float(answer.values[row_at(answer.values, 0.5)])
    above = [given.value for given in (asked.comfort_ceiling, asked.ceiling) if given is not None]
    off = max(
        [middle - limit for limit in above]
        + [asked.floor.value - middle if asked.floor is not None else -1e3]
    )
    return rank, answer.counted.inside, WORST.index(answer.state), -off


def _words(asked: Asked, answer: SeasonAnswer, system: System) -> str:
    low, middle, high = (
        degrees(float(answer.values[row_at(answer.values, share)]), system) for share in (0.05, 0.5, 0.95)
    )
    thing = f"{asked.at(answer.worlds, row_at(answer.values, 0.5))[0]} at " if asked.at is not None else ""
    return f"{answer.worlds.season.words} {thing}{middle} (could be {low} to {high}), {asked.words[answer.state]}"


def degrees(kelvin: float, system: System) -> str:
    """A temperature to one degree, in the user's unit."""
    return format_quantity(kelvin, "temperature", system)


def _causes(id_: str, answer: SeasonAnswer) -> tuple[Number, ...]:
    """What makes the range: the factors of heat and the lamps, the largest share first."""
    matrix, values = answer.worlds.matrix, answer.values
    spread = float(values.std())
    if spread < 1e-6:
        return ()
    columns = matrix.normals - matrix.normals.mean(axis=0)
    own = columns.std(axis=0)
    together = columns.T @ (values - values.mean()) / len(values)
    share = (together / np.where(own > 0, own * spread, np.inf)) ** 2
    order: list[int] = []
    for k in np.argsort(-share):
        # Lamps of one class move together: the first of them stands for all.
        alike = any(abs(float(np.corrcoef(columns[:, k], columns[:, j])[0, 1])) > ALIKE for j in order)
        if share[k] >= WORTH_NAMING and not alike and len(order) < MOST_NAMED:
            order.append(int(k))
    steps = [
        Step(matrix.labels[k], float(share[k]), "", "computed", (), CAUSE, "derived", matrix.fields[k])
        for k in order
    ]
    return tuple(number_of_step(f"{id_}.due_{k}", step) for k, step in enumerate(steps, start=1))


def trace_of_air(
    animal: AnimalClimate, worlds: SeasonWorlds, row: int, value: float, label: str, when: str
) -> Step:
    """Take an air temperature apart: the room, and what the watts that stay in the box make of it.

    Parameters
    ----------
    animal : AnimalClimate
        Whose box.
    worlds : SeasonWorlds
        Which season.
    row : int
        Which world. [-]
    value : float
        The temperature in it. [K]
    label : str
        Of what.
    when : str
        ``day`` or ``night``.

    Returns
    -------
    step : Step
        A sum whose parts go down to the power on the lamps' labels.
    """
    room = _room(animal, worlds, row, when)
    off = _laid_over(worlds, row, "place")
    rest = value - room.value - off.value
    watts = _watts(animal, worlds, row)
    if when == DAY and watts.value > 0:
        each = Step(
            "degrees there for each watt: all that walls, openings, layers and stored heat make of them, as a quotient",
            rest / watts.value,
            "K/W",
            "computed",
            (),
            METHOD,
            "derived",
        )
        added = Step("what they make of it there", watts.value * each.value, "K", "product", (watts, each))
    else:
        added = Step("what is left there of the day's heat", rest, "K", "computed", (), METHOD, "derived")
    words = f"{label} {worlds.season.words}, in row {row + 1} of {len(worlds.matrix.normals)}"
    total = float(np.sum([room.value, added.value, off.value]))
    return Step(words, total, "K", "sum", (room, added, off))


def _laid_over(worlds: SeasonWorlds, row: int, field: str) -> Step:
    """How far one place is off its layer in a world. [K]"""
    column = worlds.matrix.fields.index(field)
    shift = float(worlds.matrix.normals[row, column] * worlds.matrix.spreads[column])
    return Step(
        worlds.matrix.labels[column], shift, "K", "computed", (), "one draw of the matrix", "common practice"
    )


def _room(animal: AnimalClimate, worlds: SeasonWorlds, row: int, when: str) -> Step:
    season = worlds.season
    minutes = animal.model.hours(season).minutes(when)
    written = float(season.room().temperature.reshape(-1, 2).mean(axis=1)[minutes].mean())
    column = worlds.matrix.fields.index("room")
    shift = float(worlds.matrix.normals[row, column] * worlds.matrix.spreads[column])
    site = animal.model.brief.source.line_of(("site", "room"))
    warmed = animal.model.warming(season)
    parts: tuple[Step, ...] = (
        Step("the room as written, in those hours", written, "K", "given", (), "the plan", "given", site),
        Step(
            worlds.matrix.labels[column],
            shift,
            "K",
            "computed",
            (),
            "one draw of the matrix",
            "common practice",
        ),
    )
    if warmed:
        method = "all that the lamps draw, over the heat that the room loses for each degree (`loss`)"
        parts = (
            *parts,
            Step("how much the lamps warm the room", warmed, "K", "computed", (), method, "derived"),
        )
    return Step("the room", written + shift + warmed, "K", "sum", parts)


def _watts(animal: AnimalClimate, worlds: SeasonWorlds, row: int) -> Step:
    """Watts that stay in the box, by lamp."""
    parts = []
    for k, watts in enumerate(animal.model.watts):
        level = float(worlds.worlds.level[row, k])
        if watts.electric <= 0 or level <= 0:
            continue
        kept = watts.kept / watts.electric
        label = f"lamps/{animal.model.brief.fixtures[k].fixture.lamp}"
        power = animal.model.brief.fixtures[k].lamp.input_power
        factors = (
            Step(
                f"{watts.fixture} draws", watts.electric, "W", "given", (), power.source, power.basis, label
            ),
            Step(
                "share of that which stays in the box",
                kept,
                "",
                "computed",
                (),
                "every watt followed",
                "derived",
            ),
            Step("level in those hours", level, "", "computed", (), "timer and thermostat", "derived"),
        )
        value = watts.electric * kept * level
        parts.append(Step(f"of {watts.fixture}", value, "W", "product", factors))
    minutes = animal.model.hours(worlds.season).minutes(DAY)
    column = worlds.matrix.fields.index("sun")
    more = float(np.exp(worlds.matrix.normals[row, column] * worlds.matrix.spreads[column]))
    sun = float(sun_kept(animal.model, worlds.season)[minutes].mean()) * more
    if sun > 0:
        method = "sun through the window on the panes, followed like light of lamps"
        parts.append(Step("of the sun", sun, "W", "computed", (), method, "derived"))
    total = float(np.sum([part.value for part in parts])) if parts else 0.0
    return Step("watts that stay in the box", total, "W", "sum", tuple(parts))
