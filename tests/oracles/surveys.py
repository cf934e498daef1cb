"""A sound survey and a plan with stations, for tests."""

from functools import cache

from oracles.plans import tall_guarded
from sunfleck.plan.read import PlanSource, read_plan_text

PLAN = (
    tall_guarded()
    + """\
stations:
  - {name: 1, at: [45 cm, 34 cm, 141 cm]}
  - {name: left branch, at: [20 cm, 30 cm, 133 cm], hold: to the light, note: the fork}
"""
)
SOUND = """\
survey: 1                 # format number
date: 2026-11-26
kind: dry
by: A. Keeper
room: 21 degC
room_humidity: 40 %
warm_up: 45 min
lit: [uv tube, basking lamp]
lamp_hours: {uv tube: 1500 h}
instruments:
  - {name: club meter, reads: [uvi, lux], accuracy: 10 %, calibrated: 2026-03-01, factor: 0.95}
  - {name: thin probe, reads: [air, surface], accuracy: 0.5 K, offset: 0.3 K}
  - {name: hygrometer, reads: [humidity], accuracy: 3 %, salt: sodium chloride, salt_read: 78 %, salt_at: 21 degC}
readings:
  - {at: 1, uvi: 2.4, with: club meter}
  - {at: left branch, surface: 35 degC, with: thin probe, time: "15:30"}   # übers Eck
  - {at: [52 cm, 38 cm, 45 cm], uvi: 3.1, with: club meter, mesh: lifted, lit: [uv tube], note: "hand shook"}
  # a line that a keeper left here
end: true                 # the last line
"""


@cache
def plan_with_stations() -> PlanSource:
    """The tall guarded box with two stations."""
    return read_plan_text(PLAN)
