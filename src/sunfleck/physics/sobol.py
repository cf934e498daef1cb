"""Points that fill a cube evenly: the first axes of Sobol's sequence."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sunfleck.errors import DomainError

# Of each axis: degree of a primitive polynomial, its inner coefficients as bits, and the first direction
# numbers. The first axis is the plain reversal of bits.
AXES = (
    (1, 0, (1,) * 64),
    (1, 0, (1,)),
    (2, 1, (1, 3)),
    (3, 1, (1, 3, 1)),
    (3, 2, (1, 1, 1)),
    (4, 1, (1, 1, 3, 3)),
)


def sobol_points(number: int, axes: int) -> NDArray[np.float64]:
    r"""First points of Sobol's sequence.

    Parameters
    ----------
    number : int
        How many; a power of two is spread best. [-]
    axes : int
        Of the cube, 1 to 6. [-]

    Returns
    -------
    points : (number, axes) float
        Each in the middle of a cell of its axis, above 0 and below 1. [-]

    Raises
    ------
    DomainError
        If there is not at least one point, or another number of axes.

    Notes
    -----
    The sequence [1]_ with the direction numbers of [2]_, in plain order. A few axes are written out here,
    because the library that has thousands takes a second to load.

    Examples
    --------
    >>> sobol_points(4, 2).tolist()
    [[0.125, 0.125], [0.625, 0.625], [0.375, 0.875], [0.875, 0.375]]

    References
    ----------
    .. [1] I. M. Sobol', "On the distribution of points in a cube and the approximate evaluation of
       integrals", *USSR Computational Mathematics and Mathematical Physics* 7:86-112, 1967 (from memory).
    .. [2] S. Joe and F. Y. Kuo, "Constructing Sobol sequences with better two-dimensional projections",
       *SIAM Journal on Scientific Computing* 30:2635-2654, 2008 (from memory; the tests compare).
    """
    if number < 1 or not 1 <= axes <= len(AXES):
        msg = f"one point or more on 1 to {len(AXES)} axes are needed; got {number} on {axes}"
        raise DomainError(msg)
    bits = max(1, (number - 1).bit_length())
    index, points = np.arange(number), np.zeros((number, axes), dtype=np.int64)
    for axis, (degree, inner, first) in enumerate(AXES[:axes]):
        m = list(first)
        for i in range(len(m), bits):
            new = m[i - degree] ^ (m[i - degree] << degree)
            for j in range(1, degree):
                if inner >> (degree - 1 - j) & 1:
                    new ^= m[i - j] << j
            m.append(new)
        for i in range(bits):
            # The last bit of the index halves the axis, the one before it quarters it, and so on.
            points[:, axis] ^= (index >> i & 1) * (m[i] << (bits - 1 - i))
    return np.asarray((points + 0.5) / 2.0**bits)
