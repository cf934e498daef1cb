"""One animal in the heat of its box: air at the places where it can rest, and what the basking place is like."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.givens import Given, given_from_library
from sunfleck.library.values import Sourced
from sunfleck.physics.balances import environment_temperature, radiative_coefficient, steady_surface_with_film
from sunfleck.physics.bodies import (
    SKIN_EMISSIVITIES,
    SOLAR_ABSORPTIVITY,
    SPECIFIC_HEAT,
    absorbed_on_body,
    body_area,
    body_diameter,
    silhouette,
)
from sunfleck.physics.body_films import body_film
from sunfleck.physics.convection import film_law
from sunfleck.physics.warming import time_constant
from sunfleck.studies.climate.model import ClimateModel
from sunfleck.studies.climate.probes import surrounding_weights
from sunfleck.studies.climate.worlds import Means, SeasonWorlds
from sunfleck.studies.receivers import Place
from sunfleck.studies.setting import Point, Setting

Floats = NDArray[np.float64]

# A patch that a lamp warms is about so large for the air that rises from it. [m]
PATCH = 0.08
# What conducts heat away below a warmed patch, and how: wood and stone-like furnishing. [W m-1 K-1], [m2 s-1]
BEHIND = {"perch": (0.15, 1.4e-7), "ledge": (0.3, 2.5e-7), "ground": (0.25, 2.0e-7), "hide": (0.3, 2.5e-7)}
# Hours after which the spot is looked at.
WARMED = 4 * 3600.0
# A lizard in a box without wind; a difference of some kelvin to the air. [m s-1], [K]
STILL, SOME = 0.05, 8.0
# Of an animal of which nobody says what it weighs. [kg]
MIDDLING = 0.1
SHAPES = {"lizard": "lizard", "snake": "snake", "frog": "frog", "tortoise": "tortoise"}


@dataclass(frozen=True, eq=False)
class AnimalClimate:
    """An animal, its places and every season of its box.

    Attributes
    ----------
    setting : Setting
        Its places, with the light at them.
    model : ClimateModel
        The box.
    seasons : tuple of SeasonWorlds
        In every world.
    """

    setting: Setting
    model: ClimateModel
    seasons: tuple[SeasonWorlds, ...]
    _spots: dict[str, Spot] = field(default_factory=dict, repr=False, compare=False)

    def target(self, name: str, label: str) -> tuple[Given, Given] | None:
        """Lower and upper end of a temperature band, its keeper's or its profile's; None where there is none."""
        own = self.setting.animal.own_bands.get(name)
        if own is not None:
            return own
        profile = self.setting.animal.profile
        sourced: Sourced | None = getattr(profile, name) if profile is not None else None
        if sourced is None or not isinstance(sourced.value, tuple):
            return None
        ends = []
        for k, word in enumerate(("least", "most")):
            where = sourced.where
            ends.append(
                Given(
                    f"{where}/{word}" if where else f"animals/{name}/{word}",
                    f"{word} {label}, measured with: {sourced.measured_with}",
                    float(sourced.value[k]),
                    "K",
                    "given",
                    sourced.source,
                    sourced.basis,
                    where,
                )
            )
        return ends[0], ends[1]

    def limit(self, name: str, label: str) -> Given | None:
        """One temperature of its profile; None where it has none."""
        profile = self.setting.animal.profile
        sourced: Sourced | None = getattr(profile, name) if profile is not None else None
        return None if sourced is None else given_from_library(f"animals/{name}", label, sourced)

    def rests_at(self, *, highest: bool) -> Point | None:
        """The highest or the lowest place where it can rest, where air is warmest or coolest; None without any. [m]"""
        middles = [self.setting.middle(place) for place in self.setting.places]
        return (max if highest else min)(middles, key=lambda point: point[2], default=None)

    @cached_property
    def heights(self) -> Floats:
        """Heights above the ground of the places where it can rest, lowest first, (k,). [m]"""
        points = np.concatenate(
            [s.points[s.valid] for s in self.setting.strips if s.valid.any()] or [np.zeros((1, 3))]
        )
        ground = float(self.model.brief.surroundings.ground)
        above = np.clip(points[:, 2] - ground, 0.0, float(self.model.column.edges[-1]))
        return np.unique(np.round(above, 2))

    @cached_property
    def weights(self) -> Floats:
        """Weights of the layers at each of `heights`, (k, n). [-]"""
        return np.array([self.model.column.weights_at(float(z)) for z in self.heights])

    def resting_air(self, air: Floats) -> Floats:
        """Air at each of `heights` for layers (..., n): (..., k). [K]"""
        return np.asarray(air @ self.weights.T)

    @cached_property
    def place(self) -> Place | None:
        """Where it basks; None where it does not, or no lamp warms a place."""
        return self.setting.basking_place() if self.setting.animal.basking else None

    @cached_property
    def receiver(self) -> int:
        """The warmest point of that place. [-]"""
        assert self.place is not None
        return self.setting.warmest_point(self.place)

    def spot(self, worlds: SeasonWorlds) -> Spot:
        """The basking place in a season."""
        if worlds.season.key not in self._spots:
            self._spots[worlds.season.key] = _spot(self, worlds)
        return self._spots[worlds.season.key]


@dataclass(frozen=True, eq=False)
class Spot:
    """The basking place in every world of a season.

    Attributes
    ----------
    irradiance : (rows,) float
        Radiant heat of lamps on it, as thermostats leave them. [W m-2]
    air, surroundings : (rows,) float
        Of the air, and the mean radiant temperature of what it sees. [K]
    surface : (rows,) float
        Of what it lies on, at the warmest point. [K]
    body : (rows,) float
        What the animal's body comes to if it stays. [K]
    constant : (rows,) float
        Time constant of the body. [s]
    """

    irradiance: Floats
    air: Floats
    surroundings: Floats
    surface: Floats
    body: Floats
    constant: Floats


def _spot(animal: AnimalClimate, worlds: SeasonWorlds) -> Spot:
    setting, model = animal.setting, animal.model
    receiver, means = animal.receiver, worlds.worlds
    point = setting.light.points[receiver]
    light = _irradiance(setting, receiver, means)
    height = float(point[2]) - float(model.brief.surroundings.ground)
    air = np.asarray(means.air_day @ model.column.weights_at(max(height, 0.0)))
    above, around = (
        surrounding_weights(model.interior, model.shells, point[None, :], up) for up in (True, False)
    )
    room = room_by_day(model, worlds)
    # A surface that lies sees what is above it, a body all that is around it.
    overhead, surroundings = (
        np.asarray((means.shells_day**4 @ w[0, :-1] + w[0, -1] * room**4) ** 0.25) for w in (above, around)
    )
    films = films_of(worlds)
    surface = lit_surface(light, air, overhead, films, underlay_of(setting, receiver))
    body, constant = _body(animal, light, air, surroundings, films)
    return Spot(light, air, surroundings, surface, body, constant)


@dataclass(frozen=True, slots=True)
class Underlay:
    """What lies under a lit spot.

    Attributes
    ----------
    absorptance, emissivity : float
        Share of radiant heat taken up, and of its own given off. [-]
    loss : float
        Heat led away below. [W m-2 K-1]
    """

    absorptance: float
    emissivity: float
    loss: float


def underlay_of(setting: Setting, receiver: int) -> Underlay:
    """What lies under a receiver at which an animal can rest."""
    return Underlay(*_finish(setting, receiver), _loss(setting, receiver))


def lit_surface(light: Floats, air: Floats, overhead: Floats, films: Floats, under: Underlay) -> Floats:
    """Temperature of a patch under lamps, level, in every row. [K]"""
    law, scale = film_law("unstable", PATCH), np.sqrt(films)
    found = steady_surface_with_film(
        light,
        under.absorptance,
        air,
        overhead,
        (law.a * scale, law.b * scale, law.n),
        under.emissivity,
        under.loss,
        air,
    )
    return np.asarray(found)


def films_of(worlds: SeasonWorlds) -> Floats:
    """How well surfaces pass heat to the air, in every row. [-]"""
    column = worlds.matrix.fields.index("films")
    return np.exp(worlds.matrix.normals[:, column] * float(worlds.matrix.spreads[column]))


def room_by_day(model: ClimateModel, worlds: SeasonWorlds) -> Floats:
    """The room in the hours of the day, in every row. [K]"""
    minutes = model.hours(worlds.season).minutes("day")
    written = model.room(worlds.season).temperature.reshape(-1, 2).mean(axis=1)[minutes].mean()
    column = worlds.matrix.fields.index("room")
    return np.asarray(written + worlds.matrix.normals[:, column] * worlds.matrix.spreads[column])


def _irradiance(setting: Setting, receiver: int, means: Means) -> Floats:
    total = np.zeros(setting.brief.matrix.rows)
    for fixture in setting.brief.fixtures:
        if "radiant" not in fixture.outputs:
            continue
        full = setting.light.channel("radiant", "normal", {fixture.name: 1.0}, as_planned=False)
        total += np.nan_to_num(full.worlds([receiver])[0]) * means.level_most[:, fixture.index]
    return np.clip(total, 0.0, None)


def _strip_of(setting: Setting, receiver: int) -> int:
    return int(np.searchsorted(setting.offsets, receiver, side="right") - 1)


def _finish(setting: Setting, receiver: int) -> tuple[float, float]:
    """Share of radiant heat taken up, and emissivity, of what lies under a receiver. [-]"""
    strip = setting.strips[_strip_of(setting, receiver)]
    name = "the ground" if strip.kind == "ground" else strip.name.removeprefix("top of ")
    for surface in setting.brief.surroundings.surfaces:
        if surface.name == name:
            return 1.0 - surface.reflectance["radiant"].value, 1.0 - surface.reflectance["long_wave"].value
    floor = setting.brief.surroundings.surfaces[0]
    return 1.0 - floor.reflectance["radiant"].value, 1.0 - floor.reflectance["long_wave"].value


def _loss(setting: Setting, receiver: int) -> float:
    """Heat led away below the spot: a half space that has been warmed for hours, or a branch to its other side."""
    strip = setting.strips[_strip_of(setting, receiver)]
    conductivity, diffusivity = BEHIND[strip.kind]
    deep = conductivity * np.sqrt(np.pi) / (2.0 * np.sqrt(diffusivity * WARMED))
    if strip.kind != "perch":
        return float(deep)
    radius = 0.02
    for perch, chain in zip(setting.brief.plan.perches, setting.brief.surroundings.branches, strict=True):
        if perch.name == strip.name:
            radius = float(np.mean(chain.radius))
    return float(min(deep * 2.0, 1.0 / (2.0 * radius / conductivity + 1.0 / 10.0)))


def _body(
    animal: AnimalClimate, light: Floats, air: Floats, surroundings: Floats, films: Floats
) -> tuple[Floats, Floats]:
    brief = animal.setting.animal
    profile = brief.profile
    kind = SHAPES.get(str(profile.kind.value), "lizard") if profile is not None else "lizard"
    mass = brief.mass.value if brief.mass is not None else MIDDLING
    area = float(body_area(mass, kind))
    shown = float(silhouette(mass, kind))
    absorbed = absorbed_on_body(light, SOLAR_ABSORPTIVITY, shown, area)
    convective = float(body_film(float(body_diameter(mass, kind)), SOME, STILL)) * films
    emissivity = sum(SKIN_EMISSIVITIES) / len(SKIN_EMISSIVITIES)
    body = environment_temperature(air, surroundings, absorbed, convective, emissivity)
    radiative = radiative_coefficient(emissivity, body, surroundings)
    constant = time_constant(mass, SPECIFIC_HEAT, area, convective + radiative)
    return np.asarray(body), np.asarray(constant)
