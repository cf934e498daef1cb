"""Lamps as hung: an emitter, and what it puts out in each channel with its uncertain factors."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.factors import Factor, FactorTable
from sunfleck.brief.givens import Given, given_from_library, number
from sunfleck.geometry.bvh import build_bvh
from sunfleck.geometry.chains import Chain, any_perpendicular
from sunfleck.library.entries import Lamp
from sunfleck.library.loader import Library
from sunfleck.library.values import Sourced
from sunfleck.physics.emitters import (
    DiscEmitter,
    LineEmitter,
    bare_tube_law,
    beam_law,
    cosine_law,
    dome_law,
    reflector_law,
    strip_law,
)
from sunfleck.physics.media import Media
from sunfleck.physics.scene import Scene
from sunfleck.physics.transport import transfer
from sunfleck.plan.fixtures import Fixture
from sunfleck.plan.read import PlanSource
from sunfleck.plan.rules.hanging import BULB_DEPTH

Emitter = LineEmitter | DiscEmitter
UNITS = {"uvi": "UVI", "lux": "lux", "ppfd": "umol m-2 s-1", "radiant": "W m-2"}

# Common practice, no source: a hand-held meter is 10 % off, the same way at every reading; hand (2 cm), warm-up
# and the lamp's first hours add 13 % to one reading and average out over several: 16 % and 11 % together.
METER = 0.10
HAND = 0.13
HAND_AVERAGED = 0.05
# One standard deviation. Common practice, no source: hung within 2 cm, nine times of ten; 15 % well off the axis.
MOUNTING = 0.02 / 1.645
BEAM = 0.15
# Common practice, no source: a tube loses 10 % in its first 100 h.
RUN_IN = 0.10
# The width of a tube's reflector is not in the library; the tube stands for both.
BODY_SIDES = 12


@dataclass(frozen=True)
class Output:
    """What one fixture puts out in one channel, so that field = output x geometry [m-2].

    Attributes
    ----------
    parts : tuple of Given
        Numbers whose product is the output.
    factors : tuple of int
        Columns of the factor matrix that multiply it.
    """

    parts: tuple[Given, ...]
    factors: tuple[int, ...]

    @property
    def value(self) -> float:
        """Product of the parts."""
        return float(np.prod([part.value for part in self.parts]))


@dataclass(frozen=True)
class FixtureBrief:
    """A fixture ready for light.

    Attributes
    ----------
    index : int
        Its place in the plan.
    name : str
        The user's name for it.
    emitter : LineEmitter or DiscEmitter
        Shape and distribution. [m]
    axis : (k, 3) float
        Ends of a line, or the place of a bulb. [m]
    radius : float
        Radius of the glowing body or envelope. [m]
    body : (m, 3, 3) float
        The lamp as something opaque, for the light of others. [m]
    outputs : dict of str to Output
        By channel; a channel the lamp does not have is left out.
    level : Given
        Dimming level of the plan. [-]
    heats : bool
        Whether it is a lamp the animal basks under.
    hours : tuple of (float, float)
        When it is lit. [s]
    metered : bool
        Whether its UV output comes from readings.
    mounting, beam : int
        Columns of the shifts by how far off it hangs and by how its beam is shaped.
    disagreement : float
        Largest over smallest output that its readings of one channel give; 1 where they agree. [-]
    """

    index: int
    name: str
    fixture: Fixture
    lamp: Lamp
    emitter: Emitter
    axis: NDArray[np.float64]
    radius: float
    body: NDArray[np.float64]
    outputs: dict[str, Output]
    level: Given
    heats: bool
    hours: tuple[tuple[float, float], ...]
    metered: bool
    mounting: int
    beam: int
    disagreement: float

    def lit_at(self, seconds: float) -> bool:
        """Whether the fixture is lit at a time of day. [s]"""
        return any(on <= seconds < off for on, off in self.hours)


def fixture_brief(source: PlanSource, library: Library, index: int, table: FactorTable) -> FixtureBrief:
    """Bind a fixture to its lamp.

    Parameters
    ----------
    source : PlanSource
        The checked plan.
    library : Library
        The library with the user's own values in it.
    index : int
        Which fixture. [-]
    table : FactorTable
        Collects its factors.

    Returns
    -------
    fixture : FixtureBrief
        Emitter, outputs and factors.
    """
    fixture = source.plan.fixtures[index]
    lamp = library.lamps[fixture.lamp]
    axis = np.array([p for p in (fixture.from_, fixture.to, fixture.at) if p is not None])
    emitter = _emitter(fixture, lamp, source)
    hours = fixture.hours or (0.0, 86400.0)
    outputs = _Outputs(source, lamp, fixture, index, table)
    by_channel = outputs.by_channel()
    return FixtureBrief(
        index=index,
        name=fixture.name,
        fixture=fixture,
        lamp=lamp,
        emitter=emitter,
        axis=axis,
        radius=number(lamp.diameter) / 2,
        body=_body(axis, emitter, number(lamp.diameter)),
        outputs=by_channel,
        level=Given(
            id=f"plan/fixtures/{index}/level",
            label="dimming level",
            value=fixture.level,
            unit="",
            how="given",
            source="the plan" if fixture.level != 1.0 else "not dimmed unless the plan says so",
            basis="given",
            where=source.line_of(("fixtures", index)),
        ),
        heats=str(lamp.emitter.value) in ("spot", "heater"),
        hours=tuple(zip(hours[::2], hours[1::2], strict=True)),
        metered=any(reading.uvi is not None for reading in fixture.evidence),
        mounting=table.add(_mounting(fixture, index)),
        beam=table.add(_beam(fixture)),
        disagreement=outputs.disagreement,
    )


def _mounting(fixture: Fixture, index: int) -> Factor:
    return Factor(
        id=f"mounting:{index}",
        label=f"how much nearer {fixture.name} hangs than written",
        spread_low=MOUNTING,
        spread_high=MOUNTING,
        source="hung within 2 cm of where the plan says, nine times of ten",
        basis="common practice",
        shift=True,
        unit="m",
    )


def _beam(fixture: Fixture) -> Factor:
    return Factor(
        id=f"beam:{fixture.lamp}",
        label="how much wider the beam of such lamps is than its drawn shape",
        spread_low=BEAM,
        spread_high=BEAM,
        source="off its axis a lamp gives 15 % more or less than its class does; a reading below its middle "
        "does not tell",
        basis="common practice",
        shift=True,
    )


def _emitter(fixture: Fixture, lamp: Lamp, source: PlanSource) -> Emitter:
    kind = str(lamp.emitter.value)
    if kind in ("tube", "strip"):
        start, end = np.array(fixture.from_), np.array(fixture.to)
        return _line(start, end, lamp, _aim_of_line(start, end, fixture.roll or 0.0, source))
    centre = np.array(fixture.at)
    aim = np.array(fixture.aim) - centre
    return _disc(centre, aim / np.linalg.norm(aim), lamp)


def _line(
    start: NDArray[np.float64], end: NDArray[np.float64], lamp: Lamp, aim: NDArray[np.float64]
) -> Emitter:
    assert lamp.glowing_length is not None
    middle, along = (start + end) / 2, (end - start) / np.linalg.norm(end - start)
    half = number(lamp.glowing_length) / 2
    if lamp.emitter.value == "strip":
        law = strip_law()
    elif lamp.cut_off is None:
        law = bare_tube_law()
    else:
        law = reflector_law(number(lamp.cut_off))
    return LineEmitter(middle - half * along, middle + half * along, aim, law)


def _disc(centre: NDArray[np.float64], aim: NDArray[np.float64], lamp: Lamp) -> Emitter:
    if lamp.emitter.value == "heater":
        law = dome_law()
    elif lamp.emitter.value == "disc":
        law = cosine_law()
    else:
        law = beam_law(number(_known(lamp.beam_angle)), number(_known(lamp.field_angle)))
    return DiscEmitter(centre, aim, number(lamp.diameter) / 2, law)


def _body(axis: NDArray[np.float64], emitter: Emitter, diameter: float) -> NDArray[np.float64]:
    """A tube or bar over its whole length; a bulb from its opening back by its depth, (m, 3, 3). [m]"""
    if isinstance(emitter, DiscEmitter):
        axis = np.stack([emitter.centre, emitter.centre - BULB_DEPTH * diameter * emitter.aim])
    return Chain(axis, np.full(2, diameter / 2)).triangles(BODY_SIDES)


def _aim_of_line(
    start: NDArray[np.float64], end: NDArray[np.float64], roll: float, source: PlanSource
) -> NDArray[np.float64]:
    """Straight down, or for an upright tube towards the middle of the box; then rolled about the axis."""
    axis = (end - start) / np.linalg.norm(end - start)
    aim = np.array([0.0, 0.0, -1.0])
    aim = aim - (aim @ axis) * axis
    if np.linalg.norm(aim) < 0.1:
        inside = source.plan.enclosure.inside
        aim = np.array([inside.width, inside.depth, inside.height]) / 2 - (start + end) / 2
        aim = aim - (aim @ axis) * axis
    if np.linalg.norm(aim) < 1e-6:
        aim = any_perpendicular(axis)
    aim = aim / np.linalg.norm(aim)
    return np.asarray(aim * np.cos(roll) + np.cross(axis, aim) * np.sin(roll))


class _Outputs:
    """Works out a fixture's outputs and the factors that belong to them."""

    def __init__(
        self, source: PlanSource, lamp: Lamp, fixture: Fixture, index: int, table: FactorTable
    ) -> None:
        self.source = source
        self.lamp = lamp
        self.fixture = fixture
        self.index = index
        self.table = table
        self.disagreement = 1.0

    def by_channel(self) -> dict[str, Output]:
        outputs: dict[str, Output] = {}
        uv = self._uv()
        if uv is not None:
            outputs["uvi"] = uv
        lux = self._read("lux")
        for channel, field, label in (
            ("lux", "luminous_flux", "luminous flux"),
            ("ppfd", "photon_flux", "photon flux 400-700 nm"),
            ("radiant", "radiant_power", "radiant power"),
        ):
            sourced = getattr(self.lamp, field)
            if channel == "lux" and lux is not None:
                outputs[channel] = lux
            elif sourced is not None and number(sourced) > 0:
                flux = given_from_library(f"lamps/{self.fixture.lamp}/{field}", label, sourced)
                outputs[channel] = Output((flux,), self._prior("visible"))
        return outputs

    def _uv(self) -> Output | None:
        metered = self._read("uvi")
        if metered is not None:
            return metered
        reference, distance = self.lamp.uvi_reference, self.lamp.uvi_reference_distance
        if reference is None or distance is None or number(reference) <= 0:
            return None
        key = f"lamps/{self.fixture.lamp}"
        read = given_from_library(
            f"{key}/uvi_reference", f"UV index {100 * number(distance):.0f} cm below its middle", reference
        )
        geometry = self._reference_geometry(number(distance))
        back = Given(
            id=f"{key}/uvi_reference_geometry",
            label="one over the geometry of that reading",
            value=1 / geometry,
            unit="m2",
            how="computed",
            source="closed form of a diffuse line with this lamp's reflector, in the open",
            basis="derived",
            where=distance.where,
        )
        faded, factors = self._ageing(key)
        return Output((read, back, *faded), (*self._prior("uv"), *factors))

    def _ageing(self, key: str) -> tuple[tuple[Given, ...], tuple[int, ...]]:
        """What is left after the hours the plan states, and its factor; nothing where it states none."""
        fading, age = self.lamp.uv_fading, self.fixture.age
        if fading is None or age is None:
            return (), ()
        hundreds = age / 3600.0 / 100.0 - 1.0
        rate = number(fading)
        left = float(np.exp(-rate * hundreds)) if hundreds >= 0 else 1.0 - RUN_IN * hundreds
        given = Given(
            id=f"{key}/uv_fading",
            label=f"UV left after {age / 3600.0:,.0f} h, against that after 100 h",
            value=left,
            unit="",
            how="computed",
            source=f"{rate:.2%} lost in every 100 h after the first, in which 10 % are: {fading.source}",
            basis=fading.basis,
            where=self.source.line_of(("fixtures", self.index, "age")),
        )
        # Where the share lost is uncertain by s, what is left is by s times the loss.
        factor = Factor(
            id=f"ageing:{self.index}",
            label=f"how fast {self.fixture.name} fades",
            spread_low=abs(rate * hundreds) * fading.spread_high,
            spread_high=abs(rate * hundreds) * fading.spread_low,
            source=fading.source,
            basis=fading.basis,
        )
        return (given,), (self.table.add(factor),)

    def _read(self, channel: str) -> Output | None:
        """Fit the output from the user's own readings, or None when there are none."""
        readings = [
            (k, getattr(reading, channel), reading)
            for k, reading in enumerate(self.fixture.evidence)
            if getattr(reading, channel) is not None
        ]
        if not readings:
            return None
        fits = [value / self._reference_geometry(reading.distance) for _, value, reading in readings]
        meters = sorted({reading.with_ for _, _, reading in readings})
        lines = ", ".join(
            self.source.line_of(("fixtures", self.index, "evidence", k)) for k, _, _ in readings
        )
        count = f"{len(fits)} reading{'s' if len(fits) > 1 else ''} with {' and '.join(meters)}"
        fitted = Given(
            id=f"plan/fixtures/{self.index}/evidence/{channel}",
            label=f"output fitted to {count}",
            value=float(np.exp(np.mean(np.log(fits)))),
            unit=f"{UNITS[channel]} m2",
            how="computed",
            source="each reading divided by the closed-form geometry of its distance; geometric mean",
            basis="measured",
            where=lines,
        )
        self.disagreement = max(self.disagreement, max(fits) / min(fits))
        # Readings that disagree by more than a hand explains are known no better than they agree.
        scatter = float(np.std(np.log(fits), ddof=1)) if len(fits) > 1 else 0.0
        hand = max(HAND if len(fits) == 1 else HAND_AVERAGED, scatter)
        meter = Factor(
            id=f"meter:{'+'.join(meters)}:{channel}",
            label=f"the meter ({' and '.join(meters)})",
            spread_low=METER,
            spread_high=METER,
            source="a hand-held meter: about 10 %, the same way at every reading",
            basis="common practice",
        )
        held = Factor(
            id=f"hand:{self.index}:{channel}",
            label=f"the hand and the warm-up when {self.fixture.name} was read",
            spread_low=hand,
            spread_high=hand,
            source="hand within 2 cm and warm-up: 13 % for one reading, 5 % averaged, or the scatter of the readings",
            basis="common practice",
        )
        return Output((fitted,), (self.table.add(meter), self.table.add(held)))

    def _prior(self, group: str) -> tuple[int, ...]:
        lamp_class = str(self.lamp.lamp_class.value)
        spread = self.lamp.uv_spread if group == "uv" else self.lamp.visible_spread
        what = "UV" if group == "uv" else "light and heat"
        shared = Factor(
            id=f"class:{lamp_class}:{group}",
            label=f"{what} of lamps of this class ({lamp_class}) against the library's middle value",
            spread_low=spread.spread_low,
            spread_high=spread.spread_high,
            source=spread.source,
            basis=spread.basis,
        )
        piece = Factor(
            id=f"piece:{self.index}:{group}",
            label=f"{what} of this one lamp against its class ({self.fixture.name})",
            spread_low=self.lamp.piece_spread.spread_low,
            spread_high=self.lamp.piece_spread.spread_high,
            source=self.lamp.piece_spread.source,
            basis=self.lamp.piece_spread.basis,
        )
        return (self.table.add(shared), self.table.add(piece))

    def _reference_geometry(self, distance: float) -> float:
        """Geometry factor on the lamp's middle axis, `distance` from its lowest point, in the open. [m-2]"""
        down = np.array([0.0, 0.0, -1.0])
        if str(self.lamp.emitter.value) in ("tube", "strip"):
            half = number(_known(self.lamp.length)) / 2
            lamp = _line(np.array([-half, 0.0, 0.0]), np.array([half, 0.0, 0.0]), self.lamp, down)
            lowest = number(self.lamp.diameter) / 2
        else:
            lamp = _disc(np.zeros(3), down, self.lamp)
            lowest = 0.0
        below = np.array([[0.0, 0.0, -lowest - distance]])
        return float(transfer(_OPEN, lamp, below, np.array([[0.0, 0.0, 1.0]])).facing.sum())


def _known(value: Sourced | None) -> Sourced:
    assert value is not None, "the loader gives every lamp the fields its kind needs"
    return value


_OPEN = Scene(build_bvh(np.zeros((0, 3, 3))), Media.none())
