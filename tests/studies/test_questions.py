"""Each question on plans whose answer is known from a closed form or from the trade."""

import numpy as np
import pytest
from scipy.optimize import brentq

from sunfleck.physics.emitters import POLAR_ANGLES, beam_law
from sunfleck.plan.read import read_plan_text
from sunfleck.service.cases import check_light

BOX = """
format: 1
name: test box
enclosure:
  inside: {width: 150 cm, depth: 60 cm, height: 60 cm}
  walls: {default: {material: plywood-birch, thickness: 15 mm, finish: plywood-sealed}}
animals: [{species: Pogona vitticeps, name: dragon, snout_vent: 21 cm}]
"""


def verdicts(text):
    return {verdict.id: verdict for verdict in check_light(read_plan_text(text)).verdicts}


def spot(height_cm, lamp="halogen-reflector-50w-25deg"):
    return BOX + (
        f"fixtures:\n  - {{name: spot, lamp: {lamp}, at: [75 cm, 30 cm, {height_cm} cm], aim: [75 cm, 30 cm, 0 cm]}}\n"
    )


def half_width(beam, field, height):
    """Width on a floor within which I(t) cos^3 t stays above half of its middle: closed form but for a root."""
    law = beam_law(np.deg2rad(beam), np.deg2rad(field))
    strength = lambda t: np.interp(t, POLAR_ANGLES, law) / law[0] * np.cos(t) ** 3 - 0.5  # noqa: E731
    return 2 * height * np.tan(brentq(strength, 1e-6, 1.4))


def test_a_25_degree_beam_at_30_cm_is_smaller_than_a_bearded_dragon():
    """Common practice, no source: the patch of a 25 degree beam at 30 cm is about 13 cm, the animal 21 cm."""
    from sunfleck.library.loader import load_library

    back = load_library().animals["pogona-vitticeps"].back_height.value
    found = verdicts(spot(30 + 100 * back))["heat-patch:dragon"]
    assert found.state == "short"
    extent = found.number("expected").value
    assert extent == pytest.approx(0.13, abs=0.015)
    field = np.rad2deg(load_library().lamps["halogen-reflector-50w-25deg"].field_angle.value)
    # The lamp's opening is 6 cm wide, not a point, and the extent a whole number of 5 mm steps.
    assert extent == pytest.approx(half_width(25, field, 0.30), abs=0.015)


def test_two_wide_floods_cover_the_animal():
    """Common practice, no source: two 38 degree floods side by side are the remedy."""
    text = BOX + (
        "fixtures:\n"
        "  - {name: a, lamp: halogen-reflector-75w-38deg, at: [68 cm, 30 cm, 55 cm], aim: [68 cm, 30 cm, 0 cm]}\n"
        "  - {name: b, lamp: halogen-reflector-75w-38deg, at: [82 cm, 30 cm, 55 cm], aim: [82 cm, 30 cm, 0 cm]}\n"
    )
    assert verdicts(text)["heat-patch:dragon"].state == "meets"


def test_without_a_uv_lamp_a_basker_has_too_little_uv():
    """No lamp gives UV: short, with zero expected; zero is no praise, so ceiling and retreat are not judged."""
    report = check_light(read_plan_text(spot(50)))
    found = {verdict.id: verdict for verdict in report.verdicts}
    assert found["uv-floor:dragon"].state == "short"
    assert found["uv-floor:dragon"].number("expected").value == 0.0
    assert "uv-retreat:dragon" not in found
    assert "uv-ceiling:dragon" not in found
    assert any("no lamp of the plan gives any" in line for line in report.open_points)


def test_a_plan_in_which_nothing_is_judged_does_not_pass():
    """A frog in an empty box: no verdict, and the exit code of what is not known."""
    report = check_light(
        read_plan_text(
            BOX.replace("Pogona vitticeps, name: dragon, snout_vent: 21 cm", "Dendrobates tinctorius")
        )
    )
    assert report.verdicts == ()
    assert report.exit_code == 3


def test_a_bare_lamp_in_reach_asks_for_a_guard_and_a_guard_settles_it():
    """Common practice, no source: a guard wherever reach touches a lamp."""
    bare = spot(22)
    assert verdicts(bare)["lamp-guard:dragon"].state == "short"
    guarded = bare.replace("aim:", "guard: guard-bar-12mm, aim:")
    assert verdicts(guarded)["lamp-guard:dragon"].state == "meets"


TUBE = "  - {{name: tube, lamp: {lamp}, from: [18 cm, 30 cm, {z} cm], to: [133 cm, 30 cm, {z} cm]{more}}}\n"


def tube(z, lamp="uv-t5-54w-strong-reflector", more=""):
    return BOX + "fixtures:\n" + TUBE.format(z=z, lamp=lamp, more=more)


def test_a_strong_tube_36_cm_above_the_back_reads_as_the_trade_says():
    """Common practice, no source: about 4 to 5.5."""
    from sunfleck.library.loader import load_library

    back = load_library().animals["pogona-vitticeps"].back_height.value
    report = check_light(read_plan_text(tube(36 + 100 * back)))
    expected = report.numbers()["ground:dragon:ground:uvi.expected"].value
    assert 4.0 <= expected <= 5.5


