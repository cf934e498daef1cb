"""What the library knows about each kind of thing. Every field is a value with its source."""

from sunfleck.library.entries.animals import Animal
from sunfleck.library.entries.devices import Cooler, Fan, Fogger
from sunfleck.library.entries.lamps import LINE_EMITTERS, Lamp
from sunfleck.library.entries.living import Plant, Substrate
from sunfleck.library.entries.rules import Family, SpaceRule
from sunfleck.library.entries.sheets import Guard, Mesh, Pane
from sunfleck.library.entries.surfaces import Finish, Material, Wood

Entry = (
    Animal
    | Lamp
    | Mesh
    | Guard
    | Pane
    | Finish
    | Wood
    | Material
    | Family
    | SpaceRule
    | Plant
    | Substrate
    | Fan
    | Cooler
    | Fogger
)

__all__ = [
    "LINE_EMITTERS",
    "Animal",
    "Cooler",
    "Entry",
    "Family",
    "Fan",
    "Finish",
    "Fogger",
    "Guard",
    "Lamp",
    "Material",
    "Mesh",
    "Pane",
    "Plant",
    "SpaceRule",
    "Substrate",
    "Wood",
]
