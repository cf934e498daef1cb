"""How far a lamp must be able to move, so that a weak piece gives enough and a strong one not too much."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

# Halvings of the stretch that is searched: from a metre to less than a micrometre.
HALVINGS = 24


@dataclass(frozen=True)
class Travel:
    """What a bracket must allow, from where the lamp is drawn.

    Attributes
    ----------
    weak : float or None
        Height at which a weak lamp still gives the least that is wanted; None where no height does. [m]
    strong : float or None
        Height at which a strong lamp gives no more than is wanted; None where no height does. [m]
    """

    weak: float | None
    strong: float | None

    @property
    def down(self) -> float:
        """How far it must come down. [m]"""
        return max(0.0, -self.weak) if self.weak is not None else 0.0

    @property
    def up(self) -> float:
        """How far it must go up. [m]"""
        return max(0.0, self.strong) if self.strong is not None else 0.0

    @property
    def possible(self) -> bool:
        """Whether there is a height for the weak lamp and one for the strong."""
        return self.weak is not None and self.strong is not None


def travel_needed(
    weak: Callable[[float], float],
    strong: Callable[[float], float],
    floor: float,
    ceiling: float | None,
    lowest: float,
    highest: float,
) -> Travel:
    """Find how far a lamp must be able to move.

    Parameters
    ----------
    weak, strong : callable
        Light of a weak and of a strong lamp that is moved up by so much [m]; both fall as it rises. [UVI]
    floor : float
        The least that is wanted of the weak one. [UVI]
    ceiling : float or None
        The most that is wanted of the strong one; None where nothing is too much. [UVI]
    lowest, highest : float
        From where to where it could be moved at all. [m]

    Returns
    -------
    travel : Travel
        Heights found to less than a micrometre a metre.

    Examples
    --------
    Light that falls with the distance from 40 cm on, lamps of 0.65 to 1.35 of their middle value, and what the
    middle one gives is wanted:

    >>> light = lambda up: 0.4 / (0.4 + up)
    >>> travel = travel_needed(lambda s: 0.65 * light(s), lambda s: 1.35 * light(s), 1.0, 1.0, -0.3, 0.5)
    >>> round(travel.down, 3), round(travel.up, 3)
    (0.14, 0.14)
    """
    height_weak = _highest_with(lambda s: weak(s) >= floor, lowest, highest)
    if ceiling is None:
        return Travel(height_weak, lowest)
    # The lowest height with little enough is just above the highest that still has too much.
    too_much = _highest_with(lambda s: strong(s) > ceiling, lowest, highest)
    if too_much is None:
        return Travel(height_weak, lowest)
    return Travel(height_weak, None if too_much >= highest else too_much)


def _highest_with(holds: Callable[[float], bool], lowest: float, highest: float) -> float | None:
    """Highest place where something holds that holds below a height and not above; None if nowhere."""
    if not holds(lowest):
        return None
    if holds(highest):
        return highest
    for _ in range(HALVINGS):
        middle = (lowest + highest) / 2
        lowest, highest = (middle, highest) if holds(middle) else (lowest, middle)
    return lowest
