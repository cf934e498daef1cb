"""Numbers checked on their way into a formula: what is out of range is refused with its value."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sunfleck.errors import DomainError

Floats = NDArray[np.float64]


def within(name: str, values: ArrayLike, low: float, high: float, unit: str = "") -> Floats:
    """Return numbers as an array after checking that they lie in a closed range.

    Parameters
    ----------
    name : str
        What a person calls the numbers. [-]
    values : (...) float
        The numbers. [-]
    low, high : float
        Ends of the range, both allowed. [-]
    unit : str, default ""
        Unit of the numbers, for the message. [-]

    Returns
    -------
    values : (...) float
        The same. [-]

    Raises
    ------
    DomainError
        If any is outside the range or not a number.
    """
    array = np.asarray(values, dtype=np.float64)
    wrong = ~((array >= low) & (array <= high))
    if wrong.any():
        needed = f"{low:g} to {high:g}" if np.isfinite(high) else f"{low:g} or more"
        msg = f"{name} must be {needed}; got {array[wrong].flat[0]:g} {unit}".rstrip()
        raise DomainError(msg)
    return array


def at_least_zero(name: str, values: ArrayLike, unit: str = "") -> Floats:
    """Return numbers as an array after checking that they are zero or more, and finite.

    Parameters
    ----------
    name : str
        What a person calls the numbers. [-]
    values : (...) float
        The numbers. [-]
    unit : str, default ""
        Unit of the numbers, for the message. [-]

    Returns
    -------
    values : (...) float
        The same. [-]

    Raises
    ------
    DomainError
        If any is below zero or not finite.
    """
    array = np.asarray(values, dtype=np.float64)
    wrong = ~((array >= 0.0) & np.isfinite(array))
    if wrong.any():
        msg = f"{name} must be zero or more; got {array[wrong].flat[0]:g} {unit}".rstrip()
        raise DomainError(msg)
    return array


def above_zero(name: str, values: ArrayLike, unit: str = "") -> Floats:
    """Return numbers as an array after checking that they are above zero, and finite.

    Parameters
    ----------
    name : str
        What a person calls the numbers. [-]
    values : (...) float
        The numbers. [-]
    unit : str, default ""
        Unit of the numbers, for the message. [-]

    Returns
    -------
    values : (...) float
        The same. [-]

    Raises
    ------
    DomainError
        If any is not above zero or not finite.
    """
    array = np.asarray(values, dtype=np.float64)
    wrong = ~((array > 0.0) & np.isfinite(array))
    if wrong.any():
        msg = f"{name} must be above zero; got {array[wrong].flat[0]:g} {unit}".rstrip()
        raise DomainError(msg)
    return array
