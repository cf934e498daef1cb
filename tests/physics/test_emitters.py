"""Laws of distribution: normalisation, the angles they promise, refusals."""

from math import pi, radians

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sunfleck.errors import DomainError
from sunfleck.physics import emitters
from sunfleck.physics.emitters import AZIMUTHS, POLAR_ANGLES, DiscEmitter, LineEmitter

DOWN = [0.0, 0.0, -1.0]
LINE_LAWS = {
    "bare": emitters.bare_tube_law(),
    "reflector": emitters.reflector_law(radians(80)),
    "strip": emitters.strip_law(),
}
DISC_LAWS = {
    "cosine": emitters.cosine_law(),
    "dome": emitters.dome_law(),
    "beam": emitters.beam_law(radians(25), radians(50)),
}


@pytest.mark.parametrize("law", LINE_LAWS.values(), ids=LINE_LAWS)
def test_the_mean_over_the_circle_is_one(law):
    """A watt in, a watt out: what the engine interpolates, averaged over 36,000 midpoints; 1e-9."""
    weight = LineEmitter([0, 0, 0], [1, 0, 0], DOWN, law).azimuth_weight
    midpoints = (np.arange(36000) + 0.5) * pi / 36000
    assert np.interp(midpoints, AZIMUTHS, weight).mean() == pytest.approx(1.0, rel=1e-9)


@pytest.mark.parametrize("law", DISC_LAWS.values(), ids=DISC_LAWS)
def test_the_sphere_gets_one_watt(law):
    """A watt in, a watt out: Gauss-Legendre on each half degree, where the law is straight, to 1e-12."""
    intensity = DiscEmitter([0, 0, 0], DOWN, 0.03, law).intensity
    nodes, weights = np.polynomial.legendre.leggauss(6)
    middle, half = (POLAR_ANGLES[1:] + POLAR_ANGLES[:-1]) / 2, np.diff(POLAR_ANGLES) / 2
    angle = middle[:, None] + half[:, None] * nodes
    flux = (
        2 * pi * (half[:, None] * weights * np.interp(angle, POLAR_ANGLES, intensity) * np.sin(angle)).sum()
    )
    assert flux == pytest.approx(1.0, rel=1e-12)


def test_laws_have_their_closed_forms():
    """One watt: cosine 1/pi sr-1 in front, dome 1/(2 pi) in front; half-degree chords cost 1e-5."""
    cosine = DiscEmitter([0, 0, 0], DOWN, 0.0, emitters.cosine_law()).intensity
    assert cosine[0] == pytest.approx(1 / pi, rel=1e-5)
    dome = DiscEmitter([0, 0, 0], DOWN, 0.0, emitters.dome_law()).intensity
    assert dome[0] == pytest.approx(1 / (2 * pi), rel=1e-5)
    strip = LineEmitter([0, 0, 0], [1, 0, 0], DOWN, emitters.strip_law()).azimuth_weight
    assert strip[0] == pytest.approx(pi, rel=3e-5)  # whole degrees: chords of 1 degree
    assert (cosine[181:] == 0).all()
    assert (strip[91:] == 0).all()


@settings(max_examples=60, deadline=None, derandomize=True)
@given(beam=st.integers(4, 150), wider=st.floats(1.05, 3.0))
def test_a_beam_keeps_its_two_angles(beam, wider):
    """Half of the middle at half the beam angle, a tenth at half the field angle; never brighter outwards."""
    beam_angle, field_angle = radians(beam), min(radians(beam) * wider, pi)
    law = emitters.beam_law(beam_angle, field_angle)
    assert law[0] == 1.0
    assert law[beam] == pytest.approx(0.5, rel=1e-12)  # half the beam angle is a node: beam / 2 degrees
    assert (np.diff(law) <= 0).all()
    angle = np.radians(np.linspace(0, 90, 181))
    below, above = law[: len(angle)][angle <= field_angle / 2], law[: len(angle)][angle > field_angle / 2]
    assert (below >= 0.1 - 1e-12).all()
    assert (above <= 0.1 + 1e-12).all()


