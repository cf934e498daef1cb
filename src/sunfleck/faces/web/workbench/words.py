"""What the workbench says: one table, in a builder's words; `{…}` is filled in where it is shown."""

from __future__ import annotations

from types import MappingProxyType

WORDS = MappingProxyType(
    {
        "program": "Sunfleck",
        "promise": "Measure twice, order once, and know before you build.",
        # Top of the page.
        "save": "Save",
        "saved": "Saved",
        "unsaved": "Not saved yet; kept in a journal",
        "unkept": "Not saved, and not in the journal: {why}",
        "read-only": "Open for reading: another workbench edits this plan",
        "take-over": "Edit it here",
        "undo": "Undo",
        "redo": "Redo",
        "undo-step": "Undo: {step}",
        "redo-step": "Do again: {step}",
        "units": "Units",
        "metric": "cm, °C",
        "us": "in, °F",
        "theme": "Light or dark",
        "theme-light": "Light",
        "theme-dark": "Dark",
        "theme-auto": "As the system",
        "revert": "Back to the saved plan",
        # The picture.
        "picture": "The enclosure",
        "channel": "Show",
        "uvi": "UV index",
        "lux": "brightness",
        "ppfd": "plant light",
        "radiant": "heat of lamps",
        "hour": "Hour",
        "fullest": "most lamps lit",
        "hour-as": "{hour}, lit: {lamps}",
        "no-lamp": "no lamp",
        "section": "Cut",
        "section-none": "none",
        "section-x": "from the side",
        "section-y": "from the front",
        "section-z": "from above",
        "section-at": "Cut at",
        "reach": "Where its back can get to",
        "probe": "Ask for a value",
        "probe-hint": "Click on a perch, the ground or the cut (or Shift-click at any time).",
        "views": "Look",
        "view-corner": "corner",
        "view-front": "front",
        "view-left": "left",
        "view-right": "right",
        "view-top": "above",
        "before": "As saved, to compare",
        "coarse": "coarse while you drag",
        "settling": "working out the light…",
        "stale": "The plan has a problem; light and verdicts are of the last plan without one.",
        "scale-dark": "0",
        "scale-more": "and more",
        "basis": "Expected {channel} in {unit}, {when}; on perches and floors at the animal's back, facing up; "
        "on the cut and within reach facing where most light comes from.",
        # A value.
        "value-at": "At {place}",
        "value-back": "at the animal's back there",
        "value-range": "{middle}, could be {low} to {high}",
        "value-none": "Inside something solid, or outside of the box: no light to tell.",
        "value-working": "working out…",
        "value-saved": "as saved {middle}",
        "close": "Close",
        # Verdicts.
        "verdicts": "Verdicts",
        "meets": "meets",
        "short": "too low",
        "over": "too high",
        "unknown": "not known: measure",
        "lights-first": "light; heat and air are being worked out…",
        "working": "being worked out…",
        "failed": "Heat and air could not be worked out: {why}",
        "summary": "{meets} of {count} meet",
        "none": "Nothing is judged yet: the plan has no animal with targets.",
        "show-place": "Show the place",
        "what-turns-it": "What turns it?",
        "looking": "Trying changes, each checked in full; up to a minute…",
        "nothing-turns-it": "Nothing that was tried turns it ({tried} plans checked).",
        "take": "Do this",
        "also": "Then also",
        "same-otherwise": "No other verdict changes.",
        "why-there": "Why",
        "not-checked": "Not checked",
        "not-checked-hint": "A target that is met is not yet a safe enclosure.",
        "cautions": "Cautions",
        "not-accepted": "No keeper has put a name to these targets yet.",
        "follow": "With what meters read in the box",
        "rounds": "Follows: {names}",
        "wanted": "wanted",
        "do": "do",
        # Parts.
        "parts": "Parts",
        "part": "Selected",
        "add": "Add",
        "add-what": "Add a part",
        "duplicate": "Copy",
        "delete": "Remove",
        "rename": "Name",
        "hide": "Hide in the picture",
        "unhide": "Show in the picture",
        "show-all": "Show all",
        "more-settings": "Add a setting",
        "readings-hint": "Read below the middle of the lamp, from its lowest point, bare and warmed up for half an hour.",
        "add-reading": "Add a reading",
        "remove-reading": "Take out the last",
        "wrong-value": "{needed}",
        "problems": "Problems",
        "problem-try": "try {fix}",
        "why-here": "Why it is here",
        "text": "The plan as text",
        "text-hint": "What the command line reads. It can be edited here too.",
        "text-apply": "Take the text over",
        # Climate.
        "climate": "Climate",
        "climate-working": "Days and year are being worked out…",
        "climate-missing": "Say how warm the room is in winter and in summer, under Room.",
        "climate-heat": "Where the heat goes",
        # The file.
        "changed-on-disk": "The file was changed outside of this page.",
        "merge": "Take both in",
        "merge-mine": "Where both changed the same lines: mine",
        "merge-theirs": "Where both changed the same lines: the file's",
        "merged": "Both changes are in the plan now.",
        "offered": "{count} changes that were not saved came back, but the file was changed since: {labels}",
        "take-offer": "Take them in",
        "drop-offer": "Throw them away",
        "restored": "{count} changes that were not saved came back: {labels}",
        # A first plan.
        "start": "A new enclosure",
        "start-hint": "Twelve answers at most; a first layout comes of them, each thing with its reason, and yours to change.",
        "propose": "Propose a layout",
        "proposing": "Placing lamps, perches and shelter…",
        "optional": "may be left open",
        "example": "for instance {example}",
        "choose": "choose",
        "improving": "Looking for a better layout: {words}",
        "stop": "Stop",
        "better": "A layout in which more is met was found.",
        "take-better": "Take it",
        "keep-mine": "Keep this one",
        "reasons": "Why everything is where it is",
        "left-open": "What the layout does not do",
        "open-other": "or look at an example",
        "exists": "{file} exists already; give the enclosure another name.",
        "lost": "The workbench has ended. Start it again with `sunfleck open`; nothing that was done is lost.",
    }
)

