"""Surveys as text: which there are, one with its readings as a table, what became of entries."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from sunfleck.document.problem import Problem
from sunfleck.plan.read_survey import SurveySource
from sunfleck.plan.surveys import QUANTITIES, Instrument, Reading, Reads
from sunfleck.units import Kind, System, format_quantity

KINDS: Mapping[Reads, tuple[Kind, int]] = {
    "uvi": ("uv_index", 2),
    "lux": ("illuminance", 0),
    "ppfd": ("photon_flux_density", 0),
    "surface": ("temperature", 1),
    "air": ("temperature", 1),
    "humidity": ("fraction", 0),
}
WIDEST_NOTE = 40


def survey_list_text(rows: Sequence[tuple[str, SurveySource | None, int, bool]]) -> str:
    """Return surveys as a list: name, readings, who; or how many problems, and whether entries wait."""
    if not rows:
        return "No survey yet; `sunfleck survey new` begins one.\n"
    lines = []
    for name, source, problems, waiting in rows:
        if source is None:
            told = f"{problems} problem{'s' if problems != 1 else ''}; `sunfleck survey show` tells them"
        else:
            number = len(source.survey.readings)
            told = f"{source.survey.kind:<6} {number:>4} reading{'s' if number != 1 else ' '}  {source.survey.by}"
        lines.append(f"{name:<28} {told}{'; entries wait to be taken in' if waiting else ''}")
    return "\n".join(lines) + "\n"


def survey_text(source: SurveySource, system: System, corrections: Mapping[str, float]) -> str:
    """Return a survey as text.

    Parameters
    ----------
    source : SurveySource
        What to show.
    system : str
        ``metric`` or ``us``.
    corrections : mapping of str to float
        By hygrometer, what its salt check says is to be added, as a share. [-]

    Returns
    -------
    text : str
        Head, instruments, readings as they were read, not corrected.
    """
    survey = source.survey
    lines = [f"{source.name}: {survey.kind}, {survey.date}, by {survey.by}"]
    facts = []
    if survey.room is not None:
        facts.append(f"room {format_quantity(survey.room, 'temperature', system, 1)}")
    if survey.room_humidity is not None:
        facts.append(f"humidity of the room {format_quantity(survey.room_humidity, 'fraction', system, 0)}")
    if survey.warm_up is not None:
        facts.append(f"lamps warmed up for {format_quantity(survey.warm_up, 'time', system)}")
    facts.append(f"lit: {_lit(survey.lit) if survey.lit is not None else 'all lamps'}")
    lines.append("  " + "; ".join(facts))
    for name, hours in survey.lamp_hours.items():
        lines.append(f"  {name} has burned {hours / 3600:.0f} h")
    if survey.note:
        lines.append(f"  {_on_one_line(survey.note)}")
    if survey.instruments:
        lines += ["", "Instruments"]
        lines += [f"  {_instrument(each, system, corrections)}" for each in survey.instruments]
    lines += ["", *(_table(survey.readings, system) if survey.readings else ["No readings yet."])]
    return "\n".join(lines) + "\n"


def entered_text(name: str, taken: int, waiting: int, why: Iterable[Problem]) -> str:
    """Return what became of entries."""
    lines = []
    if taken:
        lines.append(f"{taken} entered in {name}.")
    if waiting:
        entries = "1 entry is" if waiting == 1 else f"{waiting} entries are"
        lines.append(f"{entries} kept beside {name}, and taken in by the next command once this is mended:\n")
        lines += [f"{problem}\n" for problem in why]
    return "\n".join(lines) + "\n" if lines else ""


def _instrument(each: Instrument, system: System, corrections: Mapping[str, float]) -> str:
    value, kind = each.accuracy
    if kind == "fraction":
        accuracy = f"{100 * value:.3g} {'points' if 'humidity' in each.reads else '%'}"
    else:
        accuracy = format_quantity(value, "temperature_difference", system, 2)
    told = [f"{each.name}: {', '.join(each.reads)}, two of three within {accuracy}"]
    if each.calibrated is not None:
        told.append(f"calibrated {each.calibrated}")
    if each.factor is not None:
        told.append(f"readings times {each.factor:g}")
    if each.offset is not None:
        off = format_quantity(abs(each.offset), "temperature_difference", system, 2)
        told.append(f"reads {off} too {'much' if each.offset >= 0 else 'little'}")
    if each.name in corrections and each.salt is not None:
        points = 100 * corrections[each.name]
        told.append(f"{abs(points):.1f} points too {'little' if points > 0 else 'much'} over {each.salt}")
    return "; ".join(told)


def _table(readings: Sequence[Reading], system: System) -> list[str]:
    present = [key for key in QUANTITIES if any(key in reading.values for reading in readings)]
    titles = ["at", *(_title(key, system) for key in present), "with", "how"]
    rows = [
        [
            _place(reading, system),
            *(_number(reading, key, system) for key in present),
            reading.with_,
            how_words(reading),
        ]
        for reading in readings
    ]
    widths = [max(len(row[i]) for row in [titles, *rows]) for i in range(len(titles))]
    numbers = range(1, len(present) + 1)
    lines = [
        "  ".join(f"{cell:>{w}}" if i in numbers else f"{cell:<{w}}" for i, (cell, w) in enumerate(zip(row, widths, strict=True)))
        for row in [titles, *rows]
    ]  # fmt: skip
    return [line.rstrip() for line in lines] + ["As read; nothing is corrected here."]


def _title(key: Reads, system: System) -> str:
    kind, digits = KINDS[key]
    unit = format_quantity(300.0, kind, system, digits).split(" ", 1)[1]
    return "UVI" if key == "uvi" else key if key == unit else f"{key} [{unit}]"


def _number(reading: Reading, key: Reads, system: System) -> str:
    if key not in reading.values:
        return ""
    kind, digits = KINDS[key]
    return format_quantity(reading.values[key], kind, system, digits).split(" ", 1)[0]


def _place(reading: Reading, system: System) -> str:
    if isinstance(reading.at, str):
        return reading.at
    return ", ".join(format_quantity(value, "length", system) for value in reading.at)


def how_words(reading: Reading) -> str:
    """Return how a reading was taken where it differs from its survey as a whole, and its note."""
    told = []
    if reading.mesh == "lifted":
        told.append("mesh lifted")
    if reading.lit is not None:
        told.append(f"lit: {_lit(reading.lit)}")
    if reading.hold is not None:
        told.append(f"held {'to the light' if reading.hold == 'to the light' else 'up'}")
    if reading.time is not None:
        told.append(f"{int(reading.time // 3600):02}:{int(reading.time % 3600 // 60):02}")
    if reading.note:
        note = _on_one_line(reading.note)
        told.append(note if len(note) <= WIDEST_NOTE else note[: WIDEST_NOTE - 3] + "...")
    return "; ".join(told)


def _lit(names: Sequence[str]) -> str:
    return ", ".join(names) or "none"


def _on_one_line(text: str) -> str:
    return " ".join("".join(sign if sign.isprintable() else " " for sign in text).split())
