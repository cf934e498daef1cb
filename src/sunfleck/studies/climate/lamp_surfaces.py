"""How hot lamps within reach get, the bars of their guards, and meshes that lamps shine through."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from math import pi

import numpy as np
from numpy.typing import NDArray
from scipy.constants import Stefan_Boltzmann as STEFAN_BOLTZMANN
from scipy.spatial import cKDTree

from sunfleck.brief.givens import given_from_library, number
from sunfleck.brief.lamps import FixtureBrief
from sunfleck.geometry.boxes import part_of_face
from sunfleck.library.entries import LINE_EMITTERS, Guard, Mesh
from sunfleck.physics.air_layers import VIRTUAL_ORIGIN
from sunfleck.physics.convection import film_law
from sunfleck.physics.touch import plume_excess, share_beyond, shedding_temperature, wire_temperature
from sunfleck.studies.climate.animal import PATCH, AnimalClimate
from sunfleck.studies.climate.touched import Made, Thing, air_at_height, film_in_rows
from sunfleck.studies.climate.worlds import SeasonWorlds
from sunfleck.studies.footholds import LampBody, lamp_body, spread
from sunfleck.studies.light import light_field
from sunfleck.studies.reach import TOUCH
from sunfleck.studies.setting import UP, as_point
from sunfleck.studies.trace import Step, step_of_given

Floats = NDArray[np.float64]

# Glass is dark beyond some wavelength between 2.7 and 4.5 um, filaments have about 2900 K; of light one watt is about
# 340 lm in white tubes. All from memory; what keeps more in the lamp is taken.
GLASS_IS_DARK, FILAMENT, LUMENS = 2.7e-6, 2900.0, 340.0
# Of glass, glaze, paint and dull metal cases, from memory.
OF_LAMPS = 0.9
# Films of what is some 100 K warmer than the air are those of air of this temperature. [K]
HOT_FILM = 350.0
# Steel wire, zinc-coated and weathered, in light; painted, in the heat of a dark heater (Incropera's appendix A, from
# memory): share taken up, emissivity.
WIRE_IN_LIGHT, WIRE_IN_HEAT = (0.80, 0.28), (0.90, 0.90)
INSIDE_OF_A_CAGE = 0.001
STEP = 0.02
LEAST_SHED = 0.05
SHEDS = (
    "balance of the lamp's outside: what it does not send off as light leaves by air and long-wave heat, "
    "as a mean over all of it"
)
WIRES = "balance of one wire in warmed air, or of a closed plate, whichever is cooler: each leaves one way of cooling out"


def lamp_things(animal: AnimalClimate) -> Iterator[Thing]:
    """Yield guards within reach, and lamps within reach that no guard keeps it from."""
    setting = animal.setting
    for fixture in setting.brief.fixtures:
        if made_to_lie_on(fixture) or setting.reach.lamp_gap[fixture.name] > 0:
            continue
        guard = setting.brief.library.guards[fixture.fixture.guard] if fixture.fixture.guard else None
        if guard is not None:
            yield from _guard(animal, fixture, guard)
        if guard is None or number(guard.bar_gap) >= setting.animal.head_width:
            yield _outside(animal, fixture)


def made_to_lie_on(fixture: FixtureBrief) -> bool:
    """Whether it is a mat or cable that is lain on."""
    return fixture.lamp.dark and not fixture.lamp.least_distance.value


def mesh_things(animal: AnimalClimate) -> Iterator[Thing]:
    """Yield each mesh that it can touch and lamps shine through."""
    setting, brief = animal.setting, animal.model.brief
    if not len(setting.reach.points):
        return
    near = cKDTree(setting.reach.points)
    inside = brief.surroundings.inside
    for vent in brief.plan.enclosure.vents:
        points = spread(part_of_face(inside.low, inside.high, vent.face, vent.at, vent.size), STEP)
        away, _ = near.query(points)
        # Points of the reach lie as far apart as its grid, and a touch off the face.
        points = points[away <= setting.reach.spacing + TOUCH]
        if len(points):
            before = points + INSIDE_OF_A_CAGE * _outwards(points, inside.low, inside.high)
            mesh = brief.library.meshes[vent.mesh]
            dark = all(f.lamp.dark for f in brief.fixtures if "radiant" in f.outputs)
            yield from _wires(animal, f"mesh of {vent.name}", before, mesh, dark=dark)


def _outwards(points: Floats, low: Floats, high: Floats) -> Floats:
    """Unit vectors out of the box at points of one of its faces."""
    gaps = np.stack([np.abs(points - low), np.abs(points - high)])
    side, axis = np.unravel_index(int(gaps.max(axis=1).argmin()), (2, 3))
    normal = np.zeros(3)
    normal[axis] = 1.0 if side else -1.0
    return normal


def _outside(animal: AnimalClimate, fixture: FixtureBrief) -> Thing:
    glass = fixture.lamp.emitter.value in ("spot", "tube") and not fixture.lamp.dark
    what = "glass" if glass else "surface" if fixture.lamp.dark else "case"
    middle = fixture.axis.mean(axis=0)

    def make(worlds: SeasonWorlds) -> Made:
        air = air_at_height(animal, worlds, float(middle[2]))
        shed, heat = _shed(animal, fixture)
        return Made(air, np.zeros(len(air)), _shedding(worlds, fixture, shed, air), heat)

    place = f"at {animal.setting.words_at(middle)}"
    return Thing(f"the {what} of {fixture.name}", place, SHEDS, make, point=as_point(middle))


def _shed(animal: AnimalClimate, fixture: FixtureBrief) -> tuple[Floats, Callable[[int], Step]]:
    """What a lamp's outside has to get rid of at full level, in every row, and that taken apart. [W]"""
    lamp, matrix = fixture.lamp, animal.model.brief.matrix
    power = number(lamp.input_power)
    output = fixture.outputs.get("radiant")
    radiates = output.value * matrix.product(output.factors) if output else np.zeros(matrix.rows)
    shed = np.clip(power - _passing(fixture) * radiates, LEAST_SHED * power, None)
    given = given_from_library(
        f"lamps/{fixture.fixture.lamp}/input_power", f"{fixture.name} draws", lamp.input_power
    )

    def heat(row: int) -> Step:
        share = Step(
            "share of that which its outside has to get rid of",
            float(shed[row]) / power,
            "",
            "computed",
            (),
            "all but the light, and but the radiation that glass lets through",
            "derived",
        )
        parts = (step_of_given(given), share)
        return Step(f"what the outside of {fixture.name} sheds", power * share.value, "W", "product", parts)

    return shed, heat


