"""Long-wave exchange: closed forms, symmetry, and no drift in a box of one temperature."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sunfleck.errors import DomainError
from sunfleck.physics.conduction import STEFAN_BOLTZMANN
from sunfleck.physics.long_wave import grey_exchange

ZERO = 273.15


def random_box(seed, patches, groups, open_share):
    """Symmetric, closed conductances of random areas, a part of which is outside."""
    rng = np.random.default_rng(seed)
    area = rng.uniform(0.01, 1.0, patches)
    seen = np.outer(area, area) / area.sum() * (1 - open_share)
    full = np.zeros((patches + 1, patches + 1))
    full[:patches, :patches] = seen
    full[:patches, patches] = full[patches, :patches] = area * open_share
    return full, rng.uniform(0.0, 1.0, patches), rng.integers(0, groups, patches), area


def test_two_plates():
    """Reference physics 5.4 (computed there): plates of emissivity 0.9 at 60 and 25 degC exchange 204.90 W/m2."""
    seen = np.array([[0.0, 1.0, 0.0], [1.0, 0.0, 0.0], [0.0, 0.0, 0.0]])
    grey = grey_exchange(seen, [0.9, 0.9], [0, 1], 2)
    assert grey.net([60 + ZERO, 25 + ZERO], 0.0)[1] == pytest.approx(204.90, abs=0.005)
    assert pytest.approx(1099.37, abs=0.005) == STEFAN_BOLTZMANN * (100 + ZERO) ** 4


def test_a_body_in_a_large_room():
    """Closed form: of a small grey body in a large box of any emissivity only its own emissivity counts."""
    seen = np.array([[0.0, 0.01, 0.0], [0.01, 99.99, 0.0], [0.0, 0.0, 0.0]])
    grey = grey_exchange(seen, [0.7, 0.3], [0, 1], 2)
    assert grey.between[0, 1] == pytest.approx(0.7 * 0.01, rel=1e-3)


@given(st.integers(0, 10_000), st.integers(2, 40), st.integers(1, 8), st.floats(0.0, 0.9))
def test_conductances_are_symmetric_and_a_box_of_one_temperature_keeps_it(seed, patches, groups, open_share):
    """The sums are what each surface can give off, and at one temperature nobody gains a watt."""
    seen, emissivity, group, area = random_box(seed, patches, groups, open_share)
    grey = grey_exchange(seen, emissivity, group, groups)
    assert np.array_equal(grey.between, grey.between.T)
    assert (grey.between >= 0).all()
    assert (grey.outside >= 0).all()
    most = np.zeros(groups)
    np.add.at(most, group, emissivity * area)
    assert (grey.between.sum(axis=1) + grey.outside <= most + 1e-9).all()
    assert np.abs(grey.net(np.full(groups, 300.0), 300.0)).max() < 1e-9
    # Between surfaces nothing is lost.
    warm = np.random.default_rng(seed).uniform(280, 330, groups)
    out = (grey.outside * STEFAN_BOLTZMANN * (warm**4 - 300.0**4)).sum()
    assert grey.net(warm, 300.0).sum() == pytest.approx(-out, abs=1e-7)


def test_patches_of_a_mesh_are_outside():
    """A patch whose surface is the number of surfaces counts as the room, as black."""
    seen = np.array([[0.0, 0.5, 0.5, 0.0], [0.5, 0.0, 0.5, 0.0], [0.5, 0.5, 0.0, 0.0], [0.0, 0.0, 0.0, 0.0]])
    grey = grey_exchange(seen, [1.0, 1.0, 1.0], [0, 1, 2], 2)
    assert grey.outside == pytest.approx([0.5, 0.5])
    assert grey.between[0, 1] == pytest.approx(0.5)


@pytest.mark.parametrize(
    "wrong",
    [
        (np.zeros((2, 2)), [0.9, 0.9], [0, 1], 2),
        (np.zeros((3, 3)), [0.9, 1.1], [0, 1], 2),
        (np.zeros((3, 3)), [0.9, 0.9], [0, 3], 2),
    ],
)
def test_refusals(wrong):
    """Shapes, emissivities and numbers of surfaces."""
    with pytest.raises(DomainError):
        grey_exchange(*wrong)
