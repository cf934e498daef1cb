"""A luminaire's file as the even beam that the engine knows, and how far it is from even."""

from __future__ import annotations

from math import pi

import numpy as np
from numpy.typing import NDArray

from sunfleck.errors import DomainError
from sunfleck.physics.emitters import POLAR_ANGLES
from sunfleck.physics.photometry import Photometry

ROUND = np.linspace(0.0, 2 * pi, 73)[:-1]


def even_beam(photometry: Photometry) -> tuple[NDArray[np.float64], float]:
    r"""Intensity round the aim, averaged over all planes, and how lopsided the luminaire is.

    Parameters
    ----------
    photometry : Photometry
        As read from a file. [cd]

    Returns
    -------
    intensity : (361,) float
        From the aim to straight behind; the mean over 72 planes. [cd]
    lopsided : float
        Flux that is elsewhere than in the even beam, over all flux: 0 for a beam that is even, 1 for one that
        sends all of it where the even one sends nothing. [-]

    Raises
    ------
    DomainError
        If the luminaire sends nothing towards its aim's side.

    Notes
    -----
    .. math:: \frac{1}{2\Phi}\int |I(\gamma, C) - \bar I(\gamma)|\, d\Omega

    Examples
    --------
    >>> table = np.outer([1.0, 0.0, 1.0, 0.0, 1.0], np.cos(np.linspace(0, pi / 2, 19)))
    >>> quarters = Photometry(np.linspace(0, pi / 2, 19), np.linspace(0, 2 * pi, 5), table)
    >>> round(even_beam(quarters)[1], 2)
    0.25

    References
    ----------
    .. [1] The mean is the flux-weighted one of ANSI/IES LM-63 type C planes (from memory); the measure is our own.
    """
    vertical, horizontal = np.meshgrid(POLAR_ANGLES, ROUND)
    table = photometry.intensity_towards(vertical.ravel(), horizontal.ravel()).reshape(vertical.shape)
    mean = table.mean(axis=0)
    weight = np.sin(POLAR_ANGLES)
    flux = float((mean * weight).sum())
    if flux <= 0 or mean[: POLAR_ANGLES.size // 2].max() <= 0:
        msg = "the luminaire sends no light towards its aim's side"
        raise DomainError(msg)
    lopsided = float((np.abs(table - mean).mean(axis=0) * weight).sum() / (2 * flux))
    return mean, lopsided
