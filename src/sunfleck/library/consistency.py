"""What the values of one entry may not say about each other."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

from sunfleck.library.entries import (
    LINE_EMITTERS,
    Animal,
    Entry,
    Finish,
    Guard,
    Lamp,
    Mesh,
    Pane,
    Plant,
    Substrate,
    Wood,
)
from sunfleck.library.entries.lamps import CONTROLLERS
from sunfleck.library.living_consistency import plant_contradictions, substrate_contradictions
from sunfleck.library.values import Sourced

# Shares are written with two or three digits, so arithmetic on them agrees to half of the last.
ROUNDING = 0.005
# Radiant power and heat are written with two digits each, and known no better.
BALANCE = 0.05
NEEDED_BY = {
    "tube": ("length", "glowing_length"),
    "strip": ("length", "glowing_length"),
    "spot": ("beam_angle", "field_angle"),
    "disc": (),
    "heater": (),
}
OF_LINES = ("length", "glowing_length", "cut_off")
OF_SPOTS = ("beam_angle", "field_angle")


def contradictions(entry: Entry) -> list[str]:
    """Return what the values of an entry say against each other.

    Parameters
    ----------
    entry : dataclass
        Any entry of the library.

    Returns
    -------
    faults : list of str
        One sentence each; empty for a sound entry.
    """
    return list(_faults(entry))


def open_share_of_mesh(pitch_u: float, pitch_v: float, wire: float) -> float:
    """Share of a mesh that is open, seen straight on.

    Parameters
    ----------
    pitch_u, pitch_v : float
        From wire to wire in the two directions. [m]
    wire : float
        Diameter of the wire. [m]

    Returns
    -------
    open_share : float
        (1 - wire/pitch_u) (1 - wire/pitch_v). [-]

    Examples
    --------
    Quarter-inch hardware cloth of 0.64 mm wire:

    >>> round(open_share_of_mesh(6.35e-3, 6.35e-3, 0.64e-3), 3)
    0.809
    """
    return (1 - wire / pitch_u) * (1 - wire / pitch_v)


def transmittance_limit(refractive_index: float) -> float:
    r"""Most that a clear sheet can let through straight on, if it absorbed nothing.

    Parameters
    ----------
    refractive_index : float
        Of the sheet, in air. [-]

    Returns
    -------
    transmittance : float
        :math:`(1 - R)/(1 + R)` with :math:`R = ((n - 1)/(n + 1))^2`, all inner reflections added up. [-]

    Examples
    --------
    >>> round(transmittance_limit(1.52), 3)
    0.918

    References
    ----------
    .. [1] Fresnel's equations at normal incidence with the sum over inner reflections, any optics textbook.
    """
    reflected = ((refractive_index - 1) / (refractive_index + 1)) ** 2
    return (1 - reflected) / (1 + reflected)


def _faults(entry: Entry) -> Iterator[str]:
    match entry:
        case Animal():
            yield from _animal(entry)
        case Lamp():
            yield from _lamp(entry)
        case Mesh():
            yield from _open_share(entry)
        case Guard():
            yield from _open_share(entry)
            yield from _bar_gap(entry)
        case Pane():
            yield from _pane(entry)
        case Finish():
            yield from _reflecting(entry)
        case Wood():
            yield from _reflecting(entry)
            yield from _wood(entry)
        case Plant():
            yield from plant_contradictions(entry)
        case Substrate():
            yield from substrate_contradictions(entry)


def _number(value: Sourced) -> float:
    assert isinstance(value.value, (int, float)), f"{value.where} is not a number"
    return float(value.value)


def _animal(animal: Animal) -> Iterator[str]:
    comfort, ceiling = _number(animal.uv_comfort_ceiling), _number(animal.uv_ceiling)
    if comfort > ceiling:
        yield f"uv_comfort_ceiling: {comfort:g} lies above the uv_ceiling of {ceiling:g}"
    retreat = _number(animal.uv_retreat)
    if animal.uv_floor is not None:
        floor = _number(animal.uv_floor)
        if floor >= comfort:
            yield f"uv_floor: {floor:g} is not below the uv_comfort_ceiling of {comfort:g}"
        if retreat >= floor:
            yield f"uv_retreat: {retreat:g} is not below the uv_floor of {floor:g}"
    elif retreat >= comfort:
        yield f"uv_retreat: {retreat:g} is not below the uv_comfort_ceiling of {comfort:g}"
    length = _number(animal.snout_vent_typical)
    if _number(animal.head_width) >= length:
        yield "head_width: wider than head and body are long"
    if _number(animal.hatchling_length) >= length:
        yield "hatchling_length: longer than an adult's head and body"
    if _number(animal.total_length_typical) < length:
        yield "total_length_typical: shorter than head and body"
    yield from _temperatures(animal)


def _temperatures(animal: Animal) -> Iterator[str]:
    """What is warmer than what, by the middle of each band."""
    if bool(animal.basking.value) != (animal.basking_spot is not None):
        yield "basking_spot: wanted where it basks, and nowhere else"
    rising = ("night", "cool_end", "warm_end", "basking_spot")
    given = [(name, _middle(getattr(animal, name))) for name in rising if getattr(animal, name) is not None]
    for (cooler, below), (warmer, above) in pairwise(given):
        if below > above:
            yield f"{cooler}: warmer than the {warmer}"
    low, high = animal.critical_low, animal.critical_high
    for name in ("preferred_body", "voluntary_body", "field_body"):
        value = getattr(animal, name)
        if value is not None and high is not None and _middle(value) >= _number(high):
            yield f"{name}: not below critical_high"
        if value is not None and low is not None and _middle(value) <= _number(low):
            yield f"{name}: not above critical_low"
    if animal.alarm_above is not None and _number(animal.alarm_above) <= _middle(animal.warm_end):
        yield "alarm_above: not above the middle of the warm_end"
    day, night = _middle(animal.humidity_day), _middle(animal.humidity_night)
    if day > night:
        yield "humidity_day: damper than the night"


def _middle(value: Sourced) -> float:
    found = value.value if isinstance(value.value, tuple) else (_number(value),)
    return float(sum(found) / len(found))


def _lamp(lamp: Lamp) -> Iterator[str]:
    kind = str(lamp.emitter.value)
    for name in NEEDED_BY[kind]:
        if getattr(lamp, name) is None:
            yield f"{name}: is missing, and a {kind} needs it"
    foreign = OF_SPOTS if kind in LINE_EMITTERS else OF_LINES
    for name in foreign:
        if getattr(lamp, name) is not None:
            yield f"{name}: a {kind} has none"
    if lamp.length is not None and lamp.glowing_length is not None:
        length, glowing = _number(lamp.length), _number(lamp.glowing_length)
        if glowing > length:
            yield f"glowing_length: {glowing:g} m is more than the length of {length:g} m"
    if lamp.beam_angle is not None and lamp.field_angle is not None:
        beam, field = (math.degrees(_number(angle)) for angle in (lamp.beam_angle, lamp.field_angle))
        if beam >= field:
            yield f"beam_angle: {beam:.3g} deg is not below the field_angle of {field:.3g} deg"
    radiant, electric = _number(lamp.radiant_power), _number(lamp.input_power)
    if radiant > electric:
        yield f"radiant_power: {radiant:g} W is more than the input_power of {electric:g} W"
    # 683 lm/W at 555 nm is the most that any light can have (SI definition of the candela).
    if _number(lamp.luminous_flux) > 683 * radiant:
        yield f"luminous_flux: more than 683 lm for each of its {radiant:g} W"
    share = _number(lamp.heat_share_air)
    if abs(radiant + share * electric - electric) > BALANCE * electric:
        parts = f"{radiant:g} W radiated and {share:g} x {electric:g} W of other heat"
        yield f"heat_share_air: {parts} are {radiant + share * electric:.3g} W, not the input_power of {electric:g} W"
    yield from _driven(lamp)


def _driven(lamp: Lamp) -> Iterator[str]:
    """A lamp may be dimmed if and only if a dimming thermostat may drive it."""
    words, may = str(lamp.controllers.value), bool(lamp.dimmable.value)
    if may != ("dimming" in CONTROLLERS[words]):
        yield f"controllers: {words!r} contradicts a lamp that may {'be' if may else 'not be'} dimmed (`dimmable`)"


def _open_share(part: Mesh | Guard) -> Iterator[str]:
    pitches = (_number(part.pitch_u), _number(part.pitch_v))
    wire = _number(part.wire)
    if wire >= min(pitches):
        yield f"wire: {wire:g} m leaves nothing open at a pitch of {min(pitches):g} m"
        return
    expected = open_share_of_mesh(*pitches, wire)
    if abs(_number(part.open_share) - expected) > ROUNDING:
        formula = f"(1 - wire/pitch_u)(1 - wire/pitch_v) = {expected:.3f}"
        yield f"open_share: {_number(part.open_share):g} is not {formula}"


def _bar_gap(guard: Guard) -> Iterator[str]:
    expected = _number(guard.pitch_u) - _number(guard.wire)
    if abs(_number(guard.bar_gap) - expected) > 5e-5:
        yield f"bar_gap: {_number(guard.bar_gap):g} m is not pitch_u - wire = {expected:g} m"


def _pane(pane: Pane) -> Iterator[str]:
    limit = transmittance_limit(_number(pane.refractive_index))
    for name in (
        "transmittance_uv",
        "transmittance_visible",
        "transmittance_radiant",
        "transmittance_long_wave",
    ):
        through = _number(getattr(pane, name))
        if through > limit:
            most = f"with the reflection at both faces it can be {limit:.3f} at most"
            yield f"{name}: {through:g} is too much; {most}"

    # What a sheet lets through of long-wave heat it does not take up, and what it takes up it gives off (Kirchhoff).
    given_off, through = _number(pane.emissivity), _number(pane.transmittance_long_wave)
    if given_off + through > 1.0:
        yield f"emissivity: {given_off:g} and the transmittance_long_wave of {through:g} come to more than 1"


def _wood(wood: Wood) -> Iterator[str]:
    if wood.use.value == "never":
        if wood.working_stress is not None:
            yield "working_stress: nothing is to rest on a wood that is never to be used"
    elif wood.density is None:
        yield "density: is missing, and only a wood that is never to be used may do without"


def _reflecting(part: Finish | Wood) -> Iterator[str]:
    for name in ("reflectance_uv", "reflectance_visible", "reflectance_radiant"):
        if _number(getattr(part, name)) > 0.99:
            yield f"{name}: no surface gives back {_number(getattr(part, name)):g} of what it gets"
