"""From a design to a whole plan, read and checked by the plan's rules."""

from __future__ import annotations

from dataclasses import dataclass

from sunfleck.document.entries import Entry
from sunfleck.document.reader import read_document
from sunfleck.library.loader import Library
from sunfleck.plan.read import PlanSource, check_document
from sunfleck.service.first_plan.design import Design
from sunfleck.service.first_plan.furniture import furniture_of
from sunfleck.service.first_plan.hanging import lamps_of
from sunfleck.service.first_plan.measures import Measures
from sunfleck.service.first_plan.reading import Wanted
from sunfleck.service.first_plan.shell import shell_of
from sunfleck.service.first_plan.writing import Draft, plan_text

# The plan's acceptance wants a day; nobody asks for one. The keeper writes their own beside it.
ORDER = (
    "enclosure/doors",
    "enclosure/vents",
    "enclosure/fans",
    "animals",
    "fixtures",
    "backgrounds",
    "ledges",
    "perches",
    "plants",
    "hides",
)


@dataclass(frozen=True, eq=False)
class Drawn:
    """A design as a plan.

    Attributes
    ----------
    wanted, design
        What it is of.
    draft : Draft
        With its reasons.
    text : str
        The plan file.
    plan : PlanSource
        The same, checked.
    """

    wanted: Wanted
    design: Design
    draft: Draft
    text: str
    plan: PlanSource


def drawn(wanted: Wanted, design: Design, library: Library, today: str) -> Drawn:
    """Draw a design.

    Raises
    ------
    PlanError
        If it breaks a rule of plans: then this design cannot be built.
    """
    measures = Measures(wanted, design, library)
    draft = Draft(wanted.system)
    draft.head |= {
        "format": "1",
        "name": wanted.name,
        "show_units": wanted.system,
        "library": {"hash": library.hash},
    }
    draft.lists = {name: [] for name in ORDER}
    shell_of(draft, measures)
    _animal(draft, measures, today)
    lamps_of(draft, measures)
    furniture_of(draft, measures)
    text = plan_text(draft)
    return Drawn(wanted, design, draft, text, check_document(read_document(text), library))


def _animal(draft: Draft, measures: Measures, today: str) -> None:
    wanted = measures.wanted
    entry: dict[str, Entry] = {
        "species": wanted.species,
        "name": f"the {wanted.animal.common_name.value}",
        "count": "1",
        "sex": wanted.sex,
        "stage": wanted.stage,
    }
    if wanted.stage != "adult":
        entry["snout_vent"] = draft.length(wanted.length)
    if wanted.keeper:
        entry["accepted"] = {"by": wanted.keeper, "date": today}
        draft.notes["animals"] = "Its keeper stands for the targets as the library has them."
    draft.lists["animals"].append(entry)
