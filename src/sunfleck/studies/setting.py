"""One animal's receivers with the light at them: what every question about it starts from."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.animals import AnimalBrief
from sunfleck.brief.build import Brief
from sunfleck.studies.channels import Channel, ChannelField, Facing
from sunfleck.studies.day import LitSet
from sunfleck.studies.footholds import envelope
from sunfleck.studies.in_air import AS_RATED, LightInAir
from sunfleck.studies.interreflection import Interior
from sunfleck.studies.light import LightField, light_taken_over
from sunfleck.studies.reach import Reach, reach_of
from sunfleck.studies.receivers import Place, Strip, place_words, places_on, strips_for
from sunfleck.units import System, format_quantity

Point = tuple[float, float, float]
UP = (0.0, 0.0, 1.0)
NEAR = 0.06


@dataclass(frozen=True)
class Setting:
    """Light on one animal.

    Attributes
    ----------
    brief, animal, lit
        The plan, whose back it is, and the lamps lit when floors are judged.
    strips : tuple of Strip
        What it can rest on.
    offsets : tuple of int
        Where each strip's points begin among the receivers.
    places : tuple of Place
        Every place one body long.
    reach : Reach
        Where its back can get to.
    points : (n, 3) float
        All strips' points and then the reach points. [m]
    closely : (n,) bool
        Which of them are looked at closely.
    interior : Interior
        The inside of the box as it reflects.
    in_air : LightInAir
        What tubes give in the air that they burn in, where the climate is known.
    """

    brief: Brief
    animal: AnimalBrief
    lit: LitSet
    strips: tuple[Strip, ...]
    offsets: tuple[int, ...]
    places: tuple[Place, ...]
    reach: Reach
    points: NDArray[np.float64] = field(repr=False, compare=False)
    closely: NDArray[np.bool_] = field(repr=False, compare=False)
    interior: Interior = field(repr=False, compare=False)
    in_air: LightInAir = AS_RATED
    _fields: dict[tuple[str, str, bool], ChannelField] = field(
        default_factory=dict, repr=False, compare=False
    )

    @cached_property
    def light(self) -> LightField:
        """Light at all of `points`, facing up; a question about air alone does not ask for it."""
        return light_taken_over(self.brief, self.points, UP, self.interior, self.closely)

    def in_its_air(self, in_air: LightInAir) -> Setting:
        """The same animal under lamps that burn in their own air; light that was computed is taken over."""
        if in_air == self.in_air:
            return self
        found = replace(self, in_air=in_air, _fields={})
        if "light" in self.__dict__:
            found.__dict__["light"] = self.light
        return found

    def relit(self, brief: Brief, lit: LitSet) -> Setting:
        """The same animal in a changed plan of the same lamps (`lit_alike`): the light is taken over.

        Parameters
        ----------
        brief : Brief
            The changed plan.
        lit : LitSet
            The lamps lit when its floors are judged.

        Returns
        -------
        setting : Setting
            What the light is of is not computed again; a trace of it names the lines of the plan as it was.
        """
        found = replace(self, brief=brief, lit=lit, _fields={})
        found.__dict__["light"] = self.light
        return found

    @property
    def system(self) -> System:
        """Units the plan's owner reads."""
        return self.brief.plan.show_units

    def receivers(self, place: Place) -> NDArray[np.int64]:
        """Receivers of a place."""
        return place.points + self.offsets[place.strip]

    def strip_receivers(self, index: int) -> NDArray[np.int64]:
        """Receivers of a strip where the animal can be."""
        return np.flatnonzero(self.strips[index].valid) + self.offsets[index]

    @property
    def reach_receivers(self) -> NDArray[np.int64]:
        """Receivers of the reach."""
        start = len(self.points) - len(self.reach.points)
        return np.arange(start, len(self.points))

    @property
    def everywhere(self) -> NDArray[np.int64]:
        """Receivers of the reach and of every strip: what lies on a perch is within reach too."""
        resting = [self.strip_receivers(index) for index in range(len(self.strips))]
        return np.concatenate([self.reach_receivers, *resting])

    def channel(self, channel: Channel, facing: Facing, *, all_lamps: bool = False) -> ChannelField:
        """Light of one channel: of the lamps lit in the fullest hours as planned, or of all at full level.

        Tubes burn in the air in which they give least, or, all of them at full level, in which they give most.
        """
        key = (channel, facing, all_lamps)
        if key not in self._fields:
            lit = None if all_lamps else self.lit.levels
            in_air = self.in_air.most if all_lamps else self.in_air.least
            self._fields[key] = self.light.channel(
                channel, facing, lit, as_planned=not all_lamps, in_air=in_air
            )
        return self._fields[key]

    def words(self, place: Place) -> str:
        """Say where a place is."""
        return place_words(self.strips[place.strip], place.points, self.system)

    def middle(self, place: Place) -> Point:
        """Where the back is in the middle of a place, (3,). [m]"""
        return as_point(self.points[self.receivers(place)].mean(axis=0))

    def point(self, receiver: int) -> Point:
        """Where one receiver is, (3,). [m]"""
        return as_point(self.points[receiver])

    def point_words(self, receiver: int) -> str:
        """Say where one receiver is."""
        return self.words_at(self.points[receiver])

    def words_at(self, point: NDArray[np.float64]) -> str:
        """Say where a point of the box is, (3,)."""
        return ", ".join(
            f"{axis} {format_quantity(float(value), 'length', self.system)}"
            for axis, value in zip("xyz", point, strict=True)
        )

    @property
    def has_uv(self) -> bool:
        """Whether any lamp of the plan gives UV; without one, zero UV says nothing about the plan."""
        return any("uvi" in fixture.outputs for fixture in self.brief.fixtures)

    def near_a_lamp(self, receiver: int) -> bool:
        """Whether a receiver is so near to a lamp that a thin line or flat disc is a poor picture of it."""
        point = self.points[receiver][None, :]
        return any(float(envelope(fixture).distance(point)[0]) < NEAR for fixture in self.brief.fixtures)

    def basking_place(self) -> Place | None:
        """The place with most radiant heat from lamps, or with most light where none heats.

        Where the animal will bask is not known; this is where the plan asks it to. Chosen by what comes
        straight from the lamps: what is given back is too even to prefer one place over its neighbour.
        """
        heating = {name: 1.0 for name in self.lit.names if name in self.heating}
        candidates = [place for place in self.places if self.strips[place.strip].kind != "hide"]
        # A mat or cable heats from below and gives a back nothing: then it is the light that draws the animal.
        ways: tuple[tuple[Channel, dict[str, float]], ...] = (("radiant", heating), ("lux", self.lit.levels))
        for channel, lit in ways:
            middle = self.light.channel(channel, "normal", lit, reflected=False).middle
            scores = [float(middle[self.receivers(place)].mean()) for place in candidates]
            if lit and scores and max(scores) > 0:
                return candidates[int(np.argmax(scores))]
        return None

    def warmest_point(self, place: Place) -> int:
        """The receiver of a place that gets most radiant heat of the lamps that heat, or of those lit where none does."""
        receivers = self.receivers(place)
        lit = {name: 1.0 for name in self.lit.names if name in self.heating}
        warm = self.light.channel("radiant", "normal", lit or self.lit.levels).middle[receivers]
        return int(receivers[int(np.nanargmax(warm))])

    @property
    def heating(self) -> tuple[str, ...]:
        """Names of the lamps the animal basks under."""
        return tuple(fixture.name for fixture in self.brief.fixtures if fixture.heats)


