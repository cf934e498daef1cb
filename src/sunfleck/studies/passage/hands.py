"""How a part is carried: hands and people, by its size and mass."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

# Trade defaults; common practice, no source. Above these one hand, then one person, does not do. [kg], [m]
ONE_HAND_MASS, ONE_HAND_SIZE = 2.0, 0.40
ONE_PERSON_MASS, ONE_PERSON_SIZE = 15.0, 1.50
EACH_CARRIES = 20.0
# A panel that is large both ways needs a second person to steer it. [m]
BROAD = 1.0


@dataclass(frozen=True, slots=True)
class Hands:
    """How a part is carried.

    Attributes
    ----------
    hands, people : int
        How many hold it. [-]
    basis : str
        Where that comes from.
    """

    hands: int
    people: int
    basis: str


def hands_for(size: NDArray[np.float64], mass: float | None) -> Hands:
    """How many hands and people hold a part while it goes in.

    Parameters
    ----------
    size : (3,) float
        Its extent. [m]
    mass : float or None
        None: not known, and its size alone decides. [kg]

    Returns
    -------
    hands : Hands
        One hand up to 2 kg and 40 cm; one person up to 15 kg and 1.5 m, or 1 m where it is as broad as that both
        ways; one more for every 20 kg.
    """
    longest, second = sorted((float(x) for x in size), reverse=True)[:2]
    weight = mass if mass is not None else 0.0
    basis = "common practice, no source" + (
        "; by its size alone, its mass is not known" if mass is None else ""
    )
    if weight <= ONE_HAND_MASS and longest <= ONE_HAND_SIZE:
        return Hands(1, 1, basis)
    if weight <= ONE_PERSON_MASS and longest <= ONE_PERSON_SIZE and second <= BROAD:
        return Hands(2, 1, basis)
    people = max(2, int(np.ceil(weight / EACH_CARRIES)))
    return Hands(2 * people, people, basis)
