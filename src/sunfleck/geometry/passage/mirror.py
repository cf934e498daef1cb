"""One of a question and its mirror image, always the same one: so both get the same verdict."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.passage.bodies import Skeleton
from sunfleck.geometry.passage.layers import FAR, Way
from sunfleck.geometry.passage.motion import Motion
from sunfleck.geometry.passage.setting import Setting

Floats = NDArray[np.float64]

# Lengths are rounded to a tenth of a nanometre, so that a box and its mirror image differ in nothing else.
DIGITS = 10
TURN_MIRROR = np.array([1.0, 1.0, -1.0, -1.0])
PLACE_MIRROR = np.array([-1.0, 1.0, 1.0])


def canonical(setting: Setting) -> tuple[Setting, float, bool]:
    """Shift a question to its middle line and mirror it if its image comes first.

    Parameters
    ----------
    setting : Setting
        Any question. [-]

    Returns
    -------
    setting : Setting
        The same for a question and its mirror image.
    line : float
        Where the middle line was. [m]
    mirrored : bool
        Whether it is the image.
    """
    bounds = (
        np.concatenate([way.layers[:, 2:4] for way in setting.ways]) if setting.ways else np.zeros((0, 2))
    )
    bounds = bounds[np.abs(bounds) < FAR]
    line = float((bounds.min() + bounds.max()) / 2) if len(bounds) else 0.0
    straight = _tidy(_shifted(setting, -line))
    image = _tidy(_image(straight))
    mirrored = _key(image) < _key(straight)
    return (image if mirrored else straight), line, mirrored


def restored(motion: Motion, line: float, mirrored: bool) -> Motion:
    """Undo for a motion what was done to its question.

    Parameters
    ----------
    motion : Motion
        In the canonical question. [-]
    line : float
        See :func:`canonical`. [m]
    mirrored : bool
        See :func:`canonical`. [-]

    Returns
    -------
    motion : Motion
        In the question as it was.
    """
    turns, places, about = motion.turns, motion.places, motion.about
    if mirrored:
        turns, places, about = turns * TURN_MIRROR, places * PLACE_MIRROR, about * PLACE_MIRROR
    return Motion(turns, places + np.array([line, 0.0, 0.0]), about, motion.moves)


def _shifted(setting: Setting, by: float) -> Setting:
    def shifted(layers: Floats) -> Floats:
        return np.asarray(layers + np.array([0.0, 0.0, by, by, 0.0, 0.0]))

    ways = tuple(
        replace(way, layers=shifted(way.layers), certain=shifted(way.certain)) for way in setting.ways
    )
    return replace(setting, ways=ways, middle=setting.middle + np.array([by, 0.0, 0.0]))


def _image(setting: Setting) -> Setting:
    def image(layers: Floats) -> Floats:
        return np.asarray(layers[:, [0, 1, 3, 2, 4, 5]] * np.array([1.0, 1.0, -1.0, -1.0, 1.0, 1.0]))

    ways = tuple(replace(way, layers=image(way.layers), certain=image(way.certain)) for way in setting.ways)
    return replace(
        setting,
        outer=setting.outer.mirrored(),
        inner=setting.inner.mirrored(),
        ways=ways,
        turn=setting.turn * TURN_MIRROR,
        middle=setting.middle * PLACE_MIRROR,
    )


def _tidy(setting: Setting) -> Setting:
    """Lengths rounded; of the equal rotations and their signs always the same one; ways in order."""
    turns = [sign * turn for turn in setting.equal_turns() for sign in (1.0, -1.0)]
    rounded = [np.round(turn, DIGITS) + 0.0 for turn in turns]
    turn = max(rounded, key=tuple)
    ways = [_tidy_way(way) for way in setting.ways]
    # Half doors swap places in a mirror; their order must not matter.
    ways.sort(key=lambda way: tuple(way.layers[:, 2:].ravel()))
    return replace(
        setting,
        outer=_tidy_skeleton(setting.outer),
        inner=_tidy_skeleton(setting.inner),
        ways=tuple(ways),
        turn=turn / np.linalg.norm(turn),
        middle=np.round(setting.middle, DIGITS) + 0.0,
    )


def _tidy_way(way: Way) -> Way:
    return replace(
        way,
        layers=np.ascontiguousarray(np.round(way.layers, DIGITS) + 0.0),
        end=round(way.end, DIGITS),
        certain=np.ascontiguousarray(np.round(way.certain, DIGITS) + 0.0),
        certain_end=round(way.certain_end, DIGITS),
    )


def _tidy_skeleton(skeleton: Skeleton) -> Skeleton:
    return Skeleton(np.round(skeleton.nodes, DIGITS) + 0.0, skeleton.radius, skeleton.rods)


def _key(setting: Setting) -> tuple[float, ...]:
    nodes = setting.outer.nodes[np.lexsort(setting.outer.nodes.T[::-1])]
    layers = [value for way in setting.ways for value in way.layers.ravel()]
    return (*layers, *setting.middle, *setting.turn, *nodes.ravel())
