"""A meter round in the tall example whose UV tube gives 0.7 of what its plan says: the survey, as a reader writes it."""

import numpy as np

from oracles.hidden_truth import reading, weakened, what_is_read
from sunfleck.plan.read_survey import read_survey_text
from sunfleck.service.resolved import resolved
from sunfleck.studies.interreflection import QUICK

WEAK = 0.7
PLACES = ((0.59, 0.345, 1.45), (0.83, 0.37, 1.45), (0.51, 0.34, 1.45), (1.075, 0.23, 0.94), (0.25, 0.3, 1.40))
NAME = "2026-11-26-dry"
TEXT = """\
survey: 1
date: 2026-11-26
kind: dry
by: A. Keeper
room: 21 degC
warm_up: 45 min
instruments:
  - {{name: club meter, reads: [uvi], accuracy: 10 %, calibrated: 2026-03-01, factor: 1.0}}
  - {{name: thin probe, reads: [air], accuracy: 0.5 K, offset: 0.3 K}}
readings:
{rows}
  - {{at: [60 cm, 40 cm, 60 cm], air: 24 degC, with: thin probe}}
held:
  - {{what: smell, by: B. Builder, date: 2026-11-25, note: sealant cured}}
end: true
"""


def weak_survey(plan):
    """The survey of a box with a weak tube, read with a perfect meter; 3 % of scatter, seed 7."""
    ready = resolved(plan)
    truth = weakened(ready.brief, 0, WEAK)
    lit = tuple(fixture.name for fixture in truth.fixtures)
    asked = [reading(place, lit=lit) for place in PLACES]
    found = what_is_read(truth, ready.interior(QUICK), asked, np.random.default_rng(7), noise=0.03)
    rows = [
        f"  - {{at: [{', '.join(f'{100 * x:g} cm' for x in each.point)}], uvi: {each.value:.3f}, with: club meter}}"
        for each in found
    ]
    return read_survey_text(TEXT.format(rows="\n".join(rows)), f"surveys/{NAME}.yaml", plan)
