"""What is in a photometric file, as text."""

from __future__ import annotations

from collections.abc import Iterator

from sunfleck.outputs.verdict_words import wrapped
from sunfleck.studies.photometric_report import PhotometryReport

LABEL = 14
SMALLEST_SHARE = 0.0005
SHAPES = {
    "point": "a point",
    "rectangle": "a rectangle",
    "box": "a box",
    "round": "round",
    "upright cylinder": "an upright cylinder",
    "lying cylinder": "a lying cylinder",
    "ball": "a ball",
}


def photometry_text(report: PhotometryReport) -> str:
    """Return what a photometric file says, as a person reads it.

    Parameters
    ----------
    report : PhotometryReport
        What was read.

    Returns
    -------
    text : str
        Ends with a line break.
    """
    return "\n".join(_lines(report)) + "\n"


def flux_words(report: PhotometryReport) -> str:
    """Return what the table adds up to beside what is stated, in a sentence."""
    adds_up = f"the table adds up to {amount(report.flux_lm)} lm"
    if report.stated_lm is None or report.disagreement is None:
        return f"{adds_up}; the file states no lumens"
    whose = "the luminaire" if report.absolute else "the lamps"
    stated = f"stated are {amount(report.stated_lm)} lm of {whose}"
    if report.output_ratio is not None and not report.absolute:
        stated += f", of which {report.output_ratio:.0%} leave it"
    times = report.disagreement >= 2
    ratio = f"{report.disagreement:.3g} times that" if times else f"{report.disagreement:.3f} of that"
    said = {
        "agrees": f"{ratio}: they agree",
        "plausible": f"{report.disagreement:.0%} leaves the luminaire",
        "disagrees": f"{ratio}: THEY DO NOT AGREE",
    }[report.agreement]
    return f"{adds_up}; {stated}: {said}"


def peak_words(report: PhotometryReport) -> str:
    """Return how bright the luminaire is at most, and where."""
    peak = f"{amount(report.peak_cd)} cd"
    if report.peak_from_aim_deg < 1e-6:
        return f"{peak} along the aim"
    return (
        f"{peak} at {report.peak_from_aim_deg:.3g}° from the aim, in the plane C{report.peak_plane_deg:.3g}"
    )


def beam_words(report: PhotometryReport) -> str:
    """Return how wide the beam is in both planes."""
    both = (report.beam_c0_deg, report.beam_c90_deg)
    first, second = ("all round" if beam is None else f"within {beam:.0f}°" for beam in both)
    return first if first == second else f"{first} in C0-C180, {second} in C90-C270"


def amount(value: float) -> str:
    """Return a number to three digits, whole from a hundred on."""
    return f"{value:,.0f}" if value >= 100 else f"{value:.3g}"


def _lines(report: PhotometryReport) -> Iterator[str]:
    yield from wrapped(report.name or report.file, "", "")
    type_ = "" if report.kind == "C" else f", measured as type {report.kind}"
    yield from wrapped(f"{report.file}: {report.form}{type_}", "", "")
    yield ""
    yield from _line("flux", flux_words(report))
    yield from _line("brightest", peak_words(report))
    yield from _line("beam", f"half as bright or more {beam_words(report)}")
    yield from _line(
        "below, above", f"{_share(report.down_share)} towards the aim, {_share(report.up_share)} behind"
    )
    if report.watts_w is not None and report.efficacy_lm_per_w is not None:
        yield from _line("input", f"{amount(report.watts_w)} W, {amount(report.efficacy_lm_per_w)} lm/W")
    yield from _line("lamps", f"{report.lamps}")
    yield from _line("glows", _opening(report))
    covered = f"{report.vertical_from_deg:.3g}° to {report.vertical_to_deg:.3g}° from the aim"
    planes = "alike all round" if report.planes == 2 else f"{report.planes - 1} planes"
    yield from _line("table", f"{planes} x {report.angles} angles, {covered}")
    for key, text in report.keywords:
        yield from _line(key.lower()[: LABEL - 1], text)
    if report.notes:
        yield ""
        yield "NOTES   what was assumed or left out"
        for note in report.notes:
            yield from wrapped(note, "  - ", "    ")


def _line(label: str, text: str) -> list[str]:
    return wrapped(text, f"  {label:<{LABEL}}", " " * (LABEL + 2)) if text else []


def _share(share: float) -> str:
    return "nothing" if share < SMALLEST_SHARE else f"{share:.1%}"


def _opening(report: PhotometryReport) -> str:
    shape = SHAPES[report.opening_shape]
    if report.opening_shape == "point":
        return shape
    sizes = f"{report.opening_x_mm:.0f} mm along C0-C180, {report.opening_y_mm:.0f} mm along C90-C270"
    return f"{shape}, {sizes}" + (
        f", {report.opening_height_mm:.0f} mm high" if report.opening_height_mm else ""
    )
