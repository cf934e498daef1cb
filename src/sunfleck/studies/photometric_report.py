"""What a photometric file says of a luminaire, and what its table adds up to, as plain data."""

from __future__ import annotations

from dataclasses import dataclass, fields
from math import degrees, pi
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from sunfleck.physics.photometry import Photometry, disagreement, flux_of, hemisphere_shares

Floats = NDArray[np.float64]
Agreement = Literal["agrees", "plausible", "disagrees", "nothing stated"]
# A table and its lumens are both rounded, and integrated by rules that differ by a per cent or two.
WITHIN = 0.03
# Of bare lamps' lumens a luminaire gives off all at most, and hardly less than this.
LEAST_OUTPUT = 0.1
MILLIMETRES = 1000.0
STEP = 0.5  # [deg]
HALF = 0.5


@dataclass(frozen=True)
class PhotometryReport:
    """What stands in a photometric file, and what follows from it.

    Attributes
    ----------
    file, form, kind, name : str
        Name of the file, its format and edition, type of the goniometer (the table is laid out as type C), and what
        it calls the luminaire.
    keywords : tuple of (str, str)
        Its other words.
    absolute : bool
        Whether the luminaire was measured as a whole, not relative to its lamps' lumens.
    flux_lm : float
        What the table adds up to.
    stated_lm : float, optional
        What the file states: of all lamps, or of the luminaire where `absolute`.
    output_ratio : float, optional
        Share of the lamps' lumens that leaves the luminaire, as stated.
    disagreement : float, optional
        Flux of the table over what is stated for the luminaire; over the bare lamps' where no ratio is stated.
    agreement : str
        ``agrees``, ``plausible`` (below the bare lamps' lumens), ``disagrees``, ``nothing stated``.
    watts_w, efficacy_lm_per_w : float, optional
        Electric input, and the table's flux for each watt.
    lamps : int
        Number of lamps.
    peak_cd, peak_from_aim_deg, peak_plane_deg : float
        The greatest intensity, and where it is.
    beam_c0_deg, beam_c90_deg : float, optional
        Full angle within which C0-C180, C90-C270 have at least half of their greatest intensity; None where they
        have it all round.
    down_share, up_share : float
        Shares of the flux on the aim's side and behind.
    opening_shape : str
        What glows.
    opening_x_mm, opening_y_mm, opening_height_mm : float
        Its sizes along C0-C180, along C90-C270 and upwards.
    vertical_from_deg, vertical_to_deg : float
        What the table covers.
    planes, angles : int
        Size of the table over the full circle.
    measured_tilt_deg : float
        Tilt of the luminaire when it was measured.
    notes : tuple of str
        What was assumed or left out.
    """

    file: str
    form: str
    kind: str
    name: str
    keywords: tuple[tuple[str, str], ...]
    absolute: bool
    flux_lm: float
    stated_lm: float | None
    output_ratio: float | None
    disagreement: float | None
    agreement: Agreement
    watts_w: float | None
    efficacy_lm_per_w: float | None
    lamps: int
    peak_cd: float
    peak_from_aim_deg: float
    peak_plane_deg: float
    beam_c0_deg: float | None
    beam_c90_deg: float | None
    down_share: float
    up_share: float
    opening_shape: str
    opening_x_mm: float
    opening_y_mm: float
    opening_height_mm: float
    vertical_from_deg: float
    vertical_to_deg: float
    planes: int
    angles: int
    measured_tilt_deg: float
    notes: tuple[str, ...]

    def to_dict(self) -> dict[str, Any]:
        """Return it as plain data for JSON."""
        data = {each.name: getattr(self, each.name) for each in fields(self)}
        keywords = [{"keyword": key, "text": text} for key, text in self.keywords]
        return {**data, "keywords": keywords, "notes": list(self.notes)}


@dataclass(frozen=True)
class PolarCurves:
    """Intensity in two planes through the aim.

    Attributes
    ----------
    angles : (n,) float
        From the aim: above zero towards C0 or C90, below towards C180 or C270. [deg]
    c0, c90 : (n,) float
        Intensity in the plane C0-C180 and in C90-C270. [cd]
    alike : bool
        Whether both are the same.
    """

    angles: Floats
    c0: Floats
    c90: Floats
    alike: bool


