"""What an animal can touch, and how hot it gets: one `Thing` each, judged together for burns."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from sunfleck.physics.balances import steady_surface_with_film
from sunfleck.physics.convection import FilmLaw, film_law
from sunfleck.studies.climate.animal import PATCH, AnimalClimate, films_of
from sunfleck.studies.climate.worlds import SeasonWorlds
from sunfleck.studies.setting import Point
from sunfleck.studies.trace import Step

Floats = NDArray[np.float64]

# A careful picture of what lamps shine on: dark bark or stone, its other side not much cooler. Common practice, no source.
TAKES_UP, EMISSIVITY, LED_AWAY = 0.85, 0.93, 3.0
ON_SURFACES = "balance of a small dark dry surface that leads little heat away, turned to what shines on it"
LAYERS = "layers of air"
LESS_LAMP = (
    "the lamp out of reach, behind a guard whose bars stay cool, or dimmed so that full level is never needed; "
    "touch what lies there after an hour, with a thermometer"
)
LESS_SUN = "a curtain before the window, or the box out of its sun; read what the sun falls on with an infrared thermometer"


@dataclass(frozen=True, eq=False)
class Made:
    """A thing's temperature in a season, taken apart, in every row.

    Attributes
    ----------
    air : (rows,) float
        Warmest of the day at its height. [K]
    plume : (rows,) float
        How much warmer the air is there because it rises from a lamp. [K]
    surface : (rows,) float
        Of the thing itself. [K]
    heat : callable
        Takes a row; what warms it, taken apart.
    """

    air: Floats
    plume: Floats
    surface: Floats
    heat: Callable[[int], Step]


@dataclass(frozen=True, eq=False)
class Thing:
    """Something that an animal can touch.

    Attributes
    ----------
    name, place : str
        In a builder's words: what it is, and where.
    method : str
        How its temperature follows from what warms it.
    make : callable
        Takes a season; its temperature there.
    cure : str
        What to do where it burns.
    bound : bool
        Whether nobody knows that it gets so hot anywhere within reach: then it is never said to burn.
    point : (3,) float or None
        Where that is. [m]
    """

    name: str
    place: str
    method: str
    make: Callable[[SeasonWorlds], Made]
    cure: str = LESS_LAMP
    bound: bool = False
    point: Point | None = None
    _made: dict[str, Made] = field(default_factory=dict, repr=False)

    def made(self, worlds: SeasonWorlds) -> Made:
        """Its temperature in a season."""
        key = worlds.season.key
        if key not in self._made:
            self._made[key] = self.make(worlds)
        return self._made[key]

    def trace(self, worlds: SeasonWorlds, row: int) -> Step:
        """Take its temperature in one world apart: the air there, and what warms it."""
        made = self.made(worlds)
        words = f"{self.name}, {worlds.season.words}, in row {row + 1}"
        air = Step(
            "warmest air of the day at that height",
            float(made.air[row]),
            "K",
            "computed",
            (),
            LAYERS,
            "derived",
        )
        parts = [air]
        if made.plume[row] > 0:
            method = "plume over a point or a line, from a little below the lamp"
            more = float(made.plume[row])
            parts.append(
                Step(
                    "air that rises from the lamp is warmer by", more, "K", "computed", (), method, "derived"
                )
            )
        heat = made.heat(row)
        rest = float(made.surface[row]) - sum(part.value for part in parts)
        if heat.value > 0:
            per = f"K/({heat.unit})" if "/" in heat.unit else f"K/{heat.unit}"
            label = f"what one {heat.unit} does there"
            each = Step(label, rest / heat.value, per, "computed", (), self.method, "derived")
            parts.append(Step("what that adds", heat.value * each.value, "K", "product", (heat, each)))
        else:
            parts.append(Step("what surroundings add", rest, "K", "computed", (), self.method, "derived"))
        return Step(words, float(np.sum([part.value for part in parts])), "K", "sum", tuple(parts))


def air_at_height(animal: AnimalClimate, worlds: SeasonWorlds, z: float) -> Floats:
    """Warmest air of the day at a height of the plan, in every row. [K]"""
    column = animal.model.column
    above = z - float(animal.model.brief.surroundings.ground)
    weights = column.weights_at(float(np.clip(above, 0.0, column.edges[-1])))
    return np.asarray(worlds.worlds.air_most @ weights)


def film_in_rows(worlds: SeasonWorlds, law: FilmLaw) -> tuple[Floats, Floats, float]:
    """A film's law in every row: laws of books hold to the factor `films`."""
    root = np.sqrt(films_of(worlds))
    return law.a * root, law.b * root, law.n


def sunlight(worlds: SeasonWorlds, at_most: float) -> Floats:
    """The sun on a surface that faces it, in every row. [W m-2]"""
    column = worlds.matrix.fields.index("sun")
    return np.asarray(at_most * np.exp(worlds.matrix.normals[:, column] * worlds.matrix.spreads[column]))


def resting_things(animal: AnimalClimate) -> list[Thing]:
    """The place it rests on that lamps warm most, and the same with the sun of a window on it."""
    setting, model = animal.setting, animal.model
    channel = setting.channel("radiant", "brightest", all_lamps=True)
    resting = np.concatenate([setting.strip_receivers(k) for k in range(len(setting.strips))])
    sound = resting[~np.isnan(channel.middle[resting])]
    if not len(sound):
        return []
    values, receivers = channel.largest(sound)
    light = np.clip(values, 0.0, None)
    usual = int(np.bincount(receivers).argmax())
    place = f"at {setting.point_words(usual)}"
    z = float(setting.light.points[usual][2])
    law = film_law("unstable", PATCH)

    def lit(worlds: SeasonWorlds, *, sun: bool) -> Made:
        air = air_at_height(animal, worlds, z)
        shines = sunlight(worlds, model.sun_patch(worlds.season)) if sun else np.zeros(len(air))
        surface = steady_surface_with_film(
            light + shines, TAKES_UP, air, air, (law.a, law.b, law.n), EMISSIVITY, LED_AWAY, air
        )

        def heat(row: int) -> Step:
            lamps = channel.trace(int(receivers[row]), row, "there, of all lamps at full level")
            if not shines[row]:
                return lamps
            method = "the whole beam of a clear day through window and pane, on what faces it"
            of_sun = Step(
                "of the sun through the window", float(shines[row]), "W/m2", "computed", (), method, "derived"
            )
            both = (lamps, of_sun) if lamps.value > 0 else (of_sun,)
            return Step("radiant heat there", sum(p.value for p in both), "W/m2", "sum", both)

        return Made(air, np.zeros(len(air)), np.asarray(surface), heat)

    point = setting.point(usual)
    found = [
        Thing("what it rests on", place, ON_SURFACES, lambda worlds: lit(worlds, sun=False), point=point)
    ]
    if model.sees_sun:
        name = "what it rests on in the sun of the window"
        found.append(
            Thing(
                name,
                "where the sun falls",
                ON_SURFACES,
                lambda worlds: lit(worlds, sun=True),
                LESS_SUN,
                bound=True,
            )
        )
    return found
