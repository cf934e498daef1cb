"""How far a part reaches in its place, at any depths behind an opening."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sunfleck.geometry.passage.bodies import Body
from sunfleck.geometry.passage.layers import Frame
from sunfleck.geometry.passage.motion import Pose
from sunfleck.geometry.passage.rotations import matrices_of, matrix_of

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Extent:
    """A part in one or more places, as rods in an opening's axes.

    Attributes
    ----------
    first, last : (k, 3) or (n, k, 3) float
        Ends of its rods; of a ball without one twice its middle. [m]
    first_radius, last_radius : (k,) float
        How far it reaches round them. [m]
    """

    first: Floats
    last: Floats
    first_radius: Floats
    last_radius: Floats

    def between(self, low: ArrayLike, high: ArrayLike) -> Floats:
        """Rectangles of what lies between two depths each.

        Parameters
        ----------
        low, high : (n,) float
            Depths; one of each where the part is in several places. [m]

        Returns
        -------
        rectangles : (n, 4) float
            Of each pair of depths, or of each place: x from, to, y from, to; where nothing lies between, from infinity
            to minus infinity. [m]
        """
        low, high = (
            np.array(low, dtype=float, ndmin=1)[:, None],
            np.array(high, dtype=float, ndmin=1)[:, None],
        )
        shape = np.broadcast_shapes(low.shape, self.first.shape[:-1])
        begin, end = np.zeros(shape), np.ones(shape)
        # Shares of each rod that reach above the low plane and below the high one: linear in the share.
        for sign, plane in ((1.0, low), (-1.0, high)):
            here = sign * (self.first[..., 2] - plane) + self.first_radius
            there = sign * (self.last[..., 2] - plane) + self.last_radius
            with np.errstate(divide="ignore", invalid="ignore"):
                cross = here / (here - there)
            begin = np.where((here < 0) & (there > 0), np.maximum(begin, cross), begin)
            end = np.where((here > 0) & (there < 0), np.minimum(end, cross), end)
            end = np.where((here <= 0) & (there <= 0), -1.0, end)
        kept = begin <= end
        found: Floats = np.empty((len(kept), 4))
        for axis in (0, 1):
            first, along = self.first[..., axis], self.last[..., axis] - self.first[..., axis]
            wider = self.last_radius - self.first_radius
            lows = [first + share * along - (self.first_radius + share * wider) for share in (begin, end)]
            highs = [first + share * along + (self.first_radius + share * wider) for share in (begin, end)]
            found[:, 2 * axis] = np.where(kept, np.minimum(*lows), np.inf).min(axis=1)
            found[:, 2 * axis + 1] = np.where(kept, np.maximum(*highs), -np.inf).max(axis=1)
        return found

    @cached_property
    def whole(self) -> Floats:
        """X from, to, y from, to. [m]"""
        found: Floats = self.between(-1e9, 1e9)[0]
        return found

    @property
    def depth(self) -> tuple[float, float]:
        """First and last depth it reaches. [m]"""
        z, r = (
            np.concatenate([self.first[..., 2], self.last[..., 2]]),
            np.concatenate([self.first_radius, self.last_radius]),
        )
        return float((z - r).min()), float((z + r).max())


def extent_in(body: Body, pose: Pose, frame: Frame) -> Extent:
    """A body in its place, in an opening's axes."""
    inner = frame.inwards(pose)
    return _extent(body, body.outer.nodes @ matrix_of(inner.turn).T + inner.place)


def extents_in(body: Body, turns: Floats, places: Floats, frame: Frame) -> Extent:
    """A body in several poses, rotations (n, 4) and places (n, 3), in an opening's axes."""
    turned = frame.axes @ matrices_of(turns)
    at = (places - frame.origin) @ frame.axes.T
    return _extent(body, body.outer.nodes @ turned.transpose(0, 2, 1) + at[:, None])


def _extent(body: Body, nodes: Floats) -> Extent:
    outer = body.outer
    own = np.arange(nodes.shape[-2])
    first, last = np.concatenate([outer.rods[:, 0], own]), np.concatenate([outer.rods[:, 1], own])
    return Extent(nodes[..., first, :], nodes[..., last, :], outer.radius[first], outer.radius[last])
