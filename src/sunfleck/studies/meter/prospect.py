"""What readings at many places would tell: how they and what is wanted of them vary together, and their errors."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.build import Brief
from sunfleck.brief.evidence import HAND, METER
from sunfleck.brief.factors import SEED
from sunfleck.plan.rules.names import slug
from sunfleck.studies.channels import LABELS, Channel
from sunfleck.studies.day import fullest
from sunfleck.studies.interreflection import Interior
from sunfleck.studies.light import LightField, light_field
from sunfleck.studies.meter.wanted import FAINT, WIDEST, Wanted, logs_of, steady

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# What is read by hand at a station, and to which step the meter shows it (in the channel's unit).
READ: tuple[Channel, ...] = ("uvi", "lux")
STEP: dict[Channel, float] = {"uvi": 0.1, "lux": 1.0}
# Common practice, no source: what a reading is off by besides meter and place, as by turning the sensor. [-]
OWN = 0.05
# What readings on one perch, ledge or ground share besides: it does not lie quite as drawn. Common practice, no source;
# without it ten readings side by side would seem to tell ten times. [-]
OF_ONE_THING = 0.05
# How far off the light is looked at to see how fast it changes. [m]
ASIDE = 0.01


@dataclass(frozen=True)
class Expected:
    """What a meter is expected to show.

    Attributes
    ----------
    what : str
        ``uvi``, ``lux``, ``surface`` or ``air``.
    unit : str
        UVI, lux or K.
    low, middle, high : float
        Nine of ten readings lie between the ends, the errors of reading included where light is read.
    when : str
        Of which season; "" where that makes no difference.
    """

    what: str
    unit: str
    low: float
    middle: float
    high: float
    when: str = ""


@dataclass(frozen=True, eq=False)
class Prospect:
    """Readings that could be taken.

    Attributes
    ----------
    station : (n,) int
        At which place, by its number among the places asked about.
    channel : tuple of str
        What is read.
    light : (n, rows) float
        Logarithm of the light there, in every row.
    off : (n, rows) float
        What the meter reads too little by, where its error is among the factors; zero where it is not.
    own : (n,) float
        Standard deviation of each reading's own error: hand, turning, the meter's step.
    shared : (n, s) float
        What errors that readings share move it by: of the meters first, then of what the places lie on.
    same_meter : (n,) bool
        Whether the plan's lamps were read with the same meter.
    meters : tuple of str
        With what it is read, in a builder's words.
    wanted : tuple of Wanted
        What is to be narrowed.
    radiant : (places,) float
        Radiant heat at each place: whether it lies in shade. [W m-2]
    """

    station: Ints
    channel: tuple[Channel, ...]
    light: Floats
    off: Floats
    own: Floats
    shared: Floats
    same_meter: NDArray[np.bool_]
    meters: tuple[str, ...]
    wanted: tuple[Wanted, ...]
    radiant: Floats

    @property
    def logs(self) -> Floats:
        """Logarithm of what the meter shows to a faultless hand, (n, rows)."""
        return self.light - self.off

    def with_another_meter(self) -> Prospect:
        """The same readings with a meter that no lamp of the plan was read with."""
        shared = self.shared.copy()
        for k, channel in enumerate(READ):
            of = np.array([each == channel for each in self.channel], dtype=bool) & self.same_meter
            shared[of, k] = METER
        return replace(
            self, off=np.zeros_like(self.off), shared=shared, same_meter=np.zeros_like(self.same_meter)
        )

    @property
    def weights(self) -> Floats:
        """How much each target counts, (t,). [-]"""
        return np.array([each.weight for each in self.wanted])

    def covariance(self, rows: slice = slice(None)) -> Floats:
        """Of the logarithms: readings first, then targets, over some of the rows."""
        together = np.concatenate([self.logs, *(each.logs[None] for each in self.wanted)])
        return np.atleast_2d(np.cov(together[:, rows]))

    def expected(self, station: int) -> tuple[Expected, ...]:
        """What the meter will show at a place, its own errors and those of the hand included."""
        found = []
        for k in np.flatnonzero(self.station == station):
            channel, logs = self.channel[k], self.logs[k]
            spread = np.sqrt(self.own[k] ** 2 + (self.shared[k] ** 2).sum())
            # Drawn and not added as variances: behind leaves what could be is not as a normal is.
            errors = spread * np.random.default_rng(SEED + int(k)).standard_normal(len(logs))
            low, high = np.exp(np.quantile(logs + errors, [0.05, 0.95]))
            unit = "UVI" if channel == "uvi" else "lux"
            found.append(Expected(channel, unit, float(low), float(np.exp(np.median(logs))), float(high)))
        return tuple(found)


def prospect_of(
    brief: Brief,
    interior: Interior,
    points: Floats,
    normals: Floats,
    lies_on: tuple[str, ...],
    wanted: tuple[Wanted, ...],
    meter: str | None = None,
) -> Prospect:
    """Work out what readings at some places would tell.

    Parameters
    ----------
    brief : Brief
        The resolved plan.
    interior : Interior
        The inside of its box as it reflects.
    points, normals : (n, 3) float
        Where the sensor is held, and which way it looks. [m]
    lies_on : (n,) tuple of str
        What each place lies on; "" where that is not known.
    wanted : tuple of Wanted
        What is to be narrowed.
    meter : str, optional
        With which meter; by default the one of the plan's readings, where it is one only.

    Returns
    -------
    prospect : Prospect
        Of the readings that a meter can show: places where there is less light than it tells from none are left out.
    """
    count = len(points)
    steps = np.concatenate([np.zeros((1, 3)), ASIDE * np.eye(3), -ASIDE * np.eye(3)])
    # Each place, then the six beside it.
    where = (points[None] + steps[:, None]).reshape(-1, 3)
    facing = np.tile(normals, (len(steps), 1))
    light = light_field(brief, where, facing, interior, closely=np.ones(len(where), dtype=bool))
    lit = fullest(brief).levels
    things = {
        name: k for k, name in enumerate(dict.fromkeys(name for name in lies_on if name), start=len(READ))
    }
    found: list[_Channel] = []
    for k, channel in enumerate(READ):
        column, spread, name = _meter(brief, channel, meter)
        logs, own, readable = _read(light, channel, lit, count)
        at = np.flatnonzero(readable)
        shared = np.zeros((len(at), len(READ) + len(things)))
        shared[:, k] = spread
        for row, place in enumerate(at):
            if lies_on[place]:
                shared[row, things[lies_on[place]]] = OF_ONE_THING
        off = np.zeros(brief.matrix.rows) if column is None else np.log(brief.matrix.multipliers[:, column])
        off = np.broadcast_to(off, (len(at), len(off)))
        found.append(_Channel(channel, at, logs[at], off, own[at], shared, column is not None, name))
    radiant = light.channel("radiant", "normal", lit).middle[:count]
    return Prospect(
        station=np.concatenate([each.at for each in found]),
        channel=tuple(each.channel for each in found for _ in each.at),
        light=np.concatenate([each.light for each in found]),
        off=np.concatenate([each.off for each in found]),
        own=np.concatenate([each.own for each in found]),
        shared=np.concatenate([each.shared for each in found]),
        same_meter=np.concatenate([np.full(len(each.at), each.same_meter) for each in found]),
        meters=tuple(f"{LABELS[each.channel]} with {each.meter}" for each in found if len(each.at)),
        wanted=wanted,
        radiant=np.nan_to_num(radiant),
    )


@dataclass(frozen=True, eq=False)
class _Channel:
    """Readings of one channel, as in `Prospect`."""

    channel: Channel
    at: Ints
    light: Floats
    off: Floats
    own: Floats
    shared: Floats
    same_meter: bool
    meter: str


def _read(
    light: LightField, channel: Channel, lit: dict[str, float], count: int
) -> tuple[Floats, Floats, NDArray[np.bool_]]:
    """Logarithms (n, rows), own errors (n,) and whether a meter can show it (n,)."""
    field = light.channel(channel, "normal", lit)
    values = np.nan_to_num(field.worlds(np.arange(count)))
    middle = np.where(np.isnan(light.points[:, 0]), np.nan, field.middle).reshape(7, count)
    logs = np.log(np.maximum(middle, FAINT[channel] * 0.1))
    here, up, down = logs[0], logs[1:4], logs[4:7]
    # Beside something solid from one side only.
    rise = np.where(np.isnan(up), here - down, np.where(np.isnan(down), up - here, (up - down) / 2))
    slope = np.linalg.norm(np.nan_to_num(rise), axis=0) / ASIDE
    half_a_step = STEP[channel] / 2 / np.maximum(np.nan_to_num(middle[0]), FAINT[channel])
    own = np.sqrt(OWN**2 + (slope * HAND) ** 2 + half_a_step**2)
    low = np.quantile(values, 0.05, axis=1) if values.size else np.zeros(count)
    found = logs_of(channel, values)
    # At the edge of a shadow the hand decides what is read.
    held = np.exp(2 * 1.645 * own) < WIDEST
    readable = np.isfinite(middle[0]) & (low >= FAINT[channel]) & held
    if count:
        readable &= steady(found)
    return found, np.asarray(own), readable


def _meter(brief: Brief, channel: Channel, name: str | None) -> tuple[int | None, float, str]:
    """Column of the meter's error where it is among the factors, its spread where not, and what it is called."""
    known = {
        factor.id: k
        for k, factor in enumerate(brief.matrix.factors)
        if factor.group == "meter" and factor.id.endswith(f":{channel}")
    }
    what = "UV meter" if channel == "uvi" else "lux meter"
    if name is None and len(known) == 1:
        (column,) = known.values()
        label = brief.matrix.factors[column].label.removeprefix("the meter (").removesuffix(")")
        return column, 0.0, f"{label}, with which the plan's lamps were read"
    if name is not None and f"meter:{slug(name)}:{channel}" in known:
        return known[f"meter:{slug(name)}:{channel}"], 0.0, f"{name}, with which the plan's lamps were read"
    stated = [each.accuracy for each in brief.plan.meters if name and slug(each.name) == slug(name)]
    off = stated[0] if stated else METER
    return None, off, f"{name or f'a {what}'}, {off:.0%} off (one standard deviation)"
