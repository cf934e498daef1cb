"""Where a lamp's power ends: on which surface, in which sheet, in which plant, outside."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any

import numpy as np

from sunfleck.brief.lamps import FixtureBrief
from sunfleck.brief.media import Medium
from sunfleck.physics.exchange import interreflect
from sunfleck.physics.shoot import Landing
from sunfleck.studies.channels import Channel, light_of
from sunfleck.studies.interreflection import Interior


@dataclass(frozen=True)
class PowerBalance:
    """Where the output of one fixture ends in one channel, in the unit of its output.

    Attributes
    ----------
    fixture, channel : str
        Whose output, of which light.
    output : float
        All of it, as dimmed in the plan.
    taken_up : dict of str to float
        By surface: absorbed, after what is given back has been followed to its end. Of a pane or mesh, what it
        absorbs or lets out of the light that has been reflected before.
    kept_by_sheets : dict of str to float
        By pane, mesh and guard: what it keeps of the light that comes straight from the lamp, absorbed or sent
        back.
    on_lamps : float
        What falls on the bodies of the other lamps.
    outside : float
        What gets out of the box.
    """

    fixture: str
    channel: str
    output: float
    taken_up: dict[str, float]
    kept_by_sheets: dict[str, float]
    on_lamps: float
    outside: float

    def to_dict(self) -> dict[str, Any]:
        """Return it as plain values, for JSON."""
        return {**asdict(self), "total": self.total}

    @property
    def total(self) -> float:
        """Everything that is booked; the output, if nothing is lost."""
        booked = sum(self.taken_up.values()) + sum(self.kept_by_sheets.values())
        return booked + self.on_lamps + self.outside


def power_balances(interior: Interior, channel: Channel = "radiant") -> tuple[PowerBalance, ...]:
    """Book the output of every fixture that gives light of a channel.

    Parameters
    ----------
    interior : Interior
        The inside of the box as it reflects.
    channel : str, default radiant
        Which light; outputs are watts for ``radiant``. [-]

    Returns
    -------
    balances : tuple of PowerBalance
        In the order of the fixtures, every factor at its middle.

    Notes
    -----
    A pane's own mirror image of a lamp is booked with the pane and not followed.
    """
    lit = [fixture for fixture in interior.brief.fixtures if channel in fixture.outputs]
    return tuple(_balance(interior, fixture, channel) for fixture in lit)


def _balance(interior: Interior, fixture: FixtureBrief, channel: Channel) -> PowerBalance:
    light = light_of(fixture, channel)
    landing, media = interior.landings[fixture.index], interior.lamps[fixture.index].media
    output = fixture.outputs[channel].value * fixture.level.value
    first = landing.balance(shares_through(landing, media, light))
    inside = interior.scene.outside
    _, absorbed, lost = interreflect(
        interior.exchange, interior.reflectance(light), first.landed[:inside, None]
    )
    surfaces = interior.brief.surroundings.surfaces
    taken_up = dict.fromkeys((surface.name for surface in surfaces), 0.0)
    for surface, power in zip(interior.surface_of_patch, absorbed[:, 0], strict=True):
        taken_up[surfaces[surface].name] += output * float(power)
    kept = {medium.label: 0.0 for medium in media}
    for medium, power in zip(media, first.media, strict=False):
        kept[medium.label] += output * float(power)
    return PowerBalance(
        fixture=fixture.name,
        channel=channel,
        output=output,
        taken_up=taken_up,
        kept_by_sheets=kept,
        on_lamps=output * float(first.landed[inside]),
        outside=output * float(first.landed[inside + 1] + lost[0]),
    )


def shares_through(
    landing: Landing, media: tuple[Medium, ...], light: str
) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """Share that each group of media lets through squarely, as often as the light crosses it."""
    shares = [medium.transmittance[light].value ** medium.crossings for medium in media]
    return np.array(shares + [1.0] * (len(landing.arriving) - len(shares)))
