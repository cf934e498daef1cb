"""Shapes of luminous openings, from the signs of the three sizes in an IES LM-63 file."""

from __future__ import annotations

from sunfleck.physics.photometry import Opening


def opening_of(width: float, length: float, height: float) -> Opening:
    """Opening that three sizes of an IES LM-63 file stand for.

    Parameters
    ----------
    width : float
        Along the plane C90-C270; below zero where the opening is curved that way. [m]
    length : float
        Along the plane C0-C180; likewise. [m]
    height : float
        Likewise. [m]

    Returns
    -------
    opening : Opening
        Its shape and sizes. [m]

    Notes
    -----
    The editions of 1986 to 1995 write a circle with its length 0, those from 2002 on with width and length both
    negative; between a lying cylinder and an ellipsoid of the older ones nothing tells apart but the edition, and
    the cylinder is taken. (Signs as the `ies2rad` program of the light simulation Radiance names the shapes of both
    kinds of edition; a test compares. Which way width and length run: from memory, and as that program lays them.)

    Examples
    --------
    A spot of 10 cm, in the words of 1995 and of 2002:

    >>> opening_of(-0.1, 0.0, 0.0) == opening_of(-0.1, -0.1, 0.0) == Opening("round", 0.1, 0.1, 0.0)
    True

    References
    ----------
    .. [1] ANSI/IESNA LM-63-02, luminous opening; IES LM-63-95, the same.
    """
    x, y, z = abs(length), abs(width), abs(height)
    curved = [size for size, signed in ((x, length), (y, width)) if signed < 0]
    if height < 0:
        if (width > 0) != (length > 0):
            # A pipe: along the positive size, as thick as the other, which may be written as 0.
            return Opening("lying cylinder", x if length > 0 else x or z, y if width > 0 else y or z, z)
        if curved:
            return Opening("ball", x or y, y or x, z)
        return Opening("box", x, y, z)
    if curved:
        return Opening("upright cylinder" if height > 0 else "round", x or y, y or x, z)
    if height > 0:
        return Opening("box", x, y, z)
    return Opening("rectangle" if x or y else "point", x, y, 0.0)
