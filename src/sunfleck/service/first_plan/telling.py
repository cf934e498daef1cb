"""Why things are where they are, with what came out; and what a plan leaves open, with what would help."""

from __future__ import annotations

from dataclasses import replace

from sunfleck.brief.givens import number
from sunfleck.library.entries.rules import SpaceRule
from sunfleck.service.first_plan.looking import Look
from sunfleck.service.first_plan.proposal import LeftOpen, Reason
from sunfleck.service.first_plan.warming import values_of
from sunfleck.studies.report import Verdict
from sunfleck.units import System, format_quantity

SEASONS = (("winter", "in winter"), ("summer", "in summer"))
LAY_BOX = 0.25


def reasons_of(look: Look) -> tuple[Reason, ...]:
    """Reasons of every placement, lamps with what comes of them."""
    system = look.drawn.wanted.system
    found = []
    for reason in look.drawn.draft.reasons:
        more = ""
        if reason.path.startswith("fixtures/") and "uv tube" in reason.path:
            more = _uv_words(look)
        elif reason.path.startswith("fixtures/") and "basking lamp" in reason.path:
            more = _spot_words(look, system)
        found.append(replace(reason, reason=f"{reason.reason}{more}") if more else reason)
    return tuple(found)


def _uv_words(look: Look) -> str:
    floor, most = values_of(look.verdict("uv-floor")), values_of(look.verdict("uv-ceiling"))
    told = []
    if "expected" in floor:
        told.append(f"least on its body {floor['expected']:.1f} ({floor['low']:.1f} to {floor['high']:.1f})")
    if "expected" in most:
        told.append(f"most within reach {most['expected']:.1f} ({most['low']:.1f} to {most['high']:.1f})")
    return f" Computed UV index: {', '.join(told)}." if told else ""


def _spot_words(look: Look, system: System) -> str:
    spot = values_of(look.verdict("basking-spot"))
    told = [
        f"{words} {_degrees(spot[f'{key}_expected'], system)} ({_degrees(spot[f'{key}_low'], system)} to "
        f"{_degrees(spot[f'{key}_high'], system)})"
        for key, words in SEASONS
        if f"{key}_expected" in spot
    ]
    return f" Computed surface: {', '.join(told)}." if told else ""


def left_open_of(look: Look) -> tuple[LeftOpen, ...]:
    """What the plan does not do: verdicts that do not meet, things without room, and what no plan of this kind holds."""
    found = [_of_a_verdict(look, verdict) for verdict in look.verdicts if verdict.state != "meets"]
    found += look.drawn.draft.left_open
    found += _of_the_animal(look)
    return tuple(found)


def _of_a_verdict(look: Look, verdict: Verdict) -> LeftOpen:
    question = verdict.id.split(":")[0]
    words = [verdict.sentence]
    room = _by_the_room(look, verdict)
    if room:
        words.append(room)
    elif question in ("uv-floor", "uv-ceiling", "uv-bracket"):
        words.append(
            "Lamps that nobody has read differ by a factor of about 2 either way: read each with a UV index meter, write it "
            "into the plan (`evidence`), and hang them by that; until then they hang on the safe side"
        )
    elif question == "warm-end" and _narrower_than_what_is_known(verdict):
        words.append(
            "the band is narrower than what anybody knows of air beside a warmed place (2.5 K, common practice): at best it "
            "is `unknown`; hang a shaded probe there for a day"
        )
    if verdict.advice and not room:
        words.append(verdict.advice)
    return LeftOpen(verdict.question, "; ".join(words), verdict.id)


def _by_the_room(look: Look, verdict: Verdict) -> str:
    """Where the room alone is too warm: no box that only lamps warm is cooler than its room ever is."""
    question, wanted = verdict.id.split(":")[0], look.drawn.wanted
    if question not in ("night", "cool-end", "gradient", "one-failure"):
        return ""
    values = values_of(verdict)
    ceiling = values.get("comfort_ceiling", values.get("ceiling"))
    if question == "one-failure":
        return ""
    if ceiling is None:
        return ""
    coolest = wanted.summer - wanted.drop
    if question != "night":
        # By day a box cannot be cooler than the room is on average over the day, unless it is cooled.
        coolest = wanted.summer - wanted.drop / 2
    if coolest <= ceiling:
        return ""
    system = wanted.system
    by = format_quantity(coolest - ceiling, "temperature_difference", system, 1)
    when = "by night" if question == "night" else "on average over the day"
    return (
        f"no plan cures that: the room is at {_degrees(coolest, system)} {when} in summer, {by} above the "
        f"{_degrees(ceiling, system)} wanted at most, and a box with lamps is never cooler than its room; cool the room, or keep "
        "another animal in it"
    )


