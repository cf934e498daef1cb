"""What hangs where: the lamps of a plan in words, for whoever buys and hangs them."""

from __future__ import annotations

from collections.abc import Iterator

from sunfleck.brief.build import Brief
from sunfleck.brief.lamps import FixtureBrief
from sunfleck.studies.day import clock
from sunfleck.units import format_quantity


def lamps_hung(brief: Brief) -> tuple[str, ...]:
    """Return a sentence for each lamp: what it is, where it hangs, what it hangs in, when it is lit.

    Parameters
    ----------
    brief : Brief
        The resolved plan.

    Returns
    -------
    lamps : tuple of str
        In the plan's order.
    """
    lamps = tuple("; ".join(_of(brief, fixture)) for fixture in brief.fixtures)
    return (*lamps, *_between(brief)) if lamps else ()


def box_words(brief: Brief) -> str:
    """Say how large the box is inside, and how places in it are told."""
    inside = brief.plan.enclosure.inside
    size = " x ".join(_length(brief, value) for value in (inside.width, inside.depth, inside.height))
    return (
        f"Inside {size} (width, depth, height). Places count from the inside front left bottom corner: x to the right, "
        "y to the back, z up; of a tube its axis, of a bulb its opening."
    )


def _between(brief: Brief) -> Iterator[str]:
    """Meshes and panes that light passes."""
    plan, library = brief.plan, brief.library
    for vent in plan.enclosure.vents:
        yield f"{vent.name}, {vent.face}: {library.meshes[vent.mesh].name.value} ({vent.mesh}); light through it is counted"


def _of(brief: Brief, fixture: FixtureBrief) -> Iterator[str]:
    hung = fixture.fixture
    yield f"{fixture.name}: {fixture.lamp.name.value} ({hung.lamp})"
    if hung.at is not None and hung.aim is not None:
        yield f"hung at {_point(brief, hung.at)}, aimed at {_point(brief, hung.aim)}"
    elif hung.from_ is not None and hung.to is not None:
        yield f"hung from {_point(brief, hung.from_)} to {_point(brief, hung.to)}"
    if hung.travel is not None:
        half = _length(brief, hung.travel / 2)
        yield f"on a bracket with {_length(brief, hung.travel)} of travel, in its middle ({half} up, {half} down)"
    else:
        yield "no travel of its bracket is stated"
    if hung.guard is not None:
        yield f"in a {brief.library.guards[hung.guard].name.value}"
    if hung.control is not None:
        target = format_quantity(hung.control.target, "temperature", brief.plan.show_units)
        thermostat = f"on a {hung.control.kind} thermostat set to {target}"
        if hung.control.cut_out is not None:
            cut_out = format_quantity(hung.control.cut_out, "temperature", brief.plan.show_units)
            thermostat = f"{thermostat}, cut-out {cut_out}"
        yield f"{thermostat}, probe at {_point(brief, hung.control.probe)}"
    if hung.hours is not None:
        yield "lit " + " and ".join(f"{clock(on)}-{clock(off)}" for on, off in fixture.hours)
    if hung.level < 1.0:
        yield f"dimmed to {hung.level:.0%}"
    if hung.evidence:
        yield f"read {len(hung.evidence)} time{'s' if len(hung.evidence) > 1 else ''}"


def _point(brief: Brief, point: tuple[float, float, float]) -> str:
    return ", ".join(f"{axis} {_length(brief, value)}" for axis, value in zip("xyz", point, strict=True))


def _length(brief: Brief, metres: float) -> str:
    return format_quantity(metres, "length", brief.plan.show_units)
