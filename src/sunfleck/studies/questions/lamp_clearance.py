"""Does anything that scorches stand in a lamp's light nearer than its least distance?"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.build import Brief
from sunfleck.brief.givens import given_from_library
from sunfleck.brief.lamps import FixtureBrief
from sunfleck.physics.emitters import DiscEmitter
from sunfleck.studies.brightest import EVEN_DIRECTIONS
from sunfleck.studies.report import Verdict
from sunfleck.studies.rule import State
from sunfleck.studies.trace import Number, Step, number_of_given

ID = "lamp-clearance"
SUBJECT = "lamp-clearance"
LACKS = "the plan has no lamp"

# Rays within this angle of the aim count as the lamp's light.
CONE = np.deg2rad(60.0)
ALONG = 15
METHOD = (
    "shortest of rays from the lamp within 60 degrees of its aim to leaves, perches, ledges, panels, ground"
)


def ask(brief: Brief) -> Verdict | None:
    """Judge every lamp's free distance against the least distance of its library entry."""
    if not brief.fixtures:
        return None
    id_ = f"{ID}:box"
    numbers: list[Number] = []
    close = []
    for fixture in brief.fixtures:
        least = given_from_library(
            f"lamps/{fixture.fixture.lamp}/least_distance",
            f"least distance to {fixture.name}",
            fixture.lamp.least_distance,
        )
        numbers.append(number_of_given(f"{id_}.least_{fixture.index}", least))
        free = _free_distance(brief, fixture)
        if np.isfinite(free):
            numbers.append(_free_number(f"{id_}.free_{fixture.index}", fixture.name, free))
        if free < least.value:
            close.append(fixture.name)
    state: State = "short" if close else "meets"
    sentence = "nothing stands in a lamp's light nearer than its least distance"
    advice = ""
    if close:
        sentence = f"something stands nearer than the least distance in the light of {', '.join(close)}: it can scorch or burn"
        advice = "move the lamp or what stands below it; trim plants and keep them trimmed"
    return Verdict(
        id_, "free distance below the lamps", "the box", state, sentence, "", tuple(numbers), advice
    )


def _free_distance(brief: Brief, fixture: FixtureBrief) -> float:
    around = brief.surroundings
    emitter = fixture.emitter
    starts = (
        emitter.centre[None, :] if isinstance(emitter, DiscEmitter) else _along(emitter.start, emitter.end)
    )
    ahead = EVEN_DIRECTIONS[EVEN_DIRECTIONS @ emitter.aim >= np.cos(CONE)]
    directions = np.concatenate([emitter.aim[None, :], ahead])
    origins = np.repeat(starts, len(directions), axis=0)
    distance, triangle = around.rays.first_hit(origins, np.tile(directions, (len(starts), 1)))
    # The carcass beside a tube's end is not in its way; its triangles come first.
    furnishing = triangle >= around.carcass
    return float(distance[furnishing].min()) if furnishing.any() else np.inf


def _along(start: NDArray[np.float64], end: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.asarray(start + np.linspace(0, 1, ALONG)[:, None] * (end - start))


def _free_number(id_: str, name: str, free: float) -> Number:
    step = Step(f"free distance below {name}", free, "m", "computed", (), METHOD, "derived")
    return Number(id_, step.label, free, "m", lambda: step)
