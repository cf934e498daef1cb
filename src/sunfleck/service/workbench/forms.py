"""What can be changed of a part by hand: its fields as they are written, and those that it does not have yet."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Literal

from sunfleck.document.compare import value_at
from sunfleck.document.reader import Document, Path
from sunfleck.library.loader import Library

Kind = Literal["text", "point", "face", "points", "list", "hours", "choice", "flag", "readings", "band"]
Sections = tuple[str, ...]


@dataclass(frozen=True)
class Choice:
    """One answer that can be given: as it is written, and as a keeper reads it."""

    value: str
    label: str


@dataclass(frozen=True)
class Shape:
    """What a field holds.

    Attributes
    ----------
    key : str
        Under the part, steps parted by dots.
    kind : str
        ``text`` (a value with its unit), ``point`` (x, y, z), ``face`` (along, up), ``points``, ``list``, ``hours``,
        ``choice``, ``flag``, ``readings`` (below a lamp),
        ``band`` (from, to).
    sections : tuple of str
        Of the library, that a choice is of.
    words : tuple of str
        What a choice is of otherwise.
    first : object
        What is written where the field is added.
    """

    key: str
    kind: Kind
    sections: Sections = ()
    words: tuple[str, ...] = ()
    first: Any = ""


@dataclass(frozen=True)
class Field:
    """A field of one part.

    Attributes
    ----------
    path : tuple
        Where it stands in the plan.
    shape : Shape
        What it holds.
    value : object
        Text, or lists of text, as written; None where it is not there.
    choices : tuple of Choice
        Of a choice.
    """

    path: Path
    shape: Shape
    value: Any
    choices: tuple[Choice, ...] = ()


FACES = ("left", "right", "front", "back", "bottom", "top")
_WALL = (
    Shape("material", "choice", ("materials", "panes"), first="plywood-birch"),
    Shape("thickness", "text", first="15 mm"),
    Shape("finish", "choice", ("finishes",), first="plywood-sealed"),
)
SHAPES: Mapping[str, tuple[Shape, ...]] = {
    "fixtures": (
        Shape("lamp", "choice", ("lamps",)),
        Shape("from", "point"),
        Shape("to", "point"),
        Shape("at", "point"),
        Shape("aim", "point"),
        Shape("hours", "hours", first=["08:00", "20:00"]),
        Shape("winter_hours", "hours", first=["09:00", "18:00"]),
        Shape("level", "text", first="100 %"),
        Shape("control.kind", "choice", words=("dimming", "pulse", "on-off")),
        Shape("control.target", "text"),
        Shape("control.cut_out", "text", first="45 degC"),
        Shape("control.probe", "point"),
        Shape("control.band", "text", first="1 K"),
        Shape("guard", "choice", ("guards",)),
        Shape("travel", "text", first="15 cm"),
        Shape("roll", "text", first="0 deg"),
        Shape("age", "text", first="0 h"),
        Shape("tether", "flag", first="true"),
        Shape("evidence", "readings", first=[{"distance": "?", "uvi": "?", "with": "own meter"}]),
    ),
    "perches": (
        Shape("wood", "choice", ("woods",)),
        Shape("path", "points"),
        Shape("diameter", "list"),
    ),
    "ledges": (
        Shape("at", "point"),
        Shape("size", "point"),
        Shape("finish", "choice", ("finishes",)),
    ),
    "hides": (
        Shape("at", "point"),
        Shape("size", "point"),
        Shape("opening", "choice", words=("left", "right", "front", "back")),
    ),
    "plants": (
        Shape("species", "choice", ("plants",)),
        Shape("crown.middle", "point"),
        Shape("crown.radius", "text"),
        Shape("crown.height", "text"),
        Shape("leaf_area", "text"),
        Shape("leaf.length", "text"),
        Shape("leaf.width", "text"),
        Shape("pot.diameter", "text", first="20 cm"),
        Shape("pot.height", "text", first="18 cm"),
    ),
    "backgrounds": (
        Shape("face", "choice", words=FACES),
        Shape("thickness", "text"),
        Shape("finish", "choice", ("finishes",)),
        Shape("core", "choice", ("materials",)),
        Shape("at", "face", first=["10 cm", "10 cm"]),
        Shape("size", "face", first=["50 cm", "50 cm"]),
    ),
    "bowls": (
        Shape("at", "point"),
        Shape("diameter", "text"),
        Shape("height", "text"),
        Shape("size", "point"),
    ),
    "stations": (Shape("at", "point"),),
    "doors": (
        Shape("face", "choice", words=FACES),
        Shape("kind", "choice", words=("hinged", "sliding", "lift-out")),
        Shape("at", "face"),
        Shape("size", "face"),
        Shape("material", "choice", ("panes", "materials"), first="glass-float"),
        Shape("swing", "choice", words=("left", "right", "up", "down"), first="left"),
        Shape("thickness", "text", first="6 mm"),
        Shape("gap", "text", first="2 mm"),
        Shape("opens", "text", first="90 deg"),
        Shape("lap", "text", first="2 cm"),
        Shape("handle", "text", first="2 cm"),
    ),
    "vents": (
        Shape("face", "choice", words=FACES),
        Shape("at", "face"),
        Shape("size", "face"),
        Shape("mesh", "choice", ("meshes",)),
    ),
    "fans": (
        Shape("fan", "choice", ("fans",)),
        Shape("face", "choice", words=FACES),
        Shape("at", "face"),
        Shape("blows", "choice", words=("out", "in"), first="out"),
        Shape("level", "text", first="100 %"),
    ),
    "animals": (
        Shape("species", "choice", ("animals",)),
        Shape("sex", "choice", words=("unknown", "female", "male", "mixed"), first="unknown"),
        Shape("stage", "choice", words=("adult", "juvenile", "hatchling"), first="adult"),
        Shape("count", "text", first="1"),
        Shape("snout_vent", "text", first="20 cm"),
        Shape("mass", "text", first="300 g"),
        Shape("accepted.by", "text"),
        Shape("accepted.date", "text"),
        Shape("accepted.uv_floor", "text"),
        Shape("accepted.uv_ceiling", "text"),
        *(
            Shape(f"accepted.{band}", "band", first=["?", "?"])
            for band in ("basking_spot", "warm_end", "cool_end", "night")
        ),
    ),
    "substrate": (
        Shape("depth", "text"),
        Shape("finish", "choice", ("finishes",)),
        Shape("made_of", "choice", ("substrates",), first="sand-washed"),
    ),
    "box": (
        Shape("inside.width", "text"),
        Shape("inside.depth", "text"),
        Shape("inside.height", "text"),
        *(
            Shape(f"walls.{face}.{shape.key}", shape.kind, shape.sections, first=shape.first)
            for face in ("default", *FACES)
            for shape in _WALL
        ),
    ),
    "room": (
        Shape("room.winter", "text", first="20 degC"),
        Shape("room.summer", "text", first="26 degC"),
        Shape("room.coldest", "text", first="17 degC"),
        Shape("room.hottest", "text", first="30 degC"),
        Shape("room.night_drop", "text", first="2 K"),
        Shape("room.humidity_winter", "text", first="35 %"),
        Shape("room.humidity_summer", "text", first="55 %"),
        Shape("latitude", "text", first="50"),
        Shape("tariff.per_kwh", "text", first="0.3"),
        Shape("tariff.currency", "text", first="EUR"),
        Shape("power_cut.lasts", "text", first="6 h"),
    ),
}
# Where each group stands in the plan.
PLACES: Mapping[str, Path] = {
    "doors": ("enclosure", "doors"),
    "vents": ("enclosure", "vents"),
    "fans": ("enclosure", "fans"),
    "box": ("enclosure",),
    "room": ("site",),
}
ONE_OF_A_KIND = ("substrate", "box", "room")
# The library calls an animal by its species, not by an id.
BY_SPECIES = ("animals",)


def place_of(group: str, index: int | None) -> Path:
    """Return the path of a part; of a group with one part only `index` does not count."""
    path = PLACES.get(group, (group,))
    return path if group in ONE_OF_A_KIND or index is None else (*path, index)


def fields_of(
    document: Document, library: Library, group: str, index: int | None
) -> tuple[tuple[Field, ...], tuple[Field, ...]]:
    """Return a part's fields.

    Parameters
    ----------
    document : Document
        The plan as written.
    library : Library
        What choices are of.
    group : str
        Which list of the plan, or ``box``, ``room``, ``substrate``.
    index : int, optional
        Which part of a list, from 0.

    Returns
    -------
    there, absent : tuple of Field
        Those that are written, and those that can be added.
    """
    place = place_of(group, index)
    there: list[Field] = []
    absent: list[Field] = []
    for shape in SHAPES.get(group, ()):
        path = (*place, *shape.key.split("."))
        value = written_at(document, path)
        field = Field(path, shape, value, tuple(_choices(library, shape)))
        (there if value is not None else absent).append(field)
    return tuple(there), tuple(absent)


def written_at(document: Document, path: Path) -> Any:
    """Return what is written at a path, numbers and flags as text; None where nothing is."""
    try:
        return _as_text(value_at(document.data, path))
    except (KeyError, IndexError, TypeError):
        return None


def names_in(document: Document, group: str) -> tuple[str, ...]:
    """Return the names of a group's parts, in the plan's order; of animals without one their species."""
    data: Any = document.data
    for step in PLACES.get(group, (group,)):
        data = data.get(step) if isinstance(data, dict) else None
    if not isinstance(data, list):
        return ()
    return tuple(str(e.get("name") or e.get("species") or "") if isinstance(e, dict) else "" for e in data)


def _as_text(data: Any) -> Any:
    if isinstance(data, list):
        return [_as_text(each) for each in data]
    if isinstance(data, bool):
        return "true" if data else "false"
    return data if isinstance(data, dict) or data is None else str(data)


def _choices(library: Library, shape: Shape) -> Iterator[Choice]:
    for word in shape.words:
        yield Choice(word, word)
    for section in shape.sections:
        for id_, entry in getattr(library, section).items():
            if section in BY_SPECIES:
                yield Choice(str(entry.species.value), f"{entry.common_name.value} ({entry.species.value})")
            else:
                named = getattr(entry, "name", None) or getattr(entry, "species", None)
                yield Choice(id_, str(named.value) if named is not None else id_)