# Groups and keys of the plan, as a builder calls them.
NAMES = MappingProxyType(
    {
        "fixtures": "Lamps",
        "perches": "Perches",
        "ledges": "Ledges and rocks",
        "hides": "Hides",
        "plants": "Plants",
        "backgrounds": "Background",
        "stations": "Measuring points",
        "substrate": "Ground",
        "animals": "Animals",
        "doors": "Doors",
        "vents": "Vents",
        "fans": "Fans",
        "box": "Box",
        "room": "Room",
        "lamp": "lamp",
        "from": "from",
        "to": "to",
        "at": "at",
        "aim": "aimed at",
        "hours": "on from, to",
        "winter_hours": "in winter on from, to",
        "level": "level",
        "control.kind": "thermostat",
        "control.target": "thermostat holds",
        "control.cut_out": "high-limit cut-out at",
        "control.probe": "probe at",
        "control.band": "width of its band",
        "guard": "lamp guard",
        "travel": "travel of its bracket",
        "roll": "turned about its length",
        "age": "has burned",
        "tether": "on a tether",
        "evidence": "reading you have",
        "distance": "distance",
        "uvi": "UV index",
        "lux": "brightness",
        "with": "read with",
        "wood": "wood",
        "path": "runs through",
        "diameter": "diameter",
        "size": "size",
        "finish": "surface",
        "opening": "opens to the",
        "species": "species",
        "crown.middle": "middle of its crown",
        "crown.radius": "radius of its crown",
        "crown.height": "height of its crown",
        "leaf_area": "leaf area",
        "leaf.length": "length of a leaf",
        "leaf.width": "width of a leaf",
        "face": "on the side",
        "thickness": "thickness",
        "core": "core",
        "kind": "kind",
        "material": "material",
        "swing": "hinges at",
        "gap": "gap",
        "mesh": "mesh",
        "fan": "fan",
        "blows": "blows",
        "sex": "sex",
        "stage": "age",
        "count": "how many",
        "snout_vent": "head and body",
        "mass": "mass",
        "accepted.by": "targets accepted by",
        "accepted.date": "accepted on",
        "accepted.uv_floor": "own UV floor",
        "accepted.uv_ceiling": "own UV ceiling",
        "depth": "depth",
        "made_of": "made of",
        "inside.width": "inside width",
        "inside.depth": "inside depth",
        "inside.height": "inside height",
        "room.winter": "by day in winter",
        "room.summer": "by day in summer",
        "room.coldest": "on the coldest day",
        "room.hottest": "on the hottest day",
        "room.night_drop": "cooler by night",
        "room.humidity_winter": "humidity in winter",
        "room.humidity_summer": "humidity in summer",
        "latitude": "latitude",
        "tariff.per_kwh": "price of a kWh",
        "tariff.currency": "currency",
        "power_cut.lasts": "power may be away for",
        "default": "walls",
        "left": "left wall",
        "right": "right wall",
        "front": "front",
        "back": "back wall",
        "bottom": "floor",
        "top": "ceiling",
    }
)
# Shapes tell verdicts apart before colours do; the picture draws the same: a full disc, a bowl that is not filled to
# its rim, a peak, a broken ring.
SIGNS = MappingProxyType(
    {
        "meets": '<circle cx="10" cy="10" r="6.2"/>',
        "short": '<path d="M3.2 8.6h13.6a6.8 6.8 0 0 1-13.6 0z"/>',
        "over": '<path d="M10 3.2 17.2 15.6H2.8z"/>',
        "unknown": '<circle class="open" cx="10" cy="10" r="5.8" stroke-dasharray="3.4 2.67"/>',
    }
)
# Units as the eye expects them; files and messages of the command line keep to what can be typed.
TYPESET = (
    ("degC", "°C"),
    ("degF", "°F"),
    ("umol/m2/s", "µmol/m²/s"),
    ("W/m2", "W/m²"),
    (" m2", " m²"),
    (" Fdeg", " °F"),
)


def say(key: str, **filled: object) -> str:
    """Return what is said, with its gaps filled."""
    return WORDS[key].format(**filled)


def named(key: str) -> str:
    """Return what a group or a key of the plan is called."""
    if key.startswith("walls."):
        _, face, rest = key.split(".")
        return f"{NAMES[face]}: {NAMES.get(rest, rest)}"
    return NAMES.get(key, key.replace("_", " "))


def typeset(words: str) -> str:
    """Return words with their units as the eye expects them."""
    for written, set_ in TYPESET:
        words = words.replace(written, set_)
    return words


def sign(state: str) -> str:
    """Return the shape of a verdict as SVG."""
    return f'<svg viewBox="0 0 20 20" aria-hidden="true">{SIGNS[state]}</svg>'