@settings(max_examples=60, deadline=None, derandomize=True)
@given(cut_off=st.floats(0.35, pi), share=st.floats(0.05, 1.0))
def test_a_reflector_is_full_inside_and_dark_outside(cut_off, share):
    """1 up to where the edge begins, 0 from the cut-off on, falling in between."""
    fade = share * cut_off
    law = emitters.reflector_law(cut_off, fade)
    assert law[cut_off - fade >= AZIMUTHS] == pytest.approx(1.0)
    assert law[cut_off <= AZIMUTHS] == pytest.approx(0.0, abs=1e-12)
    assert (np.diff(law) <= 1e-15).all()


def test_the_aim_of_a_line_is_made_square_to_it():
    """What lies along the line says nothing about its azimuth."""
    line = LineEmitter([0, 0, 0], [2, 0, 0], [5, 0, -1], emitters.bare_tube_law())
    assert line.aim == pytest.approx([0, 0, -1])
    assert line.length == 2.0


def test_emitters_cannot_be_changed():
    """A lamp is a value: neither its fields nor its arrays can be written to."""
    line = LineEmitter([0, 0, 0], [1, 0, 0], DOWN, emitters.bare_tube_law())
    with pytest.raises(AttributeError):
        line.start = np.zeros(3)
    with pytest.raises(ValueError, match="read-only"):
        line.start[0] = 1.0


def line(**changes):
    values = {"start": [0, 0, 0], "end": [1, 0, 0], "aim": DOWN, "azimuth_weight": np.ones(181)} | changes
    return LineEmitter(**values)


def disc(**changes):
    values = {"centre": [0, 0, 0], "aim": DOWN, "radius": 0.1, "intensity": np.ones(361)} | changes
    return DiscEmitter(**values)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: line(end=[0, 0, 0]), "length above zero; got 0 m"),
        (lambda: line(aim=[1, 0, 0]), "must not run along the line"),
        (lambda: line(aim=[0, 0, 0]), "aim must have a length above zero"),
        (lambda: line(start=[0, np.nan, 0]), "start must be three finite numbers"),
        (lambda: line(azimuth_weight=np.ones(180)), r"must have 181 values; got the shape \(180,\)"),
        (lambda: line(azimuth_weight=np.zeros(181)), "somewhere above; got 0 to 0"),
        (lambda: disc(radius=-0.1), "radius of a disc emitter must be zero or more; got -0.1 m"),
        (lambda: disc(intensity=-np.ones(361)), "nowhere below zero"),
        (lambda: disc(centre=[0, 0]), "centre must be three finite numbers"),
        (lambda: emitters.reflector_law(0.0), "cut_off must be above 0 and at most pi; got 0 rad"),
        (lambda: emitters.reflector_law(1.0, 2.0), "fade must be above 0 and at most the cut-off of 1 rad; got 2"),
        (lambda: emitters.beam_law(1.0, 0.5), "got 1 and 0.5 rad"),
        (lambda: emitters.flux_of_intensity(np.ones(3)), "must have 361 values"),
    ],
)  # fmt: skip
def test_what_means_nothing_is_refused_with_its_number(call, message):
    """The message names the argument, what was needed, and what came."""
    with pytest.raises(DomainError, match=message):
        call()


@pytest.mark.parametrize(("cut_off", "fade"), [(85, 20), (60, 15), (120, 40), (180, 20)])
def test_the_gain_of_a_reflector_is_that_of_its_opening(cut_off, fade):
    """Conservation: what goes to one side is missing on the other, pi / (cut-off - fade/2); bare tubes have 1."""
    law = emitters.reflector_law(np.radians(cut_off), np.radians(fade))
    line = LineEmitter([0, 0, 0], [1, 0, 0], [0, 0, -1], law)
    assert line.gain == pytest.approx(180 / (cut_off - fade / 2), rel=2e-4)
    assert LineEmitter([0, 0, 0], [1, 0, 0], [0, 0, -1], emitters.bare_tube_law()).gain == pytest.approx(1.0)