def _passing(fixture: FixtureBrief) -> float:
    """Share of its radiation that leaves a lamp without its outside having given it off. [-]"""
    lamp = fixture.lamp
    if lamp.dark:
        return 0.0
    if lamp.emitter.value == "spot":
        return 1.0 - float(share_beyond(GLASS_IS_DARK, FILAMENT))
    if lamp.emitter.value == "tube":
        return min(1.0, number(lamp.luminous_flux) / LUMENS / max(number(lamp.radiant_power), 1e-9))
    return 1.0


def _area(fixture: FixtureBrief) -> float:
    """Of a lamp's outside: a tube, two sides of a panel, or a dome with its back; holders are left out. [m2]"""
    wide = number(fixture.lamp.diameter)
    if str(fixture.lamp.emitter.value) in LINE_EMITTERS:
        return pi * wide * float(np.linalg.norm(fixture.axis[-1] - fixture.axis[0]))
    return pi * wide**2 / 2.0 if fixture.lamp.emitter.value == "disc" else 0.75 * pi * wide**2


def _shedding(worlds: SeasonWorlds, fixture: FixtureBrief, shed: Floats, air: Floats) -> Floats:
    wide = number(fixture.lamp.diameter)
    flat = fixture.lamp.emitter.value == "disc"
    law = film_law("stable", wide / 4.0, HOT_FILM) if flat else film_law("cylinder", wide, HOT_FILM)
    return shedding_temperature(shed, _area(fixture), air, film_in_rows(worlds, law), OF_LAMPS)


