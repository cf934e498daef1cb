"""Whether two plans stand alike: what stands and hangs in the box, not its names, hours or readings."""

from __future__ import annotations

import hashlib
import json
from typing import Any

from sunfleck.plan.models import Plan

STANDING = {"enclosure", "substrate", "perches", "ledges", "backgrounds", "plants", "hides", "bowls"}
# Of a door's fittings nothing stands in the box. What a plan does not have is no difference from an older one.
FITTINGS = ("opens", "lap", "handle")
NEWER = ("pot", "relief", "bowls")
HUNG = {"lamp", "from_", "to", "at", "aim", "roll", "guard"}


def print_of(plan: Plan) -> str:
    """Return a short print of what stands and hangs in a plan's box.

    Parameters
    ----------
    plan : Plan
        The plan.

    Returns
    -------
    print : str
        Twelve hexadecimal digits: the same for the same things in the same places, whatever the plan says of hours,
        thermostats, animals, readings or the room.
    """
    standing = plan.model_dump(mode="json", include=STANDING)
    for door in standing["enclosure"]["doors"]:
        for key in FITTINGS:
            door.pop(key)
    for part in (standing, *standing["plants"], *standing["backgrounds"]):
        _without_newer(part)
    standing["fixtures"] = [fixture.model_dump(mode="json", include=HUNG) for fixture in plan.fixtures]
    return hashlib.sha256(json.dumps(standing, sort_keys=True).encode()).hexdigest()[:12]


def _without_newer(part: dict[str, Any]) -> None:
    for key in NEWER:
        if key in part and not part[key]:
            del part[key]