def test_a_reading_narrows_the_range():
    """Principle 3 of the design: the 90 % range with a reading is under half as wide in logarithm."""
    numbers = check_light(read_plan_text(tube(45))).numbers()
    metered = check_light(
        read_plan_text(tube(45, more=", evidence: [{distance: 30 cm, uvi: 6.0, with: own meter}]"))
    )
    wide = numbers["reach:dragon:uvi.high"].value / numbers["reach:dragon:uvi.low"].value
    narrow = (
        metered.numbers()["reach:dragon:uvi.high"].value / metered.numbers()["reach:dragon:uvi.low"].value
    )
    assert np.log(narrow) < 0.5 * np.log(wide)


def test_a_reading_is_given_back_at_its_own_place():
    """Evidence 5.0 at 30 cm: the engine says 5.0 at 30 cm below the tube's lowest point."""
    import sunfleck
    from sunfleck.library.loader import load_library

    plan = read_plan_text(tube(50, more=", evidence: [{distance: 30 cm, uvi: 5.0, with: own meter}]"))
    radius = load_library().lamps["uv-t5-54w-strong-reflector"].diameter.value / 2
    # A bare lamp is read in the open, where nothing is given back.
    light = sunfleck.light_at(plan, [[0.755, 0.30, 0.50 - radius - 0.30]], reflections=False)
    assert light.uvi.by_fixture["tube"][0] == pytest.approx(5.0, rel=1e-9)


def test_lamps_of_one_class_share_their_factor():
    """Two tubes of a class vary together: their sum spreads wider than two of different classes would."""
    one = check_light(
        read_plan_text(
            tube(50)
            + TUBE.format(z=49, lamp="uv-t5-54w-strong-reflector", more="")
            .replace("tube", "second", 1)
            .replace("30 cm", "40 cm")
        )
    )
    two = check_light(
        read_plan_text(
            tube(50)
            + TUBE.format(z=49, lamp="uv-t5-54w-reflector", more="")
            .replace("tube", "second", 1)
            .replace("30 cm", "40 cm")
        )
    )

    def spread(report):
        numbers = report.numbers()
        return np.log(numbers["reach:dragon:uvi.high"].value / numbers["reach:dragon:uvi.low"].value)

    assert spread(one) > spread(two)


GECKO = """
format: 1
name: gecko
enclosure:
  inside: {width: 130 cm, depth: 45 cm, height: 60 cm}
  walls: {default: {material: glass-float, thickness: 5 mm}}
  vents: [{name: lid, face: top, at: [1 cm, 1 cm], size: [128 cm, 43 cm], mesh: aluminium-18x16}]
animals: [{species: Correlophus ciliatus, name: gecko}]
fixtures:
  - {name: tube, lamp: uv-t5-54w-reflector, from: [7 cm, 22 cm, 62 cm], to: [122 cm, 22 cm, 62 cm]}
perches:
  - {name: stick, path: [[1 cm, 22 cm, 28 cm], [129 cm, 22 cm, 28 cm]], diameter: [3 cm], wood: oak}
"""


def test_a_medium_tube_on_a_mesh_lid_is_too_strong_where_a_gecko_hangs():
    """Common practice, no source: over within reach although a perch 30 cm below is moderate; no basking asked."""
    report = check_light(read_plan_text(GECKO))
    found = {verdict.id: verdict for verdict in report.verdicts}
    assert found["uv-ceiling:gecko"].state == "over"
    assert "heat-patch:gecko" not in found
    assert "uv-floor:gecko" not in found
    lid = report.numbers()["reach:gecko:uvi.expected"].value
    perch = report.numbers()["perch:gecko:stick:uvi.expected"].value
    assert 4 < lid / perch < 12


def test_uv_does_not_pass_glass():
    """UV-B through window glass is below detection (Duarte et al. 2009, S71 in docs/sources.md); light passes."""
    text = GECKO.replace(
        "  vents: [{name: lid, face: top, at: [1 cm, 1 cm], size: [128 cm, 43 cm], mesh: aluminium-18x16}]\n",
        "",
    )
    numbers = check_light(read_plan_text(text)).numbers()
    assert numbers["reach:gecko:uvi.high"].value == 0.0
    assert numbers["reach:gecko:lux.expected"].value > 100


def test_a_uv_tube_over_a_glass_lid_is_found_out():
    """A tube whose UV all stops at glass is short, however harmless zero looks; a frog needs no floor for that."""
    text = GECKO.replace(
        "  vents: [{name: lid, face: top, at: [1 cm, 1 cm], size: [128 cm, 43 cm], mesh: aluminium-18x16}]\n",
        "",
    )
    found = {verdict.id: verdict for verdict in check_light(read_plan_text(text)).verdicts}
    assert found["uv-arrives:gecko"].state == "short"
    assert "glass" in found["uv-arrives:gecko"].sentence
    with_mesh = {verdict.id: verdict for verdict in check_light(read_plan_text(GECKO)).verdicts}
    assert with_mesh["uv-arrives:gecko"].state == "meets"


@pytest.mark.parametrize(("top", "state"), [(30, "short"), (10, "meets")])
def test_leaves_close_below_a_halogen_are_found(top, state):
    """Common practice, no source: leaves and wood stay 30 cm from a halogen, in its light."""
    fern = (
        f"plants: [{{name: fern, crown: {{middle: [75 cm, 30 cm, {top - 5} cm], radius: 10 cm, height: 10 cm}}, "
        "leaf_area: 0.1 m2, leaf: {length: 5 cm, width: 2 cm}}]\n"
    )
    found = verdicts(spot(50) + fern)["lamp-clearance:box"]
    assert found.state == state
    assert found.number("free_0").value == pytest.approx(0.5 - top / 100, abs=0.04)
