"""What the light of a lamp becomes at each place if it hangs elsewhere than written, or if its beam is wider."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.build import Brief
from sunfleck.brief.lamps import BEAM, MOUNTING
from sunfleck.geometry.bvh import build_bvh
from sunfleck.physics.emitters import POLAR_ANGLES, DiscEmitter, LineEmitter
from sunfleck.physics.media import Media
from sunfleck.physics.scene import Scene
from sunfleck.physics.transport import transfer

Floats = NDArray[np.float64]

# So that light stays above zero at two standard deviations of both together. [-]
MOST = 0.3
# Off its axis by this angle a lamp's class no longer says what it gives: that of half its greatest intensity, and at
# most this. Common practice, no source. [rad]
WELL_OFF_AXIS = np.radians(60.0)
OPEN = Scene(build_bvh([]), Media.none())


def gained_nearer(emitter: LineEmitter | DiscEmitter, points: Floats) -> Floats:
    """Share by which the light of a lamp grows where it hangs one standard deviation nearer.

    Parameters
    ----------
    emitter : LineEmitter or DiscEmitter
        The lamp; it is moved along its aim. [m]
    points : (n, 3) float
        Receivers. [m]

    Returns
    -------
    share : (n,) float
        Negative where it moves away; never beyond 0.3 either way. NaN where a receiver is not known. [-]

    Notes
    -----
    *Valid when* the move is small beside what shades: light in the open is compared, and shadows stay where
    they are. A disc is taken as a point; nearer than its width the share is rough.
    """
    before, after = _moved(emitter, points, MOUNTING * emitter.aim)
    return np.asarray(np.clip((after - before) / np.where(before > 0, before, 1.0), -MOST, MOST))


def raised(emitter: LineEmitter | DiscEmitter, points: Floats, up: float) -> Floats:
    """Light of a lamp that is moved up, over its light where it is drawn.

    Parameters
    ----------
    emitter : LineEmitter or DiscEmitter
        The lamp. [m]
    points : (n, 3) float
        Receivers. [m]
    up : float
        How far. [m]

    Returns
    -------
    ratio : (n,) float
        1 where nothing gets there either way. [-]

    Notes
    -----
    As :func:`gained_nearer`: in the open, a disc as a point.
    """
    before, after = _moved(emitter, points, np.array([0.0, 0.0, up]))
    return np.asarray(np.where(before > 0, after / np.where(before > 0, before, 1.0), 1.0))


def _moved(emitter: LineEmitter | DiscEmitter, points: Floats, step: Floats) -> tuple[Floats, Floats]:
    """Light at points in the open from a lamp as drawn, and from it moved by a step, (n,). [m-2]"""
    # In the open a lamp that is moved is the same as receivers that are moved the other way.
    both = np.concatenate([points, points - step])
    found = _of_line(emitter, both) if isinstance(emitter, LineEmitter) else _of_disc(emitter, both)
    return found[: len(points)], found[len(points) :]


def _of_line(emitter: LineEmitter, points: Floats) -> Floats:
    """Light at points in the open, whichever way they face, (n,). [m-2]"""
    up = np.broadcast_to(np.array([0.0, 0.0, 1.0]), points.shape)
    return np.asarray(np.linalg.norm(transfer(OPEN, emitter, points, up).vector[:, 0], axis=1))


def _of_disc(emitter: DiscEmitter, points: Floats) -> Floats:
    """The same of a disc taken as a point, and as far away at least as its rim, (n,). [m-2]"""
    way = points - emitter.centre
    square = np.maximum(np.einsum("nk,nk->n", way, way), 1e-12)
    angle = np.arccos(np.clip(way @ emitter.aim / np.sqrt(square), -1.0, 1.0))
    intensity = np.interp(angle, POLAR_ANGLES, emitter.intensity)
    return np.asarray(intensity / (square + emitter.radius**2))


def gained_wider(emitter: LineEmitter | DiscEmitter, points: Floats) -> Floats:
    """Share by which the light of a lamp grows where its beam is one standard deviation wider.

    Parameters
    ----------
    emitter : LineEmitter or DiscEmitter
        The lamp. [m]
    points : (n, 3) float
        Receivers. [m]

    Returns
    -------
    share : (n,) float
        Zero on the axis, 0.15 from where the lamp gives half of its most; between them it grows with one
        minus the cosine. NaN where a receiver is not known. [-]
    """
    if isinstance(emitter, LineEmitter):
        # Along a tube nothing is off axis: only the way round it counts.
        along = (emitter.end - emitter.start) / emitter.length
        off = points - emitter.start
        off = off - (off @ along)[:, None] * along
        weight, step = emitter.azimuth_weight, np.pi / (len(emitter.azimuth_weight) - 1)
    else:
        off = points - emitter.centre
        weight, step = emitter.intensity, np.pi / (len(emitter.intensity) - 1)
    distance = np.linalg.norm(off, axis=1)
    cosine = off @ emitter.aim / np.where(distance > 0, distance, 1.0)
    half = (
        step * int(np.flatnonzero(weight < weight.max() / 2)[0])
        if (weight < weight.max() / 2).any()
        else np.pi
    )
    reference = min(half, WELL_OFF_AXIS)
    return np.asarray(BEAM * np.minimum((1.0 - cosine) / (1.0 - np.cos(reference)), 1.0))


def left_out(brief: Brief) -> Iterator[str]:
    """Yield what is left out here and matters to a plan."""
    if brief.fixtures:
        yield "shadows that move with a lamp hung 2 cm off (how much nearer or farther it is, is in the ranges)"