def as_point(point: NDArray[np.float64]) -> Point:
    """Return a place (3,) as plain numbers. [m]"""
    x, y, z = (float(value) for value in point)
    return (x, y, z)


def setting_for(brief: Brief, animal: AnimalBrief, lit: LitSet, interior: Interior) -> Setting:
    """Place an animal's receivers and compute the light at them.

    Parameters
    ----------
    brief : Brief
        The resolved plan.
    animal : AnimalBrief
        Whose back it is.
    lit : LitSet
        The lamps lit when floors are judged.
    interior : Interior
        The inside of the box as it reflects; shared by all animals.

    Returns
    -------
    setting : Setting
        Ready to be asked.
    """
    strips = strips_for(brief, animal)
    offsets = tuple(int(n) for n in np.cumsum([0, *(len(strip.points) for strip in strips[:-1])]))
    reach = reach_of(brief, animal)
    points = np.concatenate([*(strip.points for strip in strips), reach.points])
    # Of hides it is asked whether they are dark, and of perches and ledges what lies on them.
    closely = [np.full(len(strip.points), strip.kind != "ground") for strip in strips]
    near = np.concatenate([*closely, np.zeros(len(reach.points), dtype=bool)])
    places = tuple(places_on(strips, animal.snout_vent.value))
    return Setting(brief, animal, lit, strips, offsets, places, reach, points, near, interior)
