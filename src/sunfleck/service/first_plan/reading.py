"""From answers as written to what they mean, or to every problem they have."""

from __future__ import annotations

import re
from dataclasses import dataclass, fields
from typing import Any

from sunfleck.brief.givens import number
from sunfleck.document.problem import Problem, nearest
from sunfleck.errors import UnitError
from sunfleck.library.entries import Animal
from sunfleck.library.loader import Library
from sunfleck.plan.quantities import (
    InsideLength,
    Latitude,
    PlainNumber,
    Quantity,
    Temperature,
    TemperatureDifference,
)
from sunfleck.service.first_plan.answers import AnswerError, Answers
from sunfleck.service.first_plan.options import Question, questions
from sunfleck.units import System, format_quantity, parse_quantity
from sunfleck.units.table import Kind

FILE = "answers"
_BETWEEN = re.compile(r"\s*[x×*]\s*|\s+by\s+", re.IGNORECASE)
_BARE = re.compile(r"[0-9]+(?:\.[0-9]+)?")
_ENDS_IN_A_UNIT = re.compile(r"[0-9.]\s*([A-Za-z]+|'|\")\s*$")
WAYS = ("width", "depth", "height")
LONGEST_NAME = 80


@dataclass(frozen=True)
class Wanted:
    """What the answers mean, in SI units.

    Attributes
    ----------
    animal : Animal
        The library's entry.
    species : str
        Its scientific name.
    sex, stage : str
        As a plan writes them.
    length : float
        Of head and body. [m]
    size : (float, float, float)
        Inside width, depth, height. [m]
    written_size : (str, str, str)
        The same in the units that the plan is written in.
    door_kind, door_face : str
        As a plan writes them.
    material, finish : str
        Of the walls; no finish of glass.
    winter, summer, drop : float
        The room by day in both, and how much cooler it is by night. [K]
    latitude : float or None
        North positive. [deg]
    system : str
        ``metric`` or ``us``.
    name, keeper : str
        Of the enclosure, and who stands for the targets, or "".
    """

    animal: Animal
    species: str
    sex: str
    stage: str
    length: float
    size: tuple[float, float, float]
    written_size: tuple[str, str, str]
    door_kind: str
    door_face: str
    material: str
    finish: str
    winter: float
    summer: float
    drop: float
    latitude: float | None
    system: System
    name: str
    keeper: str


def wanted_from(answers: Answers, library: Library) -> Wanted:
    """Read answers.

    Parameters
    ----------
    answers : Answers
        As given.
    library : Library
        Whose animals, boards and finishes can be answered.

    Returns
    -------
    wanted : Wanted
        In SI units.

    Raises
    ------
    AnswerError
        With every problem, in the order of the questions.
    """
    reader = _Reader(answers, library)
    found = reader.read()
    if reader.problems:
        raise AnswerError(reader.problems)
    assert found is not None
    return found


