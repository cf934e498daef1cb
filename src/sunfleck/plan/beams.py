"""The beam of a lamp from a photometric file beside the plan."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from sunfleck.errors import DomainError, PhotometryError
from sunfleck.physics.beams_of_files import even_beam
from sunfleck.physics.eulumdat_files import read_eulumdat
from sunfleck.physics.ies_files import is_ies, read_ies
from sunfleck.physics.photometric_text import MOST_BYTES
from sunfleck.physics.photometry import flux_of
from sunfleck.plan.files import beside

ENDINGS = ("ies", "ldt")
# A beam that sends more of its light elsewhere than an even one would is not taken for an even one. [-]
MOST_LOPSIDED = 0.15
# Along its aim a lamp sends at least this share of what it sends anywhere. [-]
LEAST_AHEAD = 0.01


@dataclass(frozen=True, eq=False)
class Beam:
    """A lamp's beam as its file tells it.

    Attributes
    ----------
    intensity : (361,) float
        From the aim to straight behind. [cd]
    flux : float
        What the file's table adds up to. [lm]
    lopsided : float
        Share of the flux that is elsewhere than in an even beam. [-]
    """

    intensity: NDArray[np.float64]
    flux: float
    lopsided: float


def beam_of(name: str, folder: Path) -> Beam:
    """Read the beam of a photometric file.

    Parameters
    ----------
    name : str
        As the plan writes it.
    folder : Path
        The plan's folder, which the file may not leave.

    Returns
    -------
    beam : Beam
        Even round the aim.

    Raises
    ------
    DomainError
        If the file is not one beside the plan, cannot be read, or is too far from even.
    """
    file, _ = beside(folder, name, ENDINGS, MOST_BYTES)
    try:
        beam = _read(str(file), file.stat().st_mtime_ns)
    except PhotometryError as error:
        raise DomainError(" ".join(str(error).split())) from error
    except OSError as error:
        msg = f"it cannot be read ({error.strerror or error})"
        raise DomainError(msg) from error
    if beam.intensity[0] < LEAST_AHEAD * beam.intensity.max():
        msg = "it sends next to nothing along its aim, where readings are taken"
        raise DomainError(msg)
    if beam.lopsided > MOST_LOPSIDED:
        msg = (
            f"{beam.lopsided:.0%} of its light is elsewhere than in a beam that is even round its aim; up to "
            f"{MOST_LOPSIDED:.0%} are taken as even"
        )
        raise DomainError(msg)
    return beam


@lru_cache(maxsize=32)
def _read(file: str, _changed: int) -> Beam:
    data = Path(file).read_bytes()
    photometry = read_ies(data) if is_ies(data) or file.lower().endswith(".ies") else read_eulumdat(data)
    intensity, lopsided = even_beam(photometry)
    return Beam(intensity, flux_of(photometry), lopsided)
