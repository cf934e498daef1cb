"""What can be answered to each question, in a keeper's words; animals, boards and finishes are the library's."""

from __future__ import annotations

from dataclasses import dataclass, fields

from sunfleck.library.loader import Library, load_library
from sunfleck.service.first_plan.answers import Answers


@dataclass(frozen=True)
class Choice:
    """One answer that can be given.

    Attributes
    ----------
    value : str
        What stands in :class:`Answers`.
    label : str
        What a keeper reads.
    """

    value: str
    label: str


@dataclass(frozen=True)
class Question:
    """One question.

    Attributes
    ----------
    field : str
        Of :class:`Answers`.
    label : str
        The question in a keeper's words.
    choices : tuple of Choice
        What can be answered; empty where anything of the right kind can.
    default : str or None
        What stands where nothing is answered; None where an answer is needed.
    example : str
        How an answer without choices is written.
    """

    field: str
    label: str
    choices: tuple[Choice, ...]
    default: str | None
    example: str = ""


# What covers a board inside, by what the board is; a pane has no finish. Our choice of the library's finishes: those that
# are smooth, so that walls are no footholds.
FINISHES = {
    "plywood-birch": ("plywood-sealed", "paint-white"),
    "plywood-softwood": ("plywood-sealed", "paint-white"),
    "osb-3": ("plywood-sealed", "paint-white"),
    "pvc-foam-board": ("white-pvc-board",),
}
PANES = ("glass-float", "glass-toughened", "acrylic-clear")
WHO = (
    ("adult", "adult, sex not known"),
    ("adult female", "adult female"),
    ("adult male", "adult male"),
    ("juvenile", "juvenile, about half grown"),
    ("hatchling", "hatchling"),
)
DOORS = (
    ("sliding front", "sliding panes in front"),
    ("hinged front", "hinged doors in front"),
    ("lift-out front", "a front that lifts out"),
    ("lift-out top", "a lid that lifts out"),
)
UNITS = (("metric", "centimetres, degrees Celsius"), ("us", "inches, degrees Fahrenheit"))


def options() -> tuple[Question, ...]:
    """Return the questions in the order they are asked, with what can be answered.

    Returns
    -------
    questions : tuple of Question
        One for each field of :class:`Answers`.
    """
    return questions(load_library())


def questions(library: Library) -> tuple[Question, ...]:
    """The questions, with the animals, boards and finishes of a library."""
    asked = {
        "species": ("Which animal?", _animals(library), ""),
        "size": (
            "How large is it inside: width x depth x height?",
            (),
            "160 cm x 70 cm x 100 cm",
        ),
        "who": ("Sex and age?", _choices(WHO), ""),
        "doors": ("How does it open?", _choices(DOORS), ""),
        "built_of": ("What is it built of, and how is it finished inside?", _built(library), ""),
        "room_winter": ("How warm is the room by day in winter?", (), "20 degC"),
        "room_summer": ("How warm is the room by day in summer?", (), "26 degC or 79 degF"),
        "night_drop": ("How much cooler is the room by night?", (), "3 K"),
        "latitude": ("Latitude, north positive; or nothing?", (), "45"),
        "show_units": ("In which units is the plan to be written?", _choices(UNITS), ""),
        "name": ("What is the enclosure called?", (), "Window-side dragon"),
        "keeper": ("Who stands for this animal's targets as the library has them; nobody yet?", (), "Robin"),
    }
    found = []
    for field in fields(Answers):
        label, choices, example = asked[field.name]
        default = field.default if isinstance(field.default, str) else None
        found.append(Question(field.name, label, choices, default, example))
    return tuple(found)


def _choices(pairs: tuple[tuple[str, str], ...]) -> tuple[Choice, ...]:
    return tuple(Choice(value, label) for value, label in pairs)


def _animals(library: Library) -> tuple[Choice, ...]:
    found = [
        Choice(str(entry.species.value), f"{entry.common_name.value} ({entry.species.value})")
        for entry in library.animals.values()
    ]
    return tuple(sorted(found, key=lambda choice: choice.label.casefold()))


def _built(library: Library) -> tuple[Choice, ...]:
    found = []
    for board, finishes in FINISHES.items():
        for finish in finishes:
            label = f"{library.materials[board].name.value}, {library.finishes[finish].name.value} inside"
            found.append(Choice(f"{board}/{finish}", label))
    found += [Choice(pane, str(library.panes[pane].name.value)) for pane in PANES]
    return tuple(found)
