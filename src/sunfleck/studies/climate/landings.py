"""Where the watts of each lamp go: which surface takes them up, what warms the air, what leaves the box."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.givens import number
from sunfleck.brief.lamps import FixtureBrief
from sunfleck.brief.media import Medium
from sunfleck.physics.exchange import interreflect
from sunfleck.studies.channels import light_of
from sunfleck.studies.climate.shells import Shells
from sunfleck.studies.interreflection import Interior
from sunfleck.studies.watts import shares_through

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Watts:
    """Where the power of one lamp at full level ends.

    Attributes
    ----------
    fixture : str
        The lamp.
    electric : float
        What it draws. [W]
    radiant : float
        What it radiates. [W]
    share : (s,) float
        Share of that which each surface takes up. [-]
    into_air : float
        What it gives the air inside: all that it does not radiate if it hangs inside, and what guards and other
        lamps catch. [W]
    height : float
        Where it does, above the ground. [m]
    inside : bool
        Whether it hangs in the box.
    """

    fixture: str
    electric: float
    radiant: float
    share: Floats
    into_air: float
    height: float
    inside: bool

    @property
    def kept(self) -> float:
        """What stays in the box, or goes through its walls as heat. [W]"""
        return self.into_air + self.radiant * float(self.share.sum())


def watts_of(interior: Interior, shells: Shells) -> tuple[Watts, ...]:
    """Follow the power of every lamp.

    Parameters
    ----------
    interior : Interior
        Where light lands and how it goes on.
    shells : Shells
        Surfaces of even temperature.

    Returns
    -------
    watts : tuple of Watts
        In the order of the fixtures, every factor at its middle.

    Notes
    -----
    What a pane takes up of what falls on it is what it neither reflects nor lets out; what a mesh or an open side lets
    out is gone. The heat of a lamp outside the box that is not radiated stays outside: a hood over it is not modelled.
    """
    return tuple(_watts(interior, shells, fixture) for fixture in interior.brief.fixtures)


def _watts(interior: Interior, shells: Shells, fixture: FixtureBrief) -> Watts:
    brief, lamp = interior.brief, fixture.lamp
    electric = number(lamp.input_power)
    middle = fixture.axis.mean(axis=0) if len(fixture.axis) == 2 and fixture.fixture.to else fixture.axis[0]
    inside = bool(brief.surroundings.inside.contains(middle[None, :])[0])
    radiant = fixture.outputs["radiant"].value if "radiant" in fixture.outputs else 0.0
    share, caught = np.zeros(len(shells.shells)), 0.0
    if radiant > 0:
        share, caught = _shares(interior, shells, fixture, inside=inside)
    into_air = number(lamp.heat_share_air) * electric if inside else 0.0
    height = float(middle[2]) - float(brief.surroundings.ground)
    return Watts(fixture.name, electric, radiant, share, into_air + caught * radiant, height, inside)


def _shares(
    interior: Interior, shells: Shells, fixture: FixtureBrief, *, inside: bool
) -> tuple[Floats, float]:
    """Share of the radiation that each surface takes up, and that guards and lamps inside catch."""
    light = light_of(fixture, "radiant")
    media = interior.lamps[fixture.index].media
    landing = interior.landings[fixture.index]
    through = shares_through(landing, media, light)
    groups, arriving = interior.arriving[fixture.index]
    crossed = (groups[:, None] >> np.arange(len(through))) & 1 == 1
    arrives = arriving @ np.where(crossed, through, 1.0).prod(axis=1)
    reflectance = interior.reflectance(light)
    _, absorbed, _ = interreflect(interior.exchange, reflectance, arrives[:, None])
    taken = absorbed[:, 0] * _kept_by_panes(interior, reflectance, light)
    share = np.zeros(len(shells.shells) + 1)
    np.add.at(share, shells.of_patch, taken)
    first = landing.balance(through)
    caught = float(first.landed[interior.scene.outside])
    for medium, lost in zip(media, first.media, strict=False):
        if medium.id.startswith("guards/"):
            caught += float(lost)
        elif medium.id.startswith("panes/") and not inside:
            share[: len(shells.shells)] += float(lost) * _into_the_pane(interior, shells, medium, light)
    share, caught = share[: len(shells.shells)], caught if inside else 0.0
    # Panes are met at points, the rest by rays: together they may come to a hair more than there is.
    return share / max(1.0, float(share.sum()) + caught), caught


def _kept_by_panes(interior: Interior, reflectance: Floats, light: str) -> Floats:
    """Share of what each patch does not give back that stays in it: of panes the rest goes out. [-]"""
    kept = np.ones(interior.scene.outside)
    surfaces = interior.brief.surroundings.surfaces
    lets = {
        k: _transmittance(interior, surface.reflectance["radiant"].id, light)
        for k, surface in enumerate(surfaces)
        if not surface.opaque and surface.part.kind not in {"vent", "plant"}
    }
    for patch, surface in enumerate(interior.surface_of_patch):
        if int(surface) in lets:
            rest = max(1e-9, 1.0 - float(reflectance[patch]))
            kept[patch] = float(np.clip(1.0 - lets[int(surface)] / rest, 0.0, 1.0))
    return kept


def _transmittance(interior: Interior, id_: str, light: str) -> float:
    """Of the pane whose reflectance has an id, ``panes/ID/...``."""
    pane = interior.brief.library.panes.get(id_.split("/")[1])
    if pane is None:
        return 0.0
    word = "long_wave" if light == "long_wave" else "radiant"
    return number(getattr(pane, f"transmittance_{word}"))


def _into_the_pane(interior: Interior, shells: Shells, medium: Medium, light: str) -> Floats:
    """How what a pane keeps of a lamp beyond it is shared out: what it absorbs, over its pieces by area. [-]"""
    found = np.zeros(len(shells.shells))
    surfaces = interior.brief.surroundings.surfaces
    for k, surface in enumerate(surfaces):
        if surface.reflectance["radiant"].id.startswith(f"{medium.id}/"):
            reflected = surface.reflectance[light].value
            lets = medium.transmittance[light].value
            absorbs = max(0.0, 1.0 - reflected - lets) / max(1e-9, 1.0 - lets)
            patches = np.flatnonzero(interior.surface_of_patch == k)
            weights = np.zeros(len(shells.shells) + 1)
            np.add.at(weights, shells.of_patch[patches], interior.exchange.area[patches] * absorbs)
            found += weights[:-1]
    total = sum(
        float(interior.exchange.area[interior.surface_of_patch == k].sum())
        for k, surface in enumerate(surfaces)
        if surface.reflectance["radiant"].id.startswith(f"{medium.id}/")
    )
    return found / total if total > 0 else found
