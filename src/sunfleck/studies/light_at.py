"""Light at any points of a plan, as a range."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sunfleck.brief.build import Brief
from sunfleck.errors import DomainError
from sunfleck.studies.channels import Channel, ChannelField
from sunfleck.studies.interreflection import Interior
from sunfleck.studies.light import light_field
from sunfleck.studies.rule import QUANTILES

CHUNK = 2048
FARTHEST = 1000.0


@dataclass(frozen=True)
class ChannelRange:
    """One channel at n points.

    Attributes
    ----------
    unit : str
        Its unit.
    median, low, high : (n,) float
        50 %, 5 % and 95 % of the possible worlds at or below; NaN inside something solid.
    by_fixture : dict of str to (n,) float
        Each fixture's part with every factor at its middle.
    """

    unit: str
    median: NDArray[np.float64]
    low: NDArray[np.float64]
    high: NDArray[np.float64]
    by_fixture: dict[str, NDArray[np.float64]]


@dataclass(frozen=True)
class LightAt:
    """Light at n points in every channel.

    Attributes
    ----------
    uvi, lux, ppfd, radiant : ChannelRange
        UV index, lux, umol m-2 s-1, W m-2.
    not_included : tuple of str
        What is missing from the numbers.
    """

    uvi: ChannelRange
    lux: ChannelRange
    ppfd: ChannelRange
    radiant: ChannelRange
    not_included: tuple[str, ...]


def light_at_points(
    brief: Brief,
    points: ArrayLike,
    facing: Literal["up", "brightest"] | ArrayLike = "up",
    lit: Mapping[str, float] | None = None,
    interior: Interior | None = None,
) -> LightAt:
    """Compute light at points; see :func:`sunfleck.light_at`."""
    ranges = dict(_ranges(brief, points, facing, lit, interior, CHANNEL_NAMES))
    return LightAt(**ranges, not_included=() if interior is not None else ("reflections",))


def channel_at_points(
    brief: Brief,
    points: ArrayLike,
    facing: Literal["up", "brightest"] | ArrayLike,
    lit: Mapping[str, float],
    interior: Interior | None,
    channel: Channel,
) -> ChannelRange:
    """Compute one channel at points, as :func:`light_at_points` does: a quarter of the work."""
    return dict(_ranges(brief, points, facing, lit, interior, (channel,)))[channel]


def _ranges(
    brief: Brief,
    points: ArrayLike,
    facing: Literal["up", "brightest"] | ArrayLike,
    lit: Mapping[str, float] | None,
    interior: Interior | None,
    channels: tuple[Channel, ...],
) -> Iterator[tuple[Channel, ChannelRange]]:
    p = _rows_of_three(points, "points")
    normals: NDArray[np.float64]
    if isinstance(facing, str):
        if facing not in ("up", "brightest"):
            msg = f"facing must be 'up', 'brightest' or unit normals; got {facing!r}"
            raise DomainError(msg)
        normals = np.broadcast_to(np.array([0.0, 0.0, 1.0]), p.shape)
    else:
        normals = np.broadcast_to(_rows_of_three(facing, "facing"), p.shape)
        length = np.linalg.norm(normals, axis=1)
        if not bool(np.isclose(length, 1.0, atol=1e-6).all()):
            msg = f"facing must be unit normals; got a length of {length[~np.isclose(length, 1.0, atol=1e-6)][0]:g}"
            raise DomainError(msg)
    field = light_field(brief, p, normals, interior)
    solid = np.isnan(field.points[:, 0])
    way: Literal["normal", "brightest"] = (
        "brightest" if isinstance(facing, str) and facing == "brightest" else "normal"
    )
    for name in channels:
        yield name, _range(field.channel(name, way, lit), solid, brief)


CHANNEL_NAMES: tuple[Channel, ...] = ("uvi", "lux", "ppfd", "radiant")


def _range(field: ChannelField, solid: NDArray[np.bool_], brief: Brief) -> ChannelRange:
    found = {name: np.full(field.count, np.nan) for name in QUANTILES}
    free = np.flatnonzero(~solid)
    for start in range(0, len(free), CHUNK):
        part = free[start : start + CHUNK]
        worlds = np.sort(field.worlds(part), axis=1)
        for name, share in QUANTILES.items():
            found[name][part] = worlds[:, int(np.ceil(share * worlds.shape[1])) - 1]
    by_fixture = {fixture.name: np.where(solid, np.nan, 0.0) for fixture in brief.fixtures}
    for term, values in zip(field.terms, field.coefficients(), strict=True):
        # What a lamp gives in the world that is expected: shifts are none there until readings move them.
        share = field.matrix.expected_product(term.factors)
        if share != 0.0:
            by_fixture[term.fixture.name] = by_fixture[term.fixture.name] + share * values
    return ChannelRange(field.unit, found["expected"], found["low"], found["high"], by_fixture)


def _rows_of_three(values: ArrayLike, name: str) -> NDArray[np.float64]:
    array = np.asarray(values, dtype=np.float64)
    if array.ndim == 1 and array.shape[0] == 3:
        array = array[None, :]
    if array.ndim != 2 or array.shape[1] != 3:
        msg = f"{name} must have shape (n, 3); got {array.shape}"
        raise DomainError(msg)
    if not bool(np.isfinite(array).all()):
        msg = f"{name} must be finite numbers; got NaN or infinity"
        raise DomainError(msg)
    if array.size and float(np.abs(array).max()) > FARTHEST:
        msg = f"{name} must lie within {FARTHEST:,.0f} m of the box; got {float(np.abs(array).max()):g}"
        raise DomainError(msg)
    return array
