"""The pattern of rays: Sobol's sequence, against a library that has all of it."""

import numpy as np
import pytest

from sunfleck.errors import DomainError
from sunfleck.physics.sobol import sobol_points


@pytest.mark.parametrize("axes", [1, 4, 6])
def test_the_points_are_sobols(axes):
    """Point for point that of scipy, which takes the same points in Gray's order."""
    from scipy.stats import qmc

    index = np.arange(4096)
    theirs = qmc.Sobol(axes, scramble=False).random(4096) + 0.5 / 4096
    assert np.array_equal(sobol_points(4096, axes)[index ^ (index >> 1)], theirs)


@pytest.mark.parametrize("bad", [(0, 2), (8, 0), (8, 7)])
def test_what_there_is_not_is_refused(bad):
    """At least one point, on axes whose numbers are written here."""
    with pytest.raises(DomainError, match="on 1 to 6 axes are needed"):
        sobol_points(*bad)