def report_of(photometry: Photometry, file: str) -> PhotometryReport:
    """Return what a photometric file says and adds up to.

    Parameters
    ----------
    photometry : Photometry
        As read.
    file : str
        Name of the file.

    Returns
    -------
    report : PhotometryReport
        Plain data.
    """
    flux, (down, up) = flux_of(photometry), hemisphere_shares(photometry)
    plane, angle = np.unravel_index(np.argmax(photometry.intensity), photometry.intensity.shape)
    curves = curves_of(photometry)
    opening, watts, ratio = photometry.opening, photometry.watts, disagreement(photometry)
    return PhotometryReport(
        file=file,
        form=photometry.form,
        kind=photometry.kind,
        name=photometry.name,
        keywords=photometry.keywords,
        absolute=photometry.absolute,
        flux_lm=flux,
        stated_lm=photometry.stated_lumens,
        output_ratio=photometry.output_ratio,
        disagreement=ratio,
        agreement=_agreement(ratio, whole=photometry.absolute or photometry.output_ratio is not None),
        watts_w=watts,
        efficacy_lm_per_w=flux / watts if watts else None,
        lamps=photometry.lamps,
        peak_cd=float(photometry.intensity[plane, angle]),
        peak_from_aim_deg=degrees(photometry.vertical[angle]),
        peak_plane_deg=degrees(photometry.horizontal[plane]),
        beam_c0_deg=_beam(curves.angles, curves.c0),
        beam_c90_deg=_beam(curves.angles, curves.c90),
        down_share=down,
        up_share=up,
        opening_shape=opening.shape,
        opening_x_mm=MILLIMETRES * opening.x,
        opening_y_mm=MILLIMETRES * opening.y,
        opening_height_mm=MILLIMETRES * opening.height,
        vertical_from_deg=degrees(photometry.vertical[0]),
        vertical_to_deg=degrees(photometry.vertical[-1]),
        planes=len(photometry.horizontal),
        angles=len(photometry.vertical),
        measured_tilt_deg=degrees(photometry.measured_tilt),
        notes=photometry.notes,
    )


def curves_of(photometry: Photometry) -> PolarCurves:
    """Return the intensity in the planes C0-C180 and C90-C270, all round.

    Parameters
    ----------
    photometry : Photometry
        As read.

    Returns
    -------
    curves : PolarCurves
        Every half degree and at the table's own angles.
    """
    own = np.degrees(photometry.vertical)
    # Just inside and outside of the table's ends, so that an edge is drawn as one.
    edges = np.array([own[0] - 1e-3, own[-1] + 1e-3])
    down = np.unique(np.clip(np.concatenate([np.arange(0.0, 180.0 + STEP, STEP), own, edges]), 0.0, 180.0))
    angles = np.concatenate([-down[:0:-1], down])
    halves = [photometry.intensity_towards(np.radians(down), quarter * pi / 2) for quarter in range(4)]
    c0, c90 = (np.concatenate([halves[k + 2][:0:-1], halves[k]]) for k in (0, 1))
    alike = bool(np.allclose(c0, c90, rtol=1e-6, atol=1e-9 * float(c0.max(initial=0.0))))
    return PolarCurves(angles, c0, c90, alike)


def _agreement(ratio: float | None, *, whole: bool) -> Agreement:
    if ratio is None:
        return "nothing stated"
    if abs(ratio - 1) <= WITHIN:
        return "agrees"
    return "plausible" if not whole and LEAST_OUTPUT <= ratio < 1 else "disagrees"


def _beam(angles: Floats, curve: Floats) -> float | None:
    """Full angle outside of which, all round, a curve stays below half of its greatest value."""
    half = HALF * float(curve.max())
    inside = np.flatnonzero(curve[:-1] >= half).tolist()
    if half == 0:
        return 0.0  # all of the light goes between the two planes
    if len(inside) == len(curve) - 1:
        return None
    turns = len(curve) - 1
    dark = 0.0
    for k, start in enumerate(inside):
        end = inside[(k + 1) % len(inside)]
        if (end - start) % turns == 1:
            continue
        # From where the curve falls below half to where it next reaches it, maybe past the back.
        leaves, reaches = _crossing(angles, curve, half, start, 1), _crossing(angles, curve, half, end, -1)
        dark = max(dark, (reaches - leaves) % 360.0 or 360.0)
    return 360.0 - dark


def _crossing(angles: Floats, curve: Floats, half: float, within: int, way: int) -> float:
    """Angle between a place that is bright enough and its neighbour that is not; the ends of the list are one place."""
    if way < 0 and within == 0:
        within = len(curve) - 1
    beyond = within + way
    share = (curve[within] - half) / (curve[within] - curve[beyond])
    return float(angles[within] + share * (angles[beyond] - angles[within]))
