"""Ground: the rows of de Vries as a textbook has them."""

import pytest

from sunfleck.errors import DomainError
from sunfleck.physics.ground import ground_conductivity, ground_heat


# Reference physics 5.3: rows of de Vries 1963 through a textbook's table, verified there.
@pytest.mark.parametrize(
    ("dry", "water", "density", "heat", "conductivity"),
    [
        (1600, 0.0, 1600, 800, 0.24),
        (1600, 0.2, 1800, 1180, 2.1),
        (1600, 0.4, 2000, 1480, 2.5),
        (130, 0.0, 130, 1900, 0.04),
        (130, 0.45, 580, 3670, 0.27),
        (130, 0.9, 1030, 3890, 0.50),
    ],
)
def test_rows_of_sand_and_peat(dry, water, density, heat, conductivity):
    """Conductivity to 2 %, heat by volume to 1 %."""
    assert ground_conductivity(dry, water) == pytest.approx(conductivity, rel=0.02)
    assert ground_heat(dry, water) == pytest.approx(density * heat, rel=0.01)


def test_clay_is_the_known_exception():
    """Clay of 1,590 kg/m3 and 0.2 water has 0.9 W/mK; taken as sand it is 2.1: stated, not hidden."""
    assert ground_conductivity(1590, 0.2) == pytest.approx(2.1, rel=0.05)


def test_refusals():
    """No density, more water than volume."""
    with pytest.raises(DomainError):
        ground_heat(0.0, 0.2)
    with pytest.raises(DomainError):
        ground_conductivity(500.0, 1.2)
