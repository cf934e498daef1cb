"""Heat mats and cables: how hot it gets under an animal that lies on one, or on the ground over it."""

from __future__ import annotations

from collections.abc import Iterator
from math import pi

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.backings import backing_of
from sunfleck.brief.givens import given_from_library, number
from sunfleck.brief.lamps import FixtureBrief
from sunfleck.brief.surfaces import Part
from sunfleck.geometry.boxes import FACE_AXES, FACES, Face
from sunfleck.physics.convection import FilmLaw
from sunfleck.physics.touch import lain_on_temperature
from sunfleck.studies.climate.animal import AnimalClimate
from sunfleck.studies.climate.lamp_surfaces import made_to_lie_on
from sunfleck.studies.climate.touched import Made, Thing, air_at_height, film_in_rows
from sunfleck.studies.climate.worlds import SeasonWorlds
from sunfleck.studies.setting import as_point
from sunfleck.studies.trace import Step, step_of_given

Floats = NDArray[np.float64]

# Of flesh without blood that flows, from memory. [W m-1 K-1]
TISSUE = 0.45
# From the back of an animal to the box, air and radiation together. Common practice, no source. [W m-2 K-1]
OVER_THE_BACK = 10.0
# From the outside of the box to the room: upwards, sideways, downwards; ISO 6946 (from memory). [m2 K W-1]
TO_THE_ROOM = {"top": 0.10, "bottom": 0.17}
BESIDE = 0.13
# What a box stands on: 3 cm of wood. Common practice, no source. [m2 K W-1]
STANDS_ON = 0.2
# A probe so near to a mat reads the mat. Common practice, no source. [m]
AT_THE_MAT = 0.03
HOUR = 60
CURE = (
    "a thermostat with its probe at the mat, a weaker mat, or more between it and the animal; "
    "touch what lies on it after an hour, with a thermometer"
)
METHOD = (
    "two ways in parallel: through the animal to the air, and through what lies behind the mat to the room, "
    "taken as warm as the air"
)


def lain_on_things(animal: AnimalClimate) -> Iterator[Thing]:
    """Yield each mat or cable that it can lie on, bare or under ground, floor or wall."""
    setting = animal.setting
    for fixture in setting.brief.fixtures:
        gap = setting.reach.lamp_gap[fixture.name]
        # A mat beyond the box or in the ground has no side to touch: what covers it is lain on.
        if made_to_lie_on(fixture) and (gap == 0 or not np.isfinite(gap)):
            yield _mat(animal, fixture)


def _mat(animal: AnimalClimate, fixture: FixtureBrief) -> Thing:
    lamp = fixture.lamp
    middle = fixture.axis[0]
    area = pi * number(lamp.diameter) ** 2 / 4.0
    behind, cover, z = _layers(animal, fixture)
    thick = animal.setting.animal.back_height
    given = given_from_library(
        f"lamps/{fixture.fixture.lamp}/input_power", f"{fixture.name} draws", lamp.input_power
    )

    def make(worlds: SeasonWorlds) -> Made:
        air = air_at_height(animal, worlds, z)
        uncovered = float(lain_on_temperature(1.0, 300.0, behind, cover, 1.0 / OVER_THE_BACK)) - 300.0
        level = _level(worlds, fixture, air, given.value / area * uncovered)
        flux = given.value / area * level
        film, _, _ = film_in_rows(worlds, FilmLaw(np.sqrt(OVER_THE_BACK), 0.0, 1.0))
        surface = lain_on_temperature(flux, air, behind, cover, thick / TISSUE + 1.0 / film**2)

        def heat(row: int) -> Step:
            parts = (
                step_of_given(given),
                Step("over its area", 1.0 / area, "m-2", "computed", (), "of a disc of its diameter", "derived"),
                Step("level in its fullest hour", float(level[row]), "", "computed", (), LEVELS, "derived"),
            )  # fmt: skip
            value = float(np.prod([part.value for part in parts]))
            return Step(f"electric heat of {fixture.name}", value, "W/m2", "product", parts)

        return Made(air, np.zeros(len(air)), surface, heat)

    place = f"at {animal.setting.words_at(middle)}"
    return Thing(f"what it lies on over {fixture.name}", place, METHOD, make, CURE, point=as_point(middle))


LEVELS = (
    "full without a thermostat; with its probe at the mat what holds the bare mat at its target; with the probe elsewhere "
    "the mean of the hour in which it heats most"
)


def _level(worlds: SeasonWorlds, fixture: FixtureBrief, air: Floats, at_full: float) -> Floats:
    """Level in the hour in which it heats most, in every row; `at_full` is how much warmer it lies bare. [-]"""
    control = fixture.fixture.control
    if control is None:
        return np.ones(len(air))
    off = np.array(control.probe) - fixture.axis[0]
    along = float(off @ fixture.emitter.aim)
    beside = float(np.linalg.norm(off - along * fixture.emitter.aim))
    if abs(along) <= AT_THE_MAT and beside <= fixture.radius:
        return np.asarray(np.clip((control.target - air) / at_full, 0.0, 1.0))
    course = worlds.day.level[:, fixture.index]
    course = np.concatenate([course, course[: HOUR - 1]])
    most = float(np.convolve(course, np.full(HOUR, 1.0 / HOUR), mode="valid").max())
    return np.asarray(np.maximum(most, worlds.worlds.level_most[:, fixture.index]))


def _layers(animal: AnimalClimate, fixture: FixtureBrief) -> tuple[float, float, float]:
    """Resistance behind a mat and over it [m2 K W-1], and the height of what is touched. [m]"""
    brief = animal.model.brief
    around, aim = brief.surroundings, fixture.emitter.aim
    axis = int(np.abs(aim).argmax())
    face: Face = next(
        f for f in FACES if FACE_AXES[f][0] == axis and bool(FACE_AXES[f][1]) == (aim[axis] < 0)
    )
    low, high = float(around.inside.low[axis]), float(around.inside.high[axis])
    at = float(fixture.axis[0][axis])
    layers = backing_of(brief.plan, brief.library, Part("wall", 0, face)).layers
    wall = sum(layer.thickness / layer.conductivity for layer in layers)
    beyond = at <= low if face in ("bottom", "left", "front") else at >= high
    ground, below = 0.0, 0.0
    if face == "bottom" and brief.plan.substrate is not None:
        earth = backing_of(brief.plan, brief.library, Part("ground")).layers[0]
        ground = max(0.0, around.ground - max(at, low)) / earth.conductivity
        below = max(0.0, min(at, around.ground) - low) / earth.conductivity
    to_room = TO_THE_ROOM.get(face, BESIDE) + (STANDS_ON if face == "bottom" else 0.0)
    z = max(float(fixture.axis[0][2]), around.ground)
    if beyond:
        return to_room, wall + ground, z
    return below + wall + to_room, ground, z
