"""Does the library know the animal at all?"""

from __future__ import annotations

from sunfleck.studies.report import Verdict
from sunfleck.studies.setting import Setting

ID = "profile"
SUBJECT = "profile"
LACKS = "every animal has a profile"


def ask(setting: Setting) -> Verdict | None:
    """Say that an animal without a profile is not judged, whatever else is said; None for one that has one."""
    animal = setting.animal
    if animal.profile is not None:
        return None
    plan = setting.brief.plan.animals[setting.brief.animals.index(animal)]
    sentence = f"{plan.species} is not in the library: what it needs is not known here, and no other species stands in for it"
    family = setting.brief.library.families.get((plan.family or "").lower())
    if family is not None:
        low, high = (float(value) - 273.15 for value in family.field_body_range.value)  # type: ignore[union-attr]
        count = family.field_body_species.value
        sentence += (
            f"; of its family, {plan.family}, {count} species were found at bodies of {low:.0f} to {high:.0f} degC, "
            "which says little of this one"
        )
    advice = (
        "write its profile into a library folder of your own, with sources; or accept targets of your own "
        "(`accepted: {by: ..., date: ..., uv_floor: ...}`); ask a zoo or a reptile veterinarian"
    )
    return Verdict(
        f"{ID}:{animal.key}", "what is known of it", animal.name, "unknown", sentence, "", (), advice
    )
