"""What decides whether an enclosure is good, and which of it a report says nothing about."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Protocol

from sunfleck.studies.report import Verdict


class Question(Protocol):
    """A file with one question.

    Attributes
    ----------
    ID : str
        First part of the ids of its verdicts.
    SUBJECT : str
        Which of `SUBJECTS` a verdict of it answers.
    LACKS : str
        What a plan or profile lacks where it gives none.
    """

    ID: str
    SUBJECT: str
    LACKS: str


# Everything a keeper must get right, in the order in which it harms. A question says which of these it answers
# (`SUBJECT`); what no verdict of a report answers was not checked, and stands in the report. Common practice, no source.
SUBJECTS = {
    "profile": "what this species needs",
    "uv-reach": "UV too strong somewhere within reach",
    "uv-place": "enough UV where it basks",
    "uv-retreat": "a place to get away from UV",
    "uv-arrives": "whether UV gets into the box at all",
    "uv-adjust": "room to adjust the UV lamps",
    "burns": "burns from what lamps shine on, and from surfaces it can touch",
    "lamp-guard": "lamps it can touch",
    "lamp-clearance": "leaves, wood and perches too near below a lamp",
    "lamp-surroundings": "what is too near above and beside a lamp: roof, holder, cable, foam",
    "heat-patch": "a warm patch as long as its body",
    "temperatures": "temperatures: basking spot, warm end, cool end, night, summer and winter, heat waves",
    "failures": "what happens when a lamp, thermostat or probe fails, or the power",
    "ventilation": "ventilation: air exchange, dead corners, a closed box that lets nobody breathe",
    "humidity": "humidity, its drying spell, mist, drainage and water",
    "sun": "sun through a window on the box",
    "escape": "escape gaps for the animal, its young and its feeders",
    "electrics": "electrical load, plugs, drip loops and residual-current protection",
    "strength": "strength of perches and their fixings, weight on shelf, stand and floor, tipping",
    "shelter": "hides, lay box and sight lines between animals",
    "size": "whether the box is large enough for this animal as an adult, and by law",
    "passage": "whether every part goes through the door, and comes out again for service",
    "house-route": "whether the box itself gets through the house to its place",
    "plants": "which plants live there and bear the animal, and how they grow",
    "order": "order of work, curing, quarantine and burn-in before the animal moves in",
}


def unanswered(verdicts: Iterable[Verdict], questions: Iterable[Question]) -> tuple[list[str], list[str]]:
    """Return what a report says nothing about.

    Parameters
    ----------
    verdicts : iterable of Verdict
        All of the report.
    questions : iterable of Question
        All that the program can ask.

    Returns
    -------
    of_plan : list of str
        Subjects that the program could judge, each with what the plan or the profile lacks for it.
    of_program : list of str
        Subjects that no question of the program answers.
    """
    subject_of = {question.ID: question.SUBJECT for question in questions}
    answered = {subject_of[verdict.id.split(":")[0]] for verdict in verdicts}
    lacks = {question.SUBJECT: question.LACKS for question in questions}
    # A known animal needs no verdict that it is known.
    open_ = [subject for subject in SUBJECTS if subject not in answered and subject != "profile"]
    of_plan = [f"{SUBJECTS[s]}: {lacks[s]}" for s in open_ if s in lacks]
    return of_plan, [SUBJECTS[s] for s in open_ if s not in lacks]


def for_some_animals(
    verdicts: Iterable[Verdict], questions: Iterable[Question], animals: Iterable[str]
) -> Iterator[str]:
    """Yield what is judged for one animal of the plan and not for another."""
    given = {(verdict.id.split(":")[0], verdict.animal) for verdict in verdicts}
    names = list(animals)
    for question in questions:
        if question.SUBJECT == "profile":
            continue
        without = [name for name in names if (question.ID, name) not in given]
        if without and any((question.ID, name) in given for name in names):
            yield f"{SUBJECTS[question.SUBJECT]}, for {', '.join(without)}: {question.LACKS}"
