"""Check a brief: ask every question about every animal."""

from __future__ import annotations

from sunfleck import __version__
from sunfleck.brief.build import Brief
from sunfleck.studies.day import fullest
from sunfleck.studies.exposures import exposures_of
from sunfleck.studies.interreflection import Interior
from sunfleck.studies.left_open import CAUTIONS, NOT_COMPUTED, open_points
from sunfleck.studies.questions import (
    heat_patch,
    lamp_clearance,
    lamp_guard,
    uv_arrives,
    uv_bracket,
    uv_ceiling,
    uv_floor,
    uv_retreat,
)
from sunfleck.studies.readings import readings_of
from sunfleck.studies.report import Exposure, Report, Verdict
from sunfleck.studies.setting import setting_for

QUESTIONS = (uv_arrives, uv_floor, uv_bracket, uv_ceiling, uv_retreat, heat_patch, lamp_guard)


def check_brief(brief: Brief, interior: Interior) -> Report:
    """Answer every question about every animal of a plan.

    Parameters
    ----------
    brief : Brief
        The resolved plan.
    interior : Interior
        The inside of its box as it reflects.

    Returns
    -------
    report : Report
        Verdicts, exposures and what was not checked.
    """
    lit = fullest(brief)
    verdicts: list[Verdict] = []
    exposures: list[Exposure] = []
    for animal in brief.animals:
        setting = setting_for(brief, animal, lit, interior)
        verdicts += [verdict for question in QUESTIONS if (verdict := question.ask(setting)) is not None]
        exposures += exposures_of(setting)
    clearance = lamp_clearance.ask(brief)
    if clearance is not None:
        verdicts.append(clearance)
    matrix = brief.matrix
    notices = (
        "light straight from the lamps and what walls and furnishing give back, UV to its first reflection",
        "readings are taken as read below the lamp's middle, bare unless they say `through`",
        f"ranges hold 90 % of {matrix.rows} possible worlds drawn from {len(matrix.factors)} uncertain factors "
        f"(seed {matrix.seed}); `explain` names each",
        "floors are judged in the hours named above, ceilings with every lamp on at full level",
        "verdicts: over when a safety ceiling is passed in 5 % of worlds or a comfort ceiling in 50 %; short "
        "when the floor is missed in 50 %; meets when 80 % lie inside; otherwise unknown",
    )
    return Report(
        plan=brief.plan.name,
        lit=lit.words(),
        verdicts=tuple(verdicts),
        accepted={animal.name: animal.accepted for animal in brief.animals},
        exposures=tuple(exposures),
        readings=readings_of(brief),
        open_points=open_points(brief),
        not_computed=NOT_COMPUTED,
        cautions=CAUTIONS,
        notices=notices,
        version=__version__,
        library_hash=brief.source.library.hash,
    )
