"""A verdict in two columns: whether a target is met, and whether it is safe; one does not stand for the other."""

from __future__ import annotations

from sunfleck.studies.questions import burns, lamp_clearance, lamp_guard, one_failure, uv_ceiling, uv_retreat
from sunfleck.studies.report import Verdict
from sunfleck.studies.rule import (
    MEETS_INSIDE,
    OVER_COMFORT_CEILING,
    OVER_SAFETY_CEILING,
    SHORT_OF_FLOOR,
    State,
)

# What these ask is about harm, whatever else they say.
OF_SAFETY = frozenset(
    each.ID for each in (burns, lamp_clearance, lamp_guard, one_failure, uv_ceiling, uv_retreat)
)
TARGETS = frozenset({"floor", "comfort_ceiling"})


def target_and_safety(verdict: Verdict) -> tuple[State | None, State | None]:
    """Part a verdict into what is wanted and what must not be passed.

    Parameters
    ----------
    verdict : Verdict
        Of any question.

    Returns
    -------
    target, safe : str or None
        As a verdict has it, by the thresholds of docs/rules.md; None where the question does not ask that.
    """
    numbers = {number.id.rsplit(".", 1)[1]: number.value for number in verdict.numbers}
    has_target = bool(TARGETS & numbers.keys())
    if not has_target:
        safety = verdict.id.split(":", maxsplit=1)[0] in OF_SAFETY or "ceiling" in numbers
        return (None, verdict.state) if safety else (verdict.state, None)
    if "ceiling" not in numbers:
        return verdict.state, None
    above = numbers["chance_above"]
    # At most one world in twenty, as the rule has it; what is above is above the target too.
    safe: State = "over" if above >= OVER_SAFETY_CEILING and above > 0 else "meets"
    return _target(numbers["chance_below"], max(numbers["chance_above_comfort"], above)), safe


def _target(below: float, above: float) -> State:
    if above >= OVER_COMFORT_CEILING:
        return "over"
    if below >= SHORT_OF_FLOOR:
        return "short"
    return "meets" if 1.0 - below - above >= MEETS_INSIDE else "unknown"
