"""Lamps as hung: an emitter, and what it puts out in each channel with its uncertain factors."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.evidence import Fitted
from sunfleck.brief.factors import Factor, FactorTable
from sunfleck.brief.givens import Given, number
from sunfleck.brief.outputs import Output, outputs_of
from sunfleck.brief.shapes import Emitter, body_of, emitter_of
from sunfleck.library.entries import Lamp
from sunfleck.library.loader import Library
from sunfleck.plan.beams import Beam, beam_of
from sunfleck.plan.fixtures import Fixture
from sunfleck.plan.models import Plan
from sunfleck.plan.read import PlanSource

UNITS = {"uvi": "UVI", "lux": "lux", "ppfd": "umol m-2 s-1", "radiant": "W m-2"}

# One standard deviation. Common practice, no source: hung within 2 cm, nine times of ten; 15 % well off the axis.
MOUNTING = 0.02 / 1.645
BEAM = 0.15


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
        Whether it is there for its heat, wholly or also.
    hours : tuple of (float, float)
        When it is lit. [s]
    metered : bool
        Whether its UV output comes from readings.
    mounting, beam : int
        Columns of the shifts by how far off it hangs and by how its beam is shaped.
    fitted : tuple of Fitted
        What its readings say, by channel; empty without any.
    photometric : Beam or None
        Its beam from a file.
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
    fitted: tuple[Fitted, ...]
    photometric: Beam | None

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
    axis = _axis_of(fixture)
    beam = None
    if fixture.photometry is not None:
        beam = beam_of(fixture.photometry, Path(source.document.file).parent)
    emitter = emitter_of(fixture, lamp, source.plan, beam)
    hours = fixture.hours or (0.0, 86400.0)
    outputs, fitted = outputs_of(source, lamp, index, table, beam)
    return FixtureBrief(
        index=index,
        name=fixture.name,
        fixture=fixture,
        lamp=lamp,
        emitter=emitter,
        axis=axis,
        radius=number(lamp.diameter) / 2,
        body=body_of(axis, emitter, lamp),
        outputs=outputs,
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
        heats=lamp.heats,
        hours=tuple(zip(hours[::2], hours[1::2], strict=True)),
        metered=any(one.channel == "uvi" for one in fitted),
        mounting=table.add(_mounting(fixture, index)),
        beam=table.add(_beam(fixture)),
        fitted=fitted,
        photometric=beam,
    )


def hung_elsewhere(lamp: FixtureBrief, fixture: Fixture, plan: Plan) -> FixtureBrief:
    """Return a lamp as it hangs at other places; what is known of it does not change.

    Parameters
    ----------
    lamp : FixtureBrief
        As it hung.
    fixture : Fixture
        As written now: the same but for its places. [m]
    plan : Plan
        Whose box it is.

    Returns
    -------
    lamp : FixtureBrief
        The same lamp, there.
    """
    if fixture == lamp.fixture:
        return lamp
    axis = _axis_of(fixture)
    emitter = emitter_of(fixture, lamp.lamp, plan, lamp.photometric)
    return replace(lamp, fixture=fixture, emitter=emitter, axis=axis, body=body_of(axis, emitter, lamp.lamp))


def _axis_of(fixture: Fixture) -> NDArray[np.float64]:
    return np.array([p for p in (fixture.from_, fixture.to, fixture.at) if p is not None])


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
