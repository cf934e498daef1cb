"""Check a brief: ask every question about every animal."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import cached_property

from sunfleck import __version__
from sunfleck.brief.build import Brief
from sunfleck.studies import deviations, interreflection, reach
from sunfleck.studies.climate.report import CLIMATE_QUESTIONS, NOT_COMPUTED, ClimateReport
from sunfleck.studies.day import fullest
from sunfleck.studies.exposures import exposures_of
from sunfleck.studies.in_air import AS_RATED, LightInAir
from sunfleck.studies.interreflection import Interior
from sunfleck.studies.lamps_hung import box_words, lamps_hung
from sunfleck.studies.left_open import CAUTIONS, open_points
from sunfleck.studies.passage.questions import QUESTIONS as PASSAGE_QUESTIONS
from sunfleck.studies.passage.questions import verdicts_of
from sunfleck.studies.passage.study import PassageReport
from sunfleck.studies.questions import (
    heat_patch,
    house_route,
    lamp_clearance,
    lamp_guard,
    profile,
    uv_arrives,
    uv_bracket,
    uv_ceiling,
    uv_floor,
    uv_retreat,
)
from sunfleck.studies.readings import readings_of
from sunfleck.studies.report import Report, Verdict
from sunfleck.studies.setting import Setting, setting_for
from sunfleck.studies.subjects import Question, for_some_animals, unanswered

OF_ANIMALS = (profile, uv_arrives, uv_floor, uv_bracket, uv_ceiling, uv_retreat, heat_patch, lamp_guard)
OF_THE_BOX = (lamp_clearance, house_route)
QUESTIONS: tuple[Question, ...] = (*OF_ANIMALS, *OF_THE_BOX)

IN_AIR = (
    "tubes give what they give in the air they burn in: floors take the season in which that is least, ceilings that in "
    "which it is most; maps and `--light` take lamps as rated",
)


def check_brief(
    brief: Brief,
    interior: Interior,
    climate: ClimateReport | None = None,
    passage: PassageReport | None = None,
) -> Report:
    """Answer every question about every animal of a plan.

    Parameters
    ----------
    brief : Brief
        The resolved plan.
    interior : Interior
        The inside of its box as it reflects.
    climate : ClimateReport, optional
        Its heat and air; without it nothing is said of them.
    passage : PassageReport, optional
        How its parts go through the doors; without it nothing is said of that.

    Returns
    -------
    report : Report
        Verdicts, exposures and what was not checked.
    """
    lit = fullest(brief)
    heat = (climate.in_air, climate.settings) if climate is not None else ()
    asked = _Asked(brief, interior, *heat)
    verdicts = asked.verdicts()
    questions: tuple[Question, ...] = QUESTIONS
    of_animals: tuple[Question, ...] = OF_ANIMALS
    if climate is not None:
        verdicts = _by_animal([*verdicts, *climate.verdicts])
        questions, of_animals = (*QUESTIONS, *CLIMATE_QUESTIONS), (*OF_ANIMALS, *CLIMATE_QUESTIONS)
    if passage is not None:
        verdicts = [*verdicts, *verdicts_of(passage)]
        questions = (*questions, *PASSAGE_QUESTIONS)
    exposures = [exposure for setting in asked.settings for exposure in exposures_of(setting)]
    of_plan, of_program = unanswered(verdicts, questions)
    partly = for_some_animals(verdicts, of_animals, [animal.name for animal in brief.animals])
    left_out = [] if climate is None else [f"heat: {words}" for words in NOT_COMPUTED]
    left_out += [words for part in (deviations, interreflection, reach) for words in part.left_out(brief)]
    matrix = brief.matrix
    notices = (
        "light straight from the lamps and what walls and furnishing give back, UV to its first reflection",
        "readings are taken as read below the lamp's middle, bare unless they say `through`",
        f"ranges hold 90 % of {matrix.rows} possible worlds drawn from {len(matrix.factors)} uncertain factors "
        f"(seed {matrix.seed}); `explain` names each",
        "floors are judged in the hours named above, ceilings with every lamp on at full level",
        *(IN_AIR if climate is not None and climate.in_air.least else ()),
    )
    return Report(
        plan=brief.plan.name,
        lit=lit.words(),
        box=box_words(brief),
        lamps=lamps_hung(brief),
        verdicts=tuple(verdicts),
        accepted={animal.name: animal.accepted for animal in brief.animals},
        exposures=tuple(exposures),
        readings=readings_of(brief),
        open_points=(*of_plan, *partly, *open_points(brief), *(_beside_passage(passage) if passage else ())),
        not_computed=(*of_program, *left_out),
        cautions=CAUTIONS,
        notices=notices,
        version=__version__,
        library_hash=brief.source.library.hash,
    )


def _beside_passage(passage: PassageReport) -> Iterator[str]:
    """What is asked of no door, in one line."""
    if passage.parts and passage.left_out:
        yield f"through the door: {'; '.join(passage.left_out)}"


def _by_animal(verdicts: list[Verdict]) -> list[Verdict]:
    """Those of one animal together, in the order in which animals come first."""
    order = list(dict.fromkeys(verdict.animal for verdict in verdicts))
    return sorted(verdicts, key=lambda verdict: order.index(verdict.animal))


def verdicts_if_met(
    brief: Brief, interior: Callable[[], Interior], id_: str, in_air: LightInAir = AS_RATED
) -> tuple[Verdict | None, tuple[Verdict, ...] | None]:
    """Answer one question first, and all the others only if its verdict meets.

    Parameters
    ----------
    brief : Brief
        The resolved plan.
    interior : callable
        Makes the inside of its box as it reflects, when it is needed.
    id_ : str
        The verdict that must meet.
    in_air : LightInAir, optional
        What tubes give in the air that they burn in; as rated when left out.

    Returns
    -------
    first : Verdict or None
        That verdict; None where the plan no longer has it, or where a quick look shows that it does not meet.
    verdicts : tuple of Verdict or None
        All of them, the same as in the report; None where the first does not meet.
    """
    question, _, key = id_.partition(":")
    if question == uv_ceiling.ID and any(
        uv_ceiling.surely_fails(brief, animal) for animal in brief.animals if animal.key == key
    ):
        return None, None
    asked = _Asked(brief, interior(), in_air)
    first = next((verdict for verdict in asked.one(id_)), None)
    if first is None or first.state != "meets":
        return first, None
    return first, tuple(asked.verdicts())


class _Asked:
    """Questions about one plan; the light on each animal is computed when the first of them needs it."""

    def __init__(
        self,
        brief: Brief,
        interior: Interior,
        in_air: LightInAir = AS_RATED,
        settings: tuple[Setting, ...] | None = None,
    ) -> None:
        self.brief, self.interior, self.lit = brief, interior, fullest(brief)
        self._in_air, self._settings = in_air, settings

    @cached_property
    def settings(self) -> tuple[Setting, ...]:
        """One an animal."""
        found = self._settings or tuple(
            setting_for(self.brief, animal, self.lit, self.interior) for animal in self.brief.animals
        )
        return tuple(setting.in_its_air(self._in_air) for setting in found)

    def one(self, id_: str) -> Iterator[Verdict]:
        """The verdict with an id, if it is given."""
        question = id_.split(":", maxsplit=1)[0]
        of_the_box = [each for each in OF_THE_BOX if question == each.ID]
        if of_the_box:
            found = [each.ask(self.brief) for each in of_the_box]
        else:
            asked = [each for each in OF_ANIMALS if question == each.ID]
            found = [each.ask(setting) for setting in self.settings for each in asked]
        yield from (verdict for verdict in found if verdict is not None and verdict.id == id_)

    def verdicts(self) -> list[Verdict]:
        """All of them: animal by animal, then the box."""
        found = [question.ask(setting) for setting in self.settings for question in OF_ANIMALS]
        found += [question.ask(self.brief) for question in OF_THE_BOX]
        return [verdict for verdict in found if verdict is not None]
