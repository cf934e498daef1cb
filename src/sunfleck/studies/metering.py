"""Where to hold the meter once the lamps hang, and which reading settles a verdict."""

from __future__ import annotations

from math import exp

from sunfleck.brief.evidence import METER
from sunfleck.brief.givens import Given
from sunfleck.studies.rule import MEETS_INSIDE, OVER_SAFETY_CEILING, SHORT_OF_FLOOR
from sunfleck.studies.trace import Number, Step, number_of_step, step_of_given

# Standard normal deviates at which the rule's shares lie, one-sided: 95 % and 80 %.
NOT_OVER, INSIDE = 1.645, 0.842
HOW = "lamps warmed up for half an hour, the meter turned until it reads most"


def settling_numbers(
    id_: str, *, floor: Given | None = None, target: Given | None = None, ceiling: Given | None = None
) -> tuple[Number, ...]:
    """Return the readings that settle a verdict: at least so much, and at most so much.

    Parameters
    ----------
    id_ : str
        Of the verdict.
    floor, target, ceiling : Given, optional
        What is wanted at least and at most, and what must not be passed. [UVI]

    Returns
    -------
    numbers : tuple of Number
        ``reads_least`` and ``reads_most``: a usual meter that is 10 % off may read so much and the verdict still
        meets, by the shares of the rule.
    """
    numbers = []
    if floor is not None:
        numbers.append(_number(f"{id_}.reads_least", "a reading of at least this settles it", floor, INSIDE))
    limits = [
        (limit, -deviates) for limit, deviates in ((target, INSIDE), (ceiling, NOT_OVER)) if limit is not None
    ]
    if limits:
        limit, deviates = min(limits, key=lambda each: each[0].value * exp(each[1] * METER))
        numbers.append(_number(f"{id_}.reads_most", "a reading of at most this settles it", limit, deviates))
    return tuple(numbers)


def _number(id_: str, label: str, limit: Given, deviates: float) -> Number:
    source = (
        f"a hand-held meter is {METER:.0%} off (one standard deviation), so that {MEETS_INSIDE:.0%} lie inside the target "
        f"and less than {OVER_SAFETY_CEILING:.0%} above a ceiling; {SHORT_OF_FLOOR:.0%} below is too low"
    )
    margin = Step(
        "what the meter may be off", exp(deviates * METER), "", "computed", (), source, "common practice"
    )
    value = limit.value * margin.value
    step = Step(label, value, limit.unit, "product", (step_of_given(limit), margin))
    return number_of_step(id_, step)