def _guard(animal: AnimalClimate, fixture: FixtureBrief, guard: Guard) -> Iterator[Thing]:
    """Bars before the lamp, and bars in the air that rises from it."""
    body = lamp_body(animal.model.brief, fixture)
    around = animal.model.brief.surroundings
    points = body.around(-INSIDE_OF_A_CAGE, STEP)
    points = points[around.inside.contains(points) & ~around.solid_at(points)]
    name = f"the guard of {fixture.name}"
    if not len(points):
        return
    yield from _wires(animal, name, points, guard, dark=fixture.lamp.dark)
    if body.cage is not None and bool(around.inside.contains(fixture.axis).all()):
        top = points[points[:, 2] > body.cage.high[2] - 2 * INSIDE_OF_A_CAGE]
        if len(top):
            yield from _wires(
                animal, f"{name}, above it,", top, guard, dark=fixture.lamp.dark, over=(fixture, body)
            )


def _wires(
    animal: AnimalClimate,
    name: str,
    points: Floats,
    sheet: Guard | Mesh,
    *,
    dark: bool,
    over: tuple[FixtureBrief, LampBody] | None = None,
) -> Iterator[Thing]:
    """The hottest wire of a sheet, by points on the side of the lamp, (n, 3)."""
    field = light_field(animal.model.brief, points, UP).channel("radiant", "brightest", as_planned=False)
    sound = np.flatnonzero(~np.isnan(field.middle))
    if not len(sound):
        return
    values, where = field.largest(sound)
    light = np.clip(values, 0.0, None)
    if light.max() <= 0 and over is None:
        return
    at = points[int(np.bincount(where).argmax())]
    if over is not None:
        at = points[int(np.linalg.norm(points[:, :2] - over[0].axis.mean(axis=0)[:2], axis=1).argmin())]
    wire, open_share = number(sheet.wire), number(sheet.open_share)
    laws = film_law("cylinder", wire), film_law("stable", PATCH)
    takes_up, emissivity = WIRE_IN_HEAT if dark else WIRE_IN_LIGHT

    def make(worlds: SeasonWorlds) -> Made:
        air = air_at_height(animal, worlds, float(at[2]))
        plume = _rising(animal, worlds, *over) if over is not None else np.zeros(len(air))
        films = film_in_rows(worlds, laws[0]), film_in_rows(worlds, laws[1])
        surface = wire_temperature(
            light, takes_up, air + plume, wire, 1.0 - open_share, films, emissivity, PATCH
        )

        def heat(row: int) -> Step:
            return field.trace(int(where[row]), row, "there, straight from all lamps at full level")

        return Made(air, plume, surface, heat)

    yield Thing(name, f"at {animal.setting.words_at(at)}", WIRES, make, point=as_point(at))


def _rising(animal: AnimalClimate, worlds: SeasonWorlds, fixture: FixtureBrief, body: LampBody) -> Floats:
    """How much warmer the air is that reaches the top of a guard from its lamp. [K]"""
    assert body.cage is not None
    top = float(fixture.axis[:, 2].max())
    air = air_at_height(animal, worlds, top)
    shed, _ = _shed(animal, fixture)
    outside = _shedding(worlds, fixture, shed, air)
    radiated = _area(fixture) * OF_LAMPS * STEFAN_BOLTZMANN * (outside**4 - air**4)
    long = float(np.linalg.norm((fixture.axis[-1] - fixture.axis[0])[:2]))
    height = float(body.cage.high[2]) - top + VIRTUAL_ORIGIN
    return np.minimum(plume_excess(np.clip(shed - radiated, 0.0, None), height, air, long), outside - air)
