"""What the probe of each thermostat reads: air, surfaces around it, and lamps that shine on it."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.lamps import FixtureBrief
from sunfleck.physics.day_kernel import DIMMING, ON_OFF, PULSE
from sunfleck.physics.thermal_box import Thermostats
from sunfleck.studies.climate.columns import AirColumn
from sunfleck.studies.climate.shells import Shells
from sunfleck.studies.interreflection import Interior
from sunfleck.studies.light import light_field

Floats = NDArray[np.float64]

KINDS = {"on-off": ON_OFF, "pulse": PULSE, "dimming": DIMMING}
# A bead of 6-8 mm on a cable in still air: films to the air and to what surrounds it (of a sphere, computed from the
# sphere's law at some kelvin), what it takes up of the light of lamps, and how fast it follows. From memory.
TO_AIR, TO_SURFACES = 10.0, 5.5
TAKES_UP = 0.7
LAG = 180.0
# A ball shows a quarter of its surface to light from one side.
SHOWN = 0.25
# Width from full to nothing of dimming and pulse, from on to off of the others, where the plan does not say.
BANDS = {"on-off": 1.0, "pulse": 1.0, "dimming": 1.0}
UP, DOWN = (0.0, 0.0, 1.0), (0.0, 0.0, -1.0)


def surrounding_weights(interior: Interior, shells: Shells, points: Floats, above: bool = False) -> Floats:
    """How much of what is around each point, or above it, is each surface, and last the room, (k, s + 1). [-]"""
    around = interior.around(points)
    count = len(shells.shells)
    found = np.zeros((len(points), count + 1))
    for k in range(len(points)):
        # Half of all directions lie above, half below.
        for normal in (UP,) if above else (UP, DOWN):
            patches = around.weights(k, np.array(normal))
            np.add.at(found[k], shells.of_patch, patches / (1.0 if above else 2.0))
    found[:, count] += np.clip(1.0 - found.sum(axis=1), 0.0, None)
    return np.asarray(found / found.sum(axis=1, keepdims=True))


def thermostats_of(interior: Interior, column: AirColumn, shells: Shells) -> Thermostats:
    """Work out what drives each lamp.

    Parameters
    ----------
    interior : Interior
        What surrounds the probes.
    column : AirColumn
        Layers of the air.
    shells : Shells
        Surfaces of even temperature.

    Returns
    -------
    thermostats : Thermostats
        One a lamp; none where the plan names none.
    """
    brief = interior.brief
    none = Thermostats.none(len(brief.fixtures), len(column.volume), len(shells.shells))
    driven = [f for f in brief.fixtures if f.fixture.control is not None]
    if not driven:
        return none
    probes = list(_probes(driven, len(brief.fixtures)))
    points = np.array([point for _, point in probes])
    around = surrounding_weights(interior, shells, points)
    light = light_field(brief, points, UP, interior)
    ground = float(brief.surroundings.ground)
    of_air = TO_AIR / (TO_AIR + TO_SURFACES)
    for fixture in driven:
        control = fixture.fixture.control
        assert control is not None
        f = fixture.index
        none.kind[f] = KINDS[control.kind]
        none.target[f] = control.target
        none.band[f] = control.band or BANDS[control.kind]
        none.cut_out[f] = control.cut_out if control.cut_out is not None else np.inf
    for k, (row, point) in enumerate(probes):
        none.lag[row] = LAG
        # What it sees of the room is as warm as the lowest air, near enough.
        none.of_layers[row] = of_air * column.weights_at(point[2] - ground)
        none.of_layers[row, 0] += (1 - of_air) * around[k, -1]
        none.of_surfaces[row] = (1 - of_air) * around[k, :-1]
        for lamp in brief.fixtures:
            if "radiant" in lamp.outputs:
                full = light.channel("radiant", "brightest", {lamp.name: 1.0}, as_planned=False).middle[k]
                gain = TAKES_UP * SHOWN * float(np.nan_to_num(full)) / (TO_AIR + TO_SURFACES)
                none.gained[row, lamp.index] = gain
    return none


def _probes(driven: list[FixtureBrief], lamps: int) -> Iterator[tuple[int, tuple[float, float, float]]]:
    """Yield row and place of each probe: of the thermostats, then of the cut-outs, which hang beside it if not said."""
    for fixture in driven:
        control = fixture.fixture.control
        assert control is not None
        yield fixture.index, control.probe
        yield lamps + fixture.index, control.cut_out_probe or control.probe
