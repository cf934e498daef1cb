"""Read a photometric file, say what is in it, and draw it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path

from sunfleck.errors import PhotometryError, SunfleckError
from sunfleck.outputs.polar import FORMATS, write_polar
from sunfleck.physics.eulumdat_files import read_eulumdat
from sunfleck.physics.ies_files import is_ies, read_ies
from sunfleck.physics.photometric_text import MOST_BYTES
from sunfleck.physics.photometry import Photometry
from sunfleck.studies.photometric_report import PhotometryReport, curves_of, report_of

__all__ = ["PhotometryReport", "describe", "draw", "read_photometry"]

IES_ENDINGS = (".ies",)


def read_photometry(path: Path) -> Photometry:
    """Read a photometric file of either form.

    Parameters
    ----------
    path : Path
        An IES LM-63 or EULUMDAT file. A table over tilt that it names is looked for beside it.

    Returns
    -------
    photometry : Photometry
        The luminaire's intensities.

    Raises
    ------
    PhotometryError
        If the file holds problems; every one is told.
    SunfleckError
        If it cannot be read at all.
    """
    try:
        data = _bytes_of(path)
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        msg = f"cannot read {path}: {reason}"
        raise SunfleckError(msg) from error
    try:
        if is_ies(data) or path.suffix.lower() in IES_ENDINGS:
            return read_ies(data, lambda name: _beside(path, name))
        return read_eulumdat(data)
    except PhotometryError as error:
        raise PhotometryError(error.problems, path.name, error.more) from None


def describe(path: Path) -> PhotometryReport:
    """Say what is in a photometric file and what it adds up to.

    Parameters
    ----------
    path : Path
        An IES LM-63 or EULUMDAT file.

    Returns
    -------
    report : PhotometryReport
        Plain data; `report.to_dict()` for JSON.

    Raises
    ------
    SunfleckError
        If the file cannot be read; a PhotometryError tells every problem in it.
    """
    return report_of(read_photometry(path), path.name)


def draw(path: Path, out_folder: Path, formats: Sequence[str] = FORMATS, *, dark: bool = False) -> list[Path]:
    """Draw the polar diagram of a photometric file.

    Parameters
    ----------
    path : Path
        An IES LM-63 or EULUMDAT file.
    out_folder : Path
        Where; created when missing.
    formats : sequence of str
        ``png``, ``svg``.
    dark : bool
        Light on dark.

    Returns
    -------
    files : list of Path
        What was written.

    Raises
    ------
    SunfleckError
        If the file cannot be read, the folder cannot be written to, a format is not known, or the drawing library is
        not installed.
    """
    photometry = read_photometry(path)
    report, curves = report_of(photometry, path.name), curves_of(photometry)
    try:
        out_folder.mkdir(parents=True, exist_ok=True)
        return list(write_polar(report, curves, out_folder, formats, dark=dark))
    except OSError as error:
        msg = f"cannot write into {out_folder}: {error.strerror or error}"
        raise SunfleckError(msg) from error


def _beside(path: Path, name: str) -> bytes:
    """Bytes of a file that a photometric file names: its folder's only, whatever path it writes."""
    bare = re.split(r"[\\/]", name)[-1]
    if bare in ("", ".", ".."):
        raise FileNotFoundError(2, "there is no such file beside it", name)
    try:
        return _bytes_of(path.parent / bare)
    except ValueError as error:
        raise OSError(22, "its name cannot be a file's", name) from error


def _bytes_of(path: Path) -> bytes:
    with path.open("rb") as stream:
        # One more than is read at most, so that what is too large is seen to be.
        return stream.read(MOST_BYTES + 1)
