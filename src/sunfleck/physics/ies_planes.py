"""Symmetries of the tables in IES LM-63 files, and those that are none."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from sunfleck.physics.photometric_planes import as_type_c, full_circle, mirrored
from sunfleck.physics.photometric_text import Findings, find_unrising
from sunfleck.physics.photometry import Kind

Floats = NDArray[np.float64]
# Programs write 89.99 or 359.999 for what is meant. [deg]
NEAR = 0.02
# What the angle within a shared plane, and the one that turns the planes, can be on types B and A. [deg]
REACH_WITHIN, REACH_TURNING = 90.0, 180.0


def planes_of(
    findings: Findings,
    kind: Kind,
    vertical: tuple[Sequence[float], Sequence[int]],
    horizontal: tuple[Sequence[float], Sequence[int]],
    table: NDArray[np.float64],
) -> tuple[Floats, Floats, Floats] | None:
    """Table over a full circle of type C from what an IES LM-63 file gives.

    Parameters
    ----------
    findings : Findings
        Gets what is wrong and what is assumed. [-]
    kind : str
        ``C``, ``B`` or ``A``. [-]
    vertical, horizontal : tuple of (angles, lines)
        Angles in the file's order and the line of each. [deg]
    table : (h, v) float
        Intensities, a row for each horizontal angle. [cd]

    Returns
    -------
    planes : tuple of arrays, or None
        Vertical angles (v,) and horizontal ones (h,) in rad, and intensities (h, v); None where a problem was
        found. [cd]

    Notes
    -----
    Type C: a last horizontal angle of 0 is a table alike all round, 90 one quarter of four alike, 180 a half with its
    mirror image, more than 180 no symmetry; 90 to 270 is the other half (LM-63-95). Types B and A: angles from 0 on
    are one side of two alike (from memory for the vertical ones).
    """
    limits = {"C": (0.0, 180.0, -360.0, 360.0), "B": _limits(REACH_TURNING, REACH_WITHIN)}
    low_v, high_v, low_h, high_h = limits.get(kind, _limits(REACH_WITHIN, REACH_TURNING))
    good = find_unrising(findings, "vertical angles", [*vertical[0]], [*vertical[1]], low_v, high_v)
    good = (
        find_unrising(findings, "horizontal angles", [*horizontal[0]], [*horizontal[1]], low_h, high_h)
        and good
    )
    if not good:
        return None
    v, h = _snapped(vertical[0]), _snapped(horizontal[0])
    if kind == "C":
        return _of_type_c(findings, v, vertical[1], h, horizontal[1], table)
    return _of_other_types(findings, kind, v, vertical[1], h, horizontal[1], table)


def _limits(of_vertical: float, of_horizontal: float) -> tuple[float, float, float, float]:
    return -of_vertical, of_vertical, -of_horizontal, of_horizontal


def _of_type_c(
    findings: Findings, v: Floats, v_at: Sequence[int], h: Floats, h_at: Sequence[int], table: Floats
) -> tuple[Floats, Floats, Floats] | None:
    if v[0] not in (0.0, 90.0):
        fix = "add the missing angles, with their intensities"
        findings.add(v_at[0], "first vertical angle", f"{v[0]:g}", "0 or 90 in photometry of type C", fix)
    if v[-1] not in (90.0, 180.0):
        findings.notes.append(
            f"The table ends {v[-1]:g} degrees from the aim; nothing is taken to go beyond."
        )
    first, last = h[0], h[-1]
    if len(h) == 1:
        if first != 0:
            findings.notes.append(
                f"The one plane stands at {first:g} degrees; it is taken to be alike all round."
            )
    elif first == 0 and last == 90:
        h, table = mirrored(*mirrored(h, table, 90.0), 180.0)
    elif first == 0 and last == 180:
        h, table = mirrored(h, table, 180.0)
    elif first == 90 and last == 270:
        h, table = mirrored(h, table, 90.0)
    elif not 180 < last - first <= 360:
        needed = "0, 90, 180 or more than 180 degrees after a first one of 0, or 270 after 90"
        findings.add(h_at[-1], "last horizontal angle", f"{last:g} after a first one of {first:g}", needed)
    elif last - first < 360 - 2 * float(np.diff(h).max()):
        findings.notes.append(
            f"There is no plane between {last:g} and {first + 360:g} degrees: it is taken as straight between them."
        )
    if findings.problems:
        return None
    return np.radians(v), *full_circle(h, table)


def _of_other_types(
    findings: Findings,
    kind: Kind,
    v: Floats,
    v_at: Sequence[int],
    h: Floats,
    h_at: Sequence[int],
    table: Floats,
) -> tuple[Floats, Floats, Floats] | None:
    for name, angles, at in (("vertical", v, v_at), ("horizontal", h, h_at)):
        if angles[0] > 0 or angles[-1] <= 0:
            wrote = f"{angles[0]:g} to {angles[-1]:g}"
            findings.add(at[0], f"{name} angles", wrote, f"0 to 90 or -90 to 90 in photometry of type {kind}")
    if findings.problems:
        return None
    ends = (min(abs(v[0]) or 90.0, v[-1]), min(abs(h[0]) or 90.0, h[-1]))
    if min(ends) < REACH_WITHIN:
        findings.notes.append(
            f"The table ends {min(ends):g} degrees from the aim; nothing is taken to go beyond."
        )
    if v[0] == 0:
        findings.notes.append("Vertical angles begin at 0: above and below the beam are taken to be alike.")
        v, turned = mirrored(v, table.T, 0.0)
        table = turned.T
    if h[0] == 0:
        h, table = mirrored(h, table, 0.0)
    findings.notes.append(
        f"Measured as type {kind}: laid out anew as type C, with the beam's axis as the aim."
    )
    return as_type_c(v, h, table, kind)


def _snapped(angles: Sequence[float]) -> Floats:
    """Angles with their first and last put on the quarter turn they are meant to be."""
    found = np.array(angles, dtype=np.float64)
    for k in (0, -1):
        quarter = 90.0 * round(found[k] / 90.0)
        if abs(found[k] - quarter) < NEAR and (
            len(found) == 1 or abs(quarter - found[1 if k == 0 else -2]) > NEAR
        ):
            found[k] = quarter
    return found