class _Reader:
    """Reads answer by answer and keeps every problem."""

    def __init__(self, answers: Answers, library: Library) -> None:
        self.answers, self.library = answers, library
        self.problems: list[Problem] = []
        self.asked = {question.field: question for question in questions(library)}
        self.lines = {field.name: k for k, field in enumerate(fields(Answers), start=1)}

    def problem(self, field: str, rule: str, needed: str, fix: str | None = None) -> None:
        wrote = self.text(field)[:100] or "nothing"
        where = f"{field} ({self.asked[field].label})"
        self.problems.append(Problem(rule, where, self.lines[field], 1, wrote, needed, fix, FILE))

    def text(self, field: str) -> str:
        value = getattr(self.answers, field)
        return value.strip() if isinstance(value, str) else str(value)

    def read(self) -> Wanted | None:
        system: System = "us" if self.chosen("show_units") == "us" else "metric"
        species = self.chosen("species")
        entry = next((e for e in self.library.animals.values() if e.species.value == species), None)
        who = self.chosen("who") or "adult"
        size = self.size()
        doors, built = self.chosen("doors"), self.chosen("built_of")
        winter = self.quantity("room_winter", "temperature", Temperature)
        summer = self.quantity("room_summer", "temperature", Temperature)
        drop = self.quantity("night_drop", "temperature_difference", TemperatureDifference)
        if winter is not None and summer is not None and summer < winter:
            self.problem(
                "room_summer",
                "answers.room",
                f"a room no cooler than in winter ({self.text('room_winter')})",
                self.text("room_winter"),
            )
        latitude = self.latitude()
        name, keeper = self.name("name"), self.name("keeper")
        given = (entry, size, doors, built, winter, summer, drop)
        if self.problems or any(each is None for each in given):
            return None
        assert entry is not None
        assert size is not None
        assert doors
        assert built
        assert winter is not None
        assert summer is not None
        assert drop is not None
        assert species is not None
        sex, stage = _sex_and_stage(who)
        kind, face = doors.split()
        material, _, finish = built.partition("/")
        return Wanted(
            entry,
            species,
            sex,
            stage,
            _length_of(entry, stage),
            size,
            self.written(size, system),
            kind,
            face,
            material,
            finish,
            winter,
            summer,
            drop,
            latitude,
            system,
            name or _named_after(entry),
            keeper,
        )

    def chosen(self, field: str) -> str | None:
        """An answer of a list: by its value, or by its label whatever the case."""
        question: Question = self.asked[field]
        text = self.text(field)
        for choice in question.choices:
            if text == choice.value or text.casefold() in (choice.value.casefold(), choice.label.casefold()):
                return choice.value
        values = [choice.value for choice in question.choices]
        near = nearest(text, values) or nearest(text.casefold(), values)
        listed = ", ".join(values)
        self.problem(field, "answers.choice", f"one of: {listed}", near or question.default)
        return None

    def quantity(self, field: str, kind: Kind, bounds: object) -> float | None:
        text = self.text(field)
        try:
            value = parse_quantity(text, kind)
        except UnitError as error:
            self.problem(field, "answers.quantity", error.needed, error.fix)
            return None
        limits = _limits(bounds)
        if not limits.low <= value <= limits.high:
            self.problem(field, "answers.range", limits.span)
            return None
        if kind == "temperature_difference" and value < 0:
            self.problem(field, "answers.range", "how much cooler the room is by night, from 0 up", "2 K")
            return None
        return value

    def size(self) -> tuple[float, float, float] | None:
        text = self.text("size")
        needed = "three inside sizes, width x depth x height, each with its unit"
        parts = [part.strip() for part in _BETWEEN.split(text)] if len(text) <= 120 else []
        if len(parts) != len(WAYS):
            self.problem("size", "answers.size", needed, self.asked["size"].example)
            return None
        # "160 x 70 x 100 cm" is how a builder writes it: the last unit is that of all three.
        last = _ENDS_IN_A_UNIT.search(parts[2])
        if last and _BARE.fullmatch(parts[0]) and _BARE.fullmatch(parts[1]):
            parts = [f"{parts[0]} {last[1]}", f"{parts[1]} {last[1]}", parts[2]]
        limits, found = _limits(InsideLength), []
        for way, part in zip(WAYS, parts, strict=True):
            try:
                value = parse_quantity(part, "length")
            except UnitError as error:
                self.problem("size", "answers.size", f"{way}: {error.needed}", error.fix)
                continue
            if not limits.low <= value <= limits.high:
                self.problem("size", "answers.range", f"{way}: {limits.span}")
            elif value < SMALLEST:
                shown = format_quantity(SMALLEST, "length")
                self.problem(
                    "size", "answers.range", f"{way}: at least {shown}; in less nothing can be placed"
                )
            found.append(value)
        return (
            (found[0], found[1], found[2])
            if len(found) == len(WAYS) and not self.problems_of("size")
            else None
        )

    def problems_of(self, field: str) -> bool:
        return any(problem.where.startswith(f"{field} ") for problem in self.problems)

    def latitude(self) -> float | None:
        text = self.text("latitude")
        if not text:
            return None
        limits = _limits(Latitude)
        bare = re.fullmatch(r"([-+]?[0-9]{1,3}(?:\.[0-9]{1,6})?)\s*(?:°|deg)?\s*([NSns])?", text)
        value = float(bare[1]) * (-1.0 if bare[2] in ("S", "s") else 1.0) if bare else None
        if value is None or not limits.low <= value <= limits.high:
            self.problem("latitude", "answers.latitude", f"{limits.span}; or nothing", "45")
            return None
        return value

    def name(self, field: str) -> str:
        text = self.text(field)
        if len(text) > LONGEST_NAME or any(not each.isprintable() for each in text):
            self.problem(field, "answers.name", f"at most {LONGEST_NAME} characters that can be printed")
            return ""
        return text

    def written(self, size: tuple[float, float, float], system: System) -> tuple[str, str, str]:
        """As the user wrote them, where that is in the units of the plan."""
        found = []
        parts = [part.strip() for part in _BETWEEN.split(self.text("size"))]
        for part, value in zip(parts, size, strict=True):
            own = (
                part.endswith(("cm", "mm", "m"))
                if system == "metric"
                else part.endswith(("in", '"', "ft", "'"))
            )
            found.append(
                part if own and not _BARE.fullmatch(part) else format_quantity(value, "length", system, 2)
            )
        return (found[0], found[1], found[2])


SMALLEST = 0.20
"""Least inside measure that anything is placed in. Our decision. [m]"""


def _limits(annotated: Any) -> Quantity | PlainNumber:
    """The bounds that the plan's own format has for a quantity."""
    found = annotated.__metadata__[0]
    assert isinstance(found, (Quantity, PlainNumber))
    return found


def _sex_and_stage(who: str) -> tuple[str, str]:
    words = who.split()
    stage = words[0]
    return (words[1] if len(words) > 1 else "unknown"), stage


# Half grown: a juvenile is taken at half of an adult's length. Common practice, no source.
OF_A_JUVENILE = 0.5


def _length_of(animal: Animal, stage: str) -> float:
    if stage == "hatchling":
        return number(animal.hatchling_length)
    return number(animal.snout_vent_typical) * (OF_A_JUVENILE if stage == "juvenile" else 1.0)


def _named_after(animal: Animal) -> str:
    return f"Enclosure for the {animal.common_name.value}"
