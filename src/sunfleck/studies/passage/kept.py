"""Answers are kept by what they are about: a plan that differs in one lamp asks little anew."""

from __future__ import annotations

import hashlib
import threading
from collections import OrderedDict
from collections.abc import Hashable
from typing import Generic, TypeVar

import numpy as np
from numpy.typing import ArrayLike

from sunfleck.geometry.passage.answer import Effort, Passage, passage_of
from sunfleck.geometry.passage.bodies import Body
from sunfleck.geometry.passage.layers import World
from sunfleck.geometry.passage.motion import Pose

T = TypeVar("T")
MOST_KEPT = 3000


class Kept(Generic[T]):
    """The last few thousand answers. Any thread may ask."""

    def __init__(self, most: int = MOST_KEPT) -> None:
        """Begin with none, and keep so many."""
        self._most = most
        self._lock = threading.Lock()
        self._answers: OrderedDict[Hashable, T] = OrderedDict()

    def get(self, key: Hashable) -> T | None:
        """Return what was answered; None where it is not known."""
        with self._lock:
            found = self._answers.get(key)
            if found is not None:
                self._answers.move_to_end(key)
            return found

    def keep(self, key: Hashable, answer: T) -> T:
        """Keep an answer, and forget the one that was not asked for the longest time; return it."""
        with self._lock:
            self._answers[key] = answer
            while len(self._answers) > self._most:
                self._answers.popitem(last=False)
        return answer


_PASSAGES: Kept[Passage] = Kept()


def asked(body: Body, world: World, goal: Pose, clearance: float, effort: Effort) -> Passage:
    """Answer as :func:`sunfleck.geometry.passage.answer.passage_of` does; the same question once."""
    ways = [array for way in world.ways for array in (way.layers, way.certain, [way.end, way.certain_end])]
    names = tuple(way.name for way in world.ways)
    pose = (goal.turn, goal.place, [clearance])
    key = (mark_of(body, *ways, world.frame.origin, world.frame.axes, *pose), names, repr(effort))
    found = _PASSAGES.get(key)
    return (
        found if found is not None else _PASSAGES.keep(key, passage_of(body, world, goal, clearance, effort))
    )


def mark_of(body: Body, *arrays: ArrayLike) -> bytes:
    """Return what tells a body and some numbers from others."""
    mark = hashlib.sha256(repr((body.convex, body.half_turns)).encode())
    skeletons = [(each.nodes, each.radius, each.rods) for each in (body.outer, body.inner)]
    for array in (*skeletons[0], *skeletons[1], *arrays):
        plain = np.ascontiguousarray(array, dtype=np.float64)
        mark.update(repr(plain.shape).encode())
        mark.update(plain.tobytes())
    return mark.digest()
