"""A box whose lamps and meshes are not as its plan says, and what a meter would read in it. Invented; seeds stated."""

from dataclasses import replace

import numpy as np

from sunfleck.brief.build import Brief
from sunfleck.studies.interreflection import Interior, interior_of
from sunfleck.studies.meter.light_predictions import LightPredictions
from sunfleck.studies.meter.meter_readings import MeterReading


def weakened(brief: Brief, fixture: int, share: float) -> Brief:
    """The same plan with one lamp that gives a share of its UV."""
    seen = brief.fixtures[fixture]
    output = seen.outputs["uvi"]
    first = replace(output.parts[0], value=output.parts[0].value * share)
    outputs = {**seen.outputs, "uvi": replace(output, parts=(first, *output.parts[1:]))}
    fixtures = list(brief.fixtures)
    fixtures[fixture] = replace(seen, outputs=outputs)
    return replace(brief, fixtures=tuple(fixtures))


def denser(brief: Brief, share: float) -> Brief:
    """The same plan with meshes that let a share of what is stated through."""
    around = brief.surroundings
    sheets = []
    for sheet in around.sheets:
        medium = sheet.medium
        if medium.id.startswith("meshes/"):
            passed = {k: replace(g, value=g.value * share) for k, g in medium.transmittance.items()}
            sheet = replace(sheet, medium=replace(medium, transmittance=passed))  # noqa: PLW2901  # a sheet for a sheet
        sheets.append(sheet)
    return replace(brief, surroundings=replace(around, sheets=tuple(sheets)))


def reading(point, quantity="uvi", value=1.0, *, lit=(), own=0.05, shared=0.10, **more) -> MeterReading:
    """A reading as a study takes it; what is not said is usual."""
    given = {
        "survey": "2026-11-26-dry", "station": "1", "hold": "up", "meter": "round meter", "lifted": False,
        "room": 294.15, "burned": 4 * 3600.0, "where": "survey:1", **more,
    }  # fmt: skip
    return MeterReading(
        point=np.asarray(point, dtype=float),
        quantity=quantity,
        value=value,
        lit=lit,
        own=own,
        shared=shared,
        **given,
    )


def what_is_read(
    truth: Brief,
    interior: Interior,
    asked: list[MeterReading],
    rng,
    *,
    noise: float,
) -> list[MeterReading]:
    """The readings as they come out in a box that is `truth`."""
    inside = interior_of(truth, grain=interior.grain)
    values = LightPredictions(truth, inside, asked).expected
    values = values * np.exp(noise * rng.standard_normal(len(values)))
    return [replace(each, value=float(value)) for each, value in zip(asked, values, strict=True)]
