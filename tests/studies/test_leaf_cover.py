"""How many leaves there are is not known: light behind them varies, and gaps open where some go."""

import numpy as np
import pytest

from sunfleck.brief.build import make_brief
from sunfleck.brief.leaves import COVER
from sunfleck.plan.read import read_plan_text
from sunfleck.studies.light import light_field

BOX = """\
format: 1
name: A plant
enclosure:
  inside: {width: 150 cm, depth: 60 cm, height: 120 cm}
  walls: {default: {material: plywood-birch, thickness: 15 mm, finish: plywood-sealed}}
animals: [{species: Pogona vitticeps, name: dragon}]
fixtures:
  - {name: tube, lamp: uv-t5-54w-strong-reflector, from: [18 cm, 30 cm, 110 cm], to: [133 cm, 30 cm, 110 cm]}
"""
PLANT = """\
plants:
  - name: fig
    species: Ficus benjamina
    crown: {middle: [75 cm, 30 cm, 70 cm], radius: 25 cm, height: 40 cm}
    leaf_area: 0.5 m2
"""
LEAF = "    leaf: {length: 6 cm, width: 3 cm}\n"
POINTS = np.array([[x, 0.3, 0.35] for x in np.linspace(0.1, 1.4, 40)])
UP = (0.0, 0.0, 1.0)


def uv(text):
    brief = make_brief(read_plan_text(text))
    return brief, light_field(brief, POINTS, UP).channel("uvi")


def thinned(text, gone):
    """The same with a share of the leaf area gone, by the plan itself: only a porous crown stays as it is."""
    return uv(text.replace("0.5 m2", f"{0.5 * (1 - gone):g} m2"))[1].middle


def test_a_plan_without_plants_has_no_leaf_factors():
    """Nothing is uncertain about leaves that are not there."""
    brief, _ = uv(BOX)
    assert not [f for f in brief.matrix.factors if f.group == "leaves"]


@pytest.mark.parametrize("leaf", ["", LEAF])
def test_the_middle_is_the_plan_as_written(leaf):
    """All factors at their middle: the terms add up to the light without any of this, to 1e-12."""
    brief, field = uv(BOX + PLANT + leaf)
    direct = light_field(brief, POINTS, UP).transfers[0].facing.sum(axis=1)
    assert np.allclose(field.middle, field.terms[0].strength * direct, rtol=1e-12)
    assert (field.worlds(np.arange(len(POINTS))) >= 0).all()


def test_behind_a_porous_crown_the_light_varies_as_beer_says():
    """One and two standard deviations of a dense crown gone, by plans with that leaf area: never more than is said."""
    brief, field = uv(BOX + PLANT)
    leaves = brief.surroundings.leaves
    lost = np.zeros(len(POINTS))
    more = np.zeros(len(POINTS))
    for term, coefficients in zip(field.terms, field.coefficients(), strict=True):
        columns = {power.column for power in term.factors}
        if leaves.lost in columns:
            lost += coefficients
        elif leaves.column in columns and not term.shift:
            more += coefficients
    shaded = field.middle < 0.9 * uv(BOX)[1].middle
    assert shaded.any()
    assert not (more + lost)[~shaded & (POINTS[:, 0] < 0.2)].any()
    for deviations in (1, 2):
        gone = deviations * COVER
        predicted = field.middle + np.expm1(gone) * more + deviations * lost
        truth = thinned(BOX + PLANT, gone)
        assert (predicted >= truth * (1 - 1e-9)).all()
    # At two standard deviations, from where the slope is taken, it is not far from the truth.
    assert np.allclose(predicted, truth, rtol=0.10)


def test_ranges_widen_behind_leaves_only():
    """Behind the crown the 90 % range is wider than beside it; upwards more, for gaps that open."""
    _, field = uv(BOX + PLANT + LEAF)
    low, middle, high = np.quantile(field.worlds(np.arange(len(POINTS))), (0.05, 0.5, 0.95), axis=1)
    behind, beside = np.abs(POINTS[:, 0] - 0.75) < 0.1, POINTS[:, 0] < 0.15
    assert np.log(high / middle)[behind].mean() > 1.1 * np.log(high / middle)[beside].mean()
    assert np.log(middle / low)[behind].mean() > np.log(middle / low)[beside].mean()