def _narrower_than_what_is_known(verdict: Verdict) -> bool:
    values = values_of(verdict)
    return "floor" in values and values["comfort_ceiling"] - values["floor"] < 3.2


def _of_the_animal(look: Look) -> list[LeftOpen]:
    wanted, found = look.drawn.wanted, []
    animal, system = wanted.animal, wanted.system
    found += _space(look)
    if wanted.sex == "female" and wanted.stage == "adult" and str(animal.breeding.value) == "digs":
        deep = format_quantity(LAY_BOX, "length", system, 0)
        found.append(
            LeftOpen(
                "lay box",
                f"She digs to lay, with or without a male: a lay box of about {deep} of damp ground that holds its shape is "
                "not in this plan (common practice, no source).",
            )
        )
    if str(animal.keeping.value) in ("pairs", "groups"):
        found.append(
            LeftOpen(
                "company",
                f"The library has it kept in {animal.keeping.value}; this plan holds one, and places for more are yours to add.",
            )
        )
    if not wanted.keeper:
        found.append(
            LeftOpen(
                "targets",
                "Nobody stands for the targets yet: they are the library's, part of them from memory. Look at them once and "
                "accept them.",
            )
        )
    return found


def _space(look: Look) -> list[LeftOpen]:
    """Rules of the library on the size of the box, told and not refused."""
    wanted, library, found = look.drawn.wanted, look.ready.brief.library, []
    genus = wanted.species.split()[0]
    names = {wanted.species, genus, str(wanted.animal.family.value)}
    if str(wanted.animal.kind.value) == "snake":
        names.add(
            "snakes under 1.5 m" if number(wanted.animal.total_length_typical) < 1.5 else "snakes over 1.5 m"
        )
    for rule in library.space_rules.values():
        if str(rule.applies_to.value) in names:
            lacks = _lacking(look, rule)
            if lacks:
                where = f"{rule.kind.value}, {rule.place.value}" + (
                    f" {rule.year.value}" if rule.year is not None else ""
                )
                found.append(
                    LeftOpen(
                        "size of the box",
                        f"Smaller than {rule.name.value} are to have ({where}): {', '.join(lacks)}. A floor, never a target; "
                        "what holds where you live is yours to look up.",
                    )
                )
    return found


def _lacking(look: Look, rule: SpaceRule) -> list[str]:
    wanted = look.drawn.wanted
    system, (wide, deep, tall) = wanted.system, wanted.size
    unit = wanted.length
    if rule.unit_length is not None and rule.unit_length.value == "total length":
        unit *= number(wanted.animal.total_length_typical) / number(wanted.animal.snout_vent_typical)
    found = []
    long, short = max(wide, deep), min(wide, deep)
    for has, factor, least, word in (
        (long, rule.length_factor, rule.length, "length"),
        (short, rule.width_factor, rule.width, "width"),
        (tall, rule.height_factor, rule.height, "height"),
    ):
        asks = number(least) if least is not None else number(factor) * unit if factor is not None else 0.0
        if has < asks - 1e-6:
            found.append(
                f"{word} {format_quantity(asks, 'length', system, 0)}, here {format_quantity(has, 'length', system, 0)}"
            )
    if rule.floor_area is not None and wide * deep < number(rule.floor_area) - 1e-6:
        asks_for, has_got = (
            format_quantity(x, "area", system) for x in (number(rule.floor_area), wide * deep)
        )
        found.append(f"floor {asks_for}, here {has_got}")
    return found


def _degrees(kelvin: float, system: System) -> str:
    return format_quantity(kelvin, "temperature", system)
