"""Where the heat goes, in watts and in degrees, and what it costs."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sunfleck.studies.climate.model import ClimateModel
from sunfleck.studies.climate.seasons import Season
from sunfleck.studies.climate.worlds import SeasonWorlds
from sunfleck.studies.trace import Number, Step, number_of_step

Floats = NDArray[np.float64]

METHOD = "mean of the day that repeats itself, every factor at its middle"
# Lamps at full level lift the air of an enclosure by less than this where it is as open as the room. [K]
NO_RISE = 0.02
DAYS_A_MONTH = 365.25 / 12
JOULES_PER_KWH = 3.6e6


@dataclass(frozen=True)
class HeatBalance:
    """Where heat goes in one season, in the hours of the day.

    Attributes
    ----------
    season : str
        In a builder's words.
    key : str
        In result ids.
    numbers : tuple of Number
        ``drawn``, ``kept``, ``sun``, ``walls``, ``openings``, ``long_wave``, ``stored`` [W], ``rise`` [K], ``loss`` [W/K],
        ``changes`` [1/h], ``month`` [kWh].
    lamps : tuple of (str, float, float)
        Of each lamp what it draws, and by how much what stays of it lifts the air on average. [W], [K]
    """

    season: str
    key: str
    numbers: tuple[Number, ...]
    lamps: tuple[tuple[str, float, float], ...]

    def number(self, name: str) -> float:
        """A number by the last part of its id."""
        return next(number.value for number in self.numbers if number.id.endswith(f".{name}"))


def balances_of(model: ClimateModel, seasons: tuple[SeasonWorlds, ...]) -> tuple[HeatBalance, ...]:
    """Book the heat of every season.

    Parameters
    ----------
    model : ClimateModel
        The plan.
    seasons : tuple of SeasonWorlds
        Its seasons.

    Returns
    -------
    balances : tuple of HeatBalance
        One a season. What is drawn is what is kept and what leaves as light or beside the box; what is kept is what
        leaves by walls, openings and long wave, and what is stored.
    """
    return tuple(_balance(model, worlds) for worlds in seasons)


def _balance(model: ClimateModel, worlds: SeasonWorlds) -> HeatBalance:
    day, minutes = worlds.day, model.hours(worlds.season).minutes("day")
    level = day.level[minutes].mean(axis=0)
    drawn = sum(float(x) * watts.electric for x, watts in zip(level, model.watts, strict=True))
    kept = sum(float(x) * watts.kept for x, watts in zip(level, model.watts, strict=True))
    sun = float(sun_kept(model, worlds.season)[minutes].mean())
    names = ("by_openings", "through_walls", "by_long_wave")
    openings, walls, long_wave = (float(day.sum_of(name)[minutes].mean()) for name in names)
    volume = model.column.volume
    room = model.room(worlds.season).temperature.reshape(-1, 2).mean(axis=1)[minutes]
    rise = float((day.air[minutes] @ volume / volume.sum() - room).mean())
    lost = openings + walls + long_wave
    loss = lost / rise if rise > NO_RISE else float("nan")
    flow = float((day.sum_of("flow") + day.sum_of("swapped"))[minutes].mean())
    month = (
        float((worlds.middle.drawn * np.array([w.electric for w in model.watts])).sum())
        / 1000.0
        * DAYS_A_MONTH
    )
    id_ = f"heat:{worlds.season.key}"
    values = [
        ("drawn", "what the lamps draw", drawn, "W"),
        ("kept", "what of it stays in the box as heat", kept, "W"),
        ("sun", "what of the sun stays in the box as heat", sun, "W"),
        ("walls", "what goes out through walls and panes", walls, "W"),
        ("openings", "what goes out with the air", openings, "W"),
        ("long_wave", "what goes out through open meshes as long-wave heat", long_wave, "W"),
        ("stored", "what ground, walls and furnishing take in", kept + sun - lost, "W"),
        ("rise", "how much warmer its air is than the room", rise, "K"),
        ("changes", "air changes", flow * 3600.0 / float(volume.sum()), "1/h"),
        ("month", "electricity in a month of such days", month, "kWh"),
    ]
    if np.isfinite(loss):
        values.append(("loss", "what the box loses for each degree", loss, "W/K"))
    numbers = tuple(_number(f"{id_}.{name}", label, value, unit) for name, label, value, unit in values)
    lamps = tuple(
        (watts.fixture, watts.electric, float(x) * watts.kept / loss if np.isfinite(loss) else 0.0)
        for x, watts in zip(level, model.watts, strict=True)
    )
    return HeatBalance(worlds.season.words, worlds.season.key, numbers, lamps)


def _number(id_: str, label: str, value: float, unit: str) -> Number:
    return number_of_step(id_, Step(label, value, unit, "computed", (), METHOD, "derived"))


def sun_kept(model: ClimateModel, season: Season) -> Floats:
    """What stays in the box of the sun, minute by minute, (1440,). [W]"""
    sun = model.box(season).sun
    return np.asarray((sun.power * sun.share.sum(axis=1)).sum(axis=1).reshape(-1, 2).mean(axis=1))


def in_a_builders_words(balance: HeatBalance, model: ClimateModel) -> Iterator[str]:
    """Yield the heat balance as a builder tells it."""
    drawn, kept, sun = (balance.number(n) for n in ("drawn", "kept", "sun"))
    if not drawn and not sun:
        yield f"{balance.season} nothing heats it: on average it is as warm as its room"
        return
    rise = balance.number("rise")
    shines = f", and {sun:.0f} W of sun" if sun else ""
    yield (
        f"{balance.season} the lamps draw {drawn:.0f} W; {kept:.0f} W stay as heat{shines}, and the air is on average "
        f"{abs(rise):.1f} K {'warmer' if rise >= 0 else 'cooler'} than the room"
    )
    walls, openings, long_wave, stored = (
        balance.number(n) for n in ("walls", "openings", "long_wave", "stored")
    )
    kept_back = (
        f"{stored:.0f} W are stored until evening"
        if stored >= 0
        else f"{-stored:.0f} W come out of what was stored"
    )
    yield (
        f"it leaves through walls and panes {walls:.0f} W, with the air {openings:.0f} W, through open meshes as "
        f"long-wave heat {long_wave:.0f} W; {kept_back}"
    )
    if not any(number.id.endswith(".loss") for number in balance.numbers):
        yield "the box is about as warm as the room whatever burns: no figure for each degree can be given"
        return
    loss = balance.number("loss")
    yield f"this box loses {loss:.0f} W for each degree, openings among them; {balance.number('changes'):.1f} air changes an hour"
    heating = [
        k for k, fixture in enumerate(model.brief.fixtures) if fixture.heats and model.watts[k].electric > 0
    ]
    for k in heating:
        watts = model.watts[k]
        more = watts.kept / watts.electric * 25.0 / loss
        radiates = (
            f"{watts.radiant / watts.electric:.0%} of what it draws is radiation, most of it on the spot"
        )
        yield f"{balance.season} 25 W more in {watts.fixture} would add {more:.1f} K to the air on average; {radiates}"
