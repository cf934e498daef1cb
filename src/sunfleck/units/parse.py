"""Read a quantity or a time of day from text, without ever guessing."""

from __future__ import annotations

import math
import re
from contextlib import suppress
from difflib import get_close_matches

from sunfleck.errors import UnitError
from sunfleck.units.table import UNITS, Kind, Unit, spellings

LONGEST = 60
"""Longest text that is looked at; a longer one is refused before any pattern meets it. [-]"""

LARGEST = 1e15
"""Largest number that is believed, in whatever unit; keeps hostile exponents out of the physics. [-]"""

# Below this an absolute temperature in kelvin is a difference that somebody wrote without saying so.
_COLDEST_IN_KELVIN = 150.0

EXAMPLES: dict[Kind, str] = {
    "length": "30 cm",
    "area": "0.2 m2",
    "volume": "12 US gal",
    "angle": "30 deg",
    "temperature": "27 degC",
    "temperature_difference": "2 K",
    "mass": "220 g",
    "power": "54 W",
    "time": "30 min",
    "fraction": "55 %",
    "uv_index": "3.1 UVI",
}

_SIGNS = str.maketrans(
    {
        "′": "'", "’": "'", "″": '"', "”": '"', "−": "-", "–": "-", "µ": "u", "μ": "u", "℃": "°C", "℉": "°F",
        "¹": "1", "²": "2", "³": "3", "⁻": "-", "·": " ", "⋅": " ", "⁄": "/", "\u00a0": " ", "\u202f": " ",
        "½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8",
    }
)  # fmt: skip
# A raised figure belongs to a unit; after a number ("5²") it would silently become a digit of it.
_RAISED_FIGURE_ALONE = re.compile(r"(?:^|[^A-Za-zµμ⁻])[¹²³⁻]")
# No two parts of these patterns can match the same characters, so they take linear time.
_AMOUNT = re.compile(
    r"\s*(?:(?:(?P<whole>[0-9]{1,6})(?:\s+|-))?(?P<top>[0-9]{1,4})/(?P<bottom>[0-9]{1,4})"
    r"|(?P<decimal>(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE](?P<exponent>[-+]?[0-9]+))?))\s*"
)
_FURTHER_AMOUNT = re.compile(r"\s*[0-9.]")
_NOT_FINITE = re.compile(r"[-+.]*(?:nan|inf)", re.IGNORECASE)
_COMMA = re.compile(r"(?<=[0-9]),(?=[0-9])")
_GROUPED_BY_SPACES = re.compile(r"[0-9]{1,3}(?: [0-9]{3})+(?![0-9/])")
_CLOCK = re.compile(r"([0-9]{1,2}):([0-9]{2})")
_CLOCK_LOOSE = re.compile(r"([0-9]{1,2})(?:[.:h]?([0-9]{2}))?\s*([ap]m)?", re.IGNORECASE)

_BY_KIND: dict[Kind, dict[str, Unit]] = {}
for _found in UNITS:
    for _word in _found.spellings:
        _BY_KIND.setdefault(_found.kind, {})[_word] = _found
_PLAIN_SHARE = Unit("fraction", 1.0, 0.0, ("",))
_TWO_SIZES = ("gal", "gals", "gallon", "gallons", "qt", "quart", "quarts", "fl oz")


def parse_quantity(text: str, kind: Kind) -> float:
    """Read a quantity.

    Parameters
    ----------
    text : str
        As a builder writes it: ``48 in``, ``47 1/2 in``, ``4 ft 2 in``, ``6' 2"``, ``75 degF``.
    kind : str
        What it has to be.

    Returns
    -------
    value : float
        In SI units; temperatures in kelvin.

    Raises
    ------
    UnitError
        If it cannot be read without guessing; the remedy is in `fix`.

    Notes
    -----
    A bare number is accepted for the kind ``fraction`` only. Two amounts are accepted as feet
    and inches only; a sign stands before the whole of it. Text of at most 60 characters and
    numbers of at most 1e15 are read.

    Examples
    --------
    >>> round(parse_quantity("4 ft 2 1/2 in", "length"), 4)
    1.2827
    >>> parse_quantity("55 %", "fraction")
    0.55
    """
    if len(text) > LONGEST:
        needed = f"{named(kind)} of at most {LONGEST} characters"
        raise UnitError(text[:LONGEST] + "...", needed, _example(kind))
    if _RAISED_FIGURE_ALONE.search(text):
        raise UnitError(text, f"{named(kind)}: a raised figure follows a unit, as in m²", _example(kind))
    plain = text.translate(_SIGNS).strip()
    if _NOT_FINITE.match(plain):
        raise UnitError(text, f"{named(kind)} that is a finite number", _example(kind))
    if _COMMA.search(plain):
        raise _comma(text, plain, kind)
    minus = "-" if plain.startswith("-") else ""
    amounts = _amounts(text, plain[1:] if plain[:1] in ("+", "-") else plain, minus, kind)
    unit = amounts[0][1]
    size = sum(amount for amount, _ in amounts)
    value = (-size if minus else size) + unit.offset
    if kind == "temperature":
        _refuse_impossible_temperature(text, f"{minus}{size:.12g}", value, unit)
    return value


