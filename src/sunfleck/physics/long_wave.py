"""Long-wave heat between surfaces of even temperature, as conductances that are symmetric."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sunfleck.errors import DomainError
from sunfleck.physics.conduction import STEFAN_BOLTZMANN

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# What is not symmetric for rounding only. [m2]
ROUNDING = 1e-9


@dataclass(frozen=True, slots=True)
class GreyExchange:
    r"""Long-wave exchange of grey surfaces, after all reflections.

    Attributes
    ----------
    between : (s, s) float
        What goes from one to another is this times :math:`\sigma (T_i^4 - T_j^4)`; symmetric, nothing on the
        diagonal. [m2]
    outside : (s,) float
        The same with what lies beyond open sides and meshes. [m2]
    """

    between: Floats
    outside: Floats

    def net(self, temperature: ArrayLike, outside: float) -> Floats:
        """Heat that each surface (s,) takes in on balance. [W]"""
        radiosity = STEFAN_BOLTZMANN * np.asarray(temperature, dtype=np.float64) ** 4
        gained = self.between @ radiosity - self.between.sum(axis=1) * radiosity
        return np.asarray(gained + self.outside * (STEFAN_BOLTZMANN * outside**4 - radiosity))


def grey_exchange(
    conductance: ArrayLike, emissivity: ArrayLike, group: ArrayLike, groups: int
) -> GreyExchange:
    r"""Join patches to surfaces of even temperature and follow long-wave heat between them.

    Parameters
    ----------
    conductance : (p + 1, p + 1) float
        Area of a patch times the share of what leaves it that arrives at another; the last row and column are
        outside. Symmetric. [m2]
    emissivity : (p,) float
        Of each patch. [-]
    group : (p,) int
        Surface that each patch belongs to; `groups` for patches that count as outside, as meshes do. [-]
    groups : int
        Number of surfaces. [-]

    Returns
    -------
    exchange : GreyExchange
        A row of `between` and its part of `outside` add up to emissivity times area, less what comes back to the
        surface itself. [m2]

    Raises
    ------
    DomainError
        If shapes disagree, an emissivity is not between 0 and 1 or a patch has no surface.

    Notes
    -----
    Radiosities are even over a surface [1]_. With H what arrives and B what leaves,

    .. math:: B_i = \varepsilon_i \sigma T_i^4 + (1 - \varepsilon_i) H_i, \qquad
              A_i H_i = \sum_j K_{ij} B_j

    and what i takes up of a unit of j's emission is their conductance. As K is symmetric, so is the result: a box
    of one temperature keeps it to rounding, which sampled view factors do not.

    Examples
    --------
    Two large plates of emissivity 0.9:

    >>> seen = np.array([[0.0, 1.0, 0.0], [1.0, 0.0, 0.0], [0.0, 0.0, 0.0]])
    >>> float(grey_exchange(seen, [0.9, 0.9], [0, 1], 2).between[0, 1].round(3))
    0.818

    References
    ----------
    .. [1] H. C. Hottel and A. F. Sarofim, *Radiative Transfer*, 1967: total exchange areas (from memory).
    """
    patches = np.array(conductance, dtype=np.float64)
    of_patches = np.array(emissivity, dtype=np.float64)
    where = np.array(group, dtype=np.int64)
    count = len(of_patches)
    if patches.shape != (count + 1, count + 1) or where.shape != (count,):
        msg = f"conductance must be ({count + 1}, {count + 1}) and group ({count},); got {patches.shape}, {where.shape}"
        raise DomainError(msg)
    if not bool(((of_patches >= 0) & (of_patches <= 1)).all()):
        msg = "emissivities must be between 0 and 1"
        raise DomainError(msg)
    if count and not bool(((where >= 0) & (where <= groups)).all()):
        msg = f"a patch belongs to one of {groups} surfaces or to the outside; got {where.min()} to {where.max()}"
        raise DomainError(msg)
    joined = np.zeros((groups + 1, count + 1))
    np.add.at(joined, np.append(where, groups), patches)
    together = np.zeros((groups + 1, groups + 1))
    np.add.at(together.T, np.append(where, groups), joined.T)
    inside, out = together[:groups, :groups], together[:groups, groups]
    area = together[:groups].sum(axis=1)
    by_patch = patches[:count].sum(axis=1)
    grey = np.zeros(groups + 1)
    np.add.at(grey, where, of_patches * by_patch)
    grey = np.divide(grey[:groups], area, out=np.ones(groups), where=area > 0)
    reflected = np.divide(1.0 - grey, area, out=np.zeros(groups), where=area > 0)
    # What leaves each surface for a unit of emission of every surface, and of the outside.
    sent = np.linalg.solve(
        np.eye(groups) - reflected[:, None] * inside,
        np.concatenate([np.diag(grey), (reflected * out)[:, None]], axis=1),
    )
    taken = grey[:, None] * (inside @ sent)
    between = (taken[:, :groups] + taken[:, :groups].T) / 2
    np.fill_diagonal(between, 0.0)
    from_outside = taken[:, groups] + grey * out
    return GreyExchange(np.clip(between, 0.0, None), np.clip(from_outside, 0.0, None))
