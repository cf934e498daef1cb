"""The analytic cases of CIE 171:2006 that need no printed table, through the engine.

CIE 171:2006, *Test Cases to Assess the Accuracy of Lighting Computer Programs*; the list of cases and their
set-ups are from memory, the expected values are closed forms. Cases 5.4 (flux through an opening) and 5.6 to
5.8 (diffuse reflection, with an obstruction, inside a closed room) stand in ``test_shoot`` and
``test_exchange``; the sky cases 5.9 to 5.14 have no place in a box without a window.
"""

from math import pi

import numpy as np
import pytest

from sunfleck.geometry.bvh import build_bvh
from sunfleck.physics import sources
from sunfleck.physics.emitters import (
    POLAR_ANGLES,
    DiscEmitter,
    LineEmitter,
    bare_tube_law,
    cosine_law,
    strip_law,
)
from sunfleck.physics.media import LAW_PANE, Media
from sunfleck.physics.scene import Scene
from sunfleck.physics.transport import transfer

UP = np.array([0.0, 0.0, 1.0])
DOWN = -UP
OPEN = Scene(build_bvh([]), Media.none())


def facing(emitter, points, normals, scene=OPEN):
    points = np.atleast_2d(np.asarray(points, float))
    return transfer(scene, emitter, points, np.broadcast_to(normals, points.shape)).facing.sum(axis=1)


def test_case_5_2_a_point_source_by_cosine_and_square():
    """1000 cd all round, 3 m up: 111.111, 94.8683, 64.0039, 39.2837, 24.0000 lx at 0 to 4 m (cos^3 law)."""
    lamp = DiscEmitter([0, 0, 3.0], DOWN, 0.0, np.ones_like(POLAR_ANGLES))
    floor = np.column_stack([np.arange(5.0), np.zeros(5), np.zeros(5)])
    lux = 1000 * 4 * pi * facing(lamp, floor, UP)
    assert lux == pytest.approx([111.111, 94.8683, 64.0039, 39.2837, 24.0000], abs=6e-4)


@pytest.mark.parametrize("case", [(1, 1, 1, 0.276393202), (0.5, 1, 1, 0.065878429), (1, 2, 1, 0.146446609), (1, 1, 2, 0.052786405), (0.5, 0.5, 0.25, 0.437982633)])  # fmt: skip
def test_case_5_3_an_area_source_parallel(case):
    """A Lambertian disc over a parallel element (radius, height, offset; computed independently): 2e-5."""
    radius, height, offset, factor = case
    lamp = DiscEmitter([0, 0, height], DOWN, radius, cosine_law())
    assert facing(lamp, [offset, 0, 0], UP) * pi * radius**2 == pytest.approx(factor, rel=2e-5)


@pytest.mark.parametrize("case", [(0.5, 1, 1, 0.058156306), (1, 1, 2, 0.085410197), (1, 2, 1.5, 0.065635552)])
def test_case_5_3_an_area_source_at_right_angles(case):
    """The same over an upright element that faces the disc's axis: 2e-5."""
    radius, height, offset, factor = case
    lamp = DiscEmitter([0, 0, height], DOWN, radius, cosine_law())
    assert facing(lamp, [offset, 0, 0], [-1.0, 0, 0]) * pi * radius**2 == pytest.approx(factor, rel=2e-5)


@pytest.mark.parametrize("case", [(1, 1, 0.642699082, 0.25), (0.5, 0.3, 2.452588829, 1.225490196), (1.2, 0.3, 2.601852969, 1.568627451), (0.3, 1, 0.283343076, 0.041284404), (100, 1, 0.785397830, 0.499950)])  # fmt: skip
def test_case_5_3_a_line_source(case):
    """A diffuse line, opposite one end, planes parallel and square to it (I' = 1; after Moon 1936)."""
    length, distance, parallel, square = case
    lamp = LineEmitter([0, 0, distance], [length, 0, distance], DOWN, bare_tube_law())
    # One watt of a thin Lambertian tube sends 1 / (pi^2 L) per metre along its normal.
    watts = pi**2 * length
    assert facing(lamp, [0, 0, 0], UP) * watts == pytest.approx(parallel, rel=1e-8)
    assert facing(lamp, [0, 0, 0], [1.0, 0, 0]) * watts == pytest.approx(square, rel=2e-6)


def test_case_5_3_a_narrow_panel_is_a_strip():
    """A strip 1 cm wide and 1.2 m long against the closed form of a rectangle: 1e-4 at half a metre."""
    lamp = LineEmitter([-0.6, 0, 0.5], [0.6, 0, 0.5], DOWN, strip_law())
    corner = float(sources.rectangle_factor_parallel(0.6, 0.005, 0.5))
    assert facing(lamp, [0, 0, 0], UP) * 1.2 * 0.01 == pytest.approx(4 * corner, rel=1e-4)


@pytest.mark.parametrize("degrees", [0, 10, 20, 30, 40, 50, 60, 70, 80])
def test_case_5_5_directional_transmittance_of_clear_glass(degrees):
    """Light through a pane at an angle, per polarisation through both faces with all inner reflections.

    Fresnel's equations written in angles (sine and tangent form), n = 1.52, no absorption: 1e-9. The engine's
    transmittance is relative to normal incidence.
    """

    def through(angle):
        inside = np.arcsin(np.sin(angle) / 1.52)
        if angle == 0:
            senkrecht = parallel = (0.52 / 2.52) ** 2
        else:
            senkrecht = (np.sin(angle - inside) / np.sin(angle + inside)) ** 2
            parallel = (np.tan(angle - inside) / np.tan(angle + inside)) ** 2
        return np.mean([(1 - r) / (1 + r) for r in (senkrecht, parallel)])

    angle = np.radians(degrees)
    pane = Media([[-50, -50, 0.5]], [[100, 0, 0]], [[0, 100, 0]], [0], [LAW_PANE], [[1.52, 0.0]])
    lamp = DiscEmitter([np.tan(angle), 0, 1.0], DOWN, 0.0, np.ones_like(POLAR_ANGLES))
    behind = facing(lamp, [0, 0, 0], UP, Scene(build_bvh([]), pane)) / facing(lamp, [0, 0, 0], UP)
    assert behind == pytest.approx(through(angle) / through(0.0), rel=1e-9)