def parse_clock(text: str) -> float:
    """Read a time of day, 24-hour; 24:00 is the end of the day.

    Parameters
    ----------
    text : str
        ``08:00``.

    Returns
    -------
    seconds : float
        After midnight. [s]

    Raises
    ------
    UnitError
        If it is no time of day.

    Examples
    --------
    >>> parse_clock("08:30")
    30600.0
    """
    found = _CLOCK.fullmatch(text.strip()) if len(text) <= LONGEST else None
    hours, minutes = (int(found[1]), int(found[2])) if found else (99, 99)
    if minutes > 59 or hours * 60 + minutes > 24 * 60:
        raise UnitError(text[:LONGEST], "a time of day from 00:00 to 24:00", _clock_remedy(text))
    return hours * 3600.0 + minutes * 60.0


def named(kind: Kind) -> str:
    """Return a kind in words with its article: ``an area``, ``a temperature difference``."""
    words = _words(kind)
    return f"an {words}" if words[0] in "aei" else f"a {words}"


def _amounts(text: str, rest: str, minus: str, kind: Kind) -> list[tuple[float, Unit]]:
    """Split into SI numbers (offset left out) with their units; more than one only as feet and inches."""
    amounts: list[tuple[float, Unit]] = []
    place = 0
    if not rest:
        raise UnitError(text, f"{named(kind)}: a number and its unit", _example(kind))
    while place < len(rest):
        found = _AMOUNT.match(rest, place)
        if found is None:
            raise UnitError(text, f"{named(kind)}: a number and its unit", _example(kind))
        number = _number(text, found, kind)
        word, place = _unit_word(rest, found.end())
        shown = minus + found[0].strip()
        if not word and kind != "fraction":
            raise _bare(text, shown, rest, amounts, kind)
        unit = _unit(text, shown, word, kind)
        amounts.append((number * unit.factor, unit))
        # 4'-2": the dash of a drawing stands between feet and inches; anywhere else it is refused.
        if word == "'" and rest[place : place + 1] == "-":
            place += 1
    feet_inches = [unit.spellings[0] for _, unit in amounts] == ["ft", "in"]
    if len(amounts) > 1 and not feet_inches:
        needed = f"one {_words(kind)}" + ("; only feet and inches go together" if kind == "length" else "")
        raise UnitError(text, needed, _example(kind))
    return amounts


def _number(text: str, found: re.Match[str], kind: Kind) -> float:
    if found["decimal"] is not None:
        # The exponent is looked at as text: 1e-400 would come out as a harmless zero.
        exponent = (found["exponent"] or "0").lstrip("+-0") or "0"
        number = float(found["decimal"]) if len(exponent) <= 2 and int(exponent) <= 15 else math.inf
        if number > LARGEST:
            needed = f"{named(kind)} with a number up to 1e15 and an exponent up to 15"
            raise UnitError(text, needed, _example(kind))
        return number
    if int(found["bottom"]) == 0:
        raise UnitError(text, f"{named(kind)}: a fraction over zero is no number", _example(kind))
    return int(found["whole"] or 0) + int(found["top"]) / int(found["bottom"])


def _unit_word(rest: str, place: int) -> tuple[str, int]:
    """Return the longest run that is no further amount: up to a space that a digit follows, or the end."""
    if rest[place : place + 1] in ("'", '"'):
        return rest[place], place + 1
    end = place
    while end < len(rest) and not (rest[end].isspace() and _FURTHER_AMOUNT.match(rest, end)):
        end += 1
    word = " ".join(rest[place:end].split())
    # After a number and its spaces a digit begins a further amount, never a unit.
    return ("", place) if word[:1].isdigit() else (word, end)


def _unit(text: str, shown: str, word: str, kind: Kind) -> Unit:
    units = _BY_KIND[kind]
    found = units.get(word) or units.get(word.rstrip("."))
    if found is not None:
        return found
    if not word:
        return _PLAIN_SHARE
    if kind == "volume" and word.rstrip(".") in _TWO_SIZES:
        size = "fl oz" if word == "fl oz" else "qt" if word.startswith("q") else "gal"
        fix = f"{shown} US {size} or {shown} imp {size}" if size == "gal" else f"{shown} US {size}"
        raise UnitError(text, "a volume that says whether US or imperial", fix)
    if kind == "temperature_difference" and word in ("degF", "°F", "deg F", "F"):
        raise UnitError(text, "a temperature difference, in K, Cdeg or Fdeg", f"{shown} Fdeg")
    if kind == "temperature_difference" and word in ("degC", "°C", "deg C", "C"):
        raise UnitError(text, "a temperature difference, in K, Cdeg or Fdeg", f"{shown} K")
    if kind == "temperature" and word in ("Fdeg", "Cdeg"):
        raise UnitError(text, f"a temperature; {word} is for differences", f"{shown} deg{word[0]}")
    if kind == "temperature" and word in ("C", "F"):
        raise UnitError(text, "a temperature with its unit", f"{shown} deg{word}")
    near = get_close_matches(word[:20], units, n=1) or get_close_matches(word[:20].lower(), units, n=1)
    other = next((u.kind for u in UNITS if word in u.spellings), None)
    if other is None and word.rstrip(".") in _TWO_SIZES:
        other = "volume"
    needed = f"{named(kind)} (units: {', '.join(spellings_shown(kind))})"
    if other is not None:
        needed += f"; {word} is a unit of {_words(other)}"
    # Only the one who wrote it knows the value in a unit of this kind: an example would be a guess.
    raise UnitError(text, needed, f"{shown} {near[0]}" if near and other is None else None)


def _refuse_impossible_temperature(text: str, shown: str, value: float, unit: Unit) -> None:
    if unit.spellings[0] == "K" and value < _COLDEST_IN_KELVIN:
        needed = f"a temperature; below {_COLDEST_IN_KELVIN:g} K it looks like a difference"
        raise UnitError(text, needed, f"{shown} degC")
    if value < 0:
        raise UnitError(text, "a temperature above absolute zero, -273.15 degC", _example("temperature"))


def _bare(text: str, shown: str, rest: str, amounts: list[tuple[float, Unit]], kind: Kind) -> UnitError:
    """Explain a number without a unit, with the remedy that fits where it stands."""
    needed = f"{named(kind)} with its unit"
    if amounts and amounts[-1][1].spellings[0] == "ft":
        fix = f"{shown[: shown.startswith('-')]}{rest.strip()} in"
        return UnitError(text, f"{named(kind)} with a unit after every number", fix)
    grouped = _GROUPED_BY_SPACES.match(rest)
    if grouped:
        fix = shown[: shown.startswith("-")] + grouped[0].replace(" ", "") + rest[grouped.end() :]
        if _readable(fix, kind):
            return UnitError(text, f"{named(kind)} without spaces between digits", fix)
    if not rest.strip().endswith(shown.lstrip("-")):
        return UnitError(text, needed, _example(kind))
    return UnitError(text, needed, " or ".join(f"{shown} {unit}" for unit in _usual(kind)))


def spellings_shown(kind: Kind) -> tuple[str, ...]:
    """Return the printed spelling of every unit of a kind."""
    return tuple(unit.spellings[0] for unit in UNITS if unit.kind == kind)


def _usual(kind: Kind) -> tuple[str, ...]:
    first = spellings_shown(kind)
    wanted = ("cm", "in", "degC", "degF", "g", "K", "Fdeg", "L", "US gal", "m2", "ft2", "min", "h")
    return tuple(unit for unit in wanted if unit in first)[:2] or first[:1]


def _comma(text: str, plain: str, kind: Kind) -> UnitError:
    """Offer the reading with a decimal point and, where digits come in threes, the one without it."""
    readings = [_COMMA.sub(".", plain)]
    if re.search(r"[0-9],[0-9]{3}(?![0-9])", plain):
        readings.append(_COMMA.sub("", plain))
    if plain.count(",") == 1 and "." in plain.split(",", maxsplit=1)[0]:
        # 1.200,5 as much of Europe writes it.
        readings.append(plain.replace(".", "").replace(",", "."))
    readable = [reading for reading in readings if _readable(reading, kind)]
    if not readable:
        # Without a unit as well: the two usual ones.
        units = [unit for unit in _usual(kind) if re.fullmatch(r"[-+]?[0-9.]+", readings[0])]
        readable = [f"{readings[0]} {unit}" for unit in units if _readable(f"{readings[0]} {unit}", kind)]
    needed = f"{named(kind)} with a decimal point; a comma can mean two things"
    return UnitError(text, needed, " or ".join(readable) or _example(kind))


def _readable(text: str, kind: Kind) -> bool:
    with suppress(UnitError):
        parse_quantity(text, kind)
        return True
    return False


def _clock_remedy(text: str) -> str:
    found = _CLOCK_LOOSE.fullmatch(text.strip()) if len(text) <= LONGEST else None
    if found is None:
        return '"08:00"'
    hours, minutes, half = int(found[1]), int(found[2] or 0), (found[3] or "").lower()
    if half:
        hours = hours % 12 + (12 if half == "pm" else 0)
    return f'"{hours:02}:{minutes:02}"' if hours < 24 and minutes < 60 else '"08:00"'


def _words(kind: str) -> str:
    return "UV index" if kind == "uv_index" else kind.replace("_", " ")


def _example(kind: Kind) -> str:
    return EXAMPLES.get(kind, f"1 {spellings(kind)[0]}")
