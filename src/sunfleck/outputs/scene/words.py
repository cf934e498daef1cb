"""What is said in the picture: one table of sentences, `{…}` filled in where they are shown."""

from __future__ import annotations

from types import MappingProxyType

WORDS = MappingProxyType(
    {
        "scene": "The enclosure in space",
        "keys": "Comma and full stop go from item to item, arrows and Page Up or Down move it, Shift moves ten "
        "steps, Delete removes it. 1 to 5 turn to standard views, plus and minus come nearer or go away, Ctrl "
        "with arrows turns. A points the lamp. Escape lets go.",
        "nothing": "Nothing is selected.",
        "selected": "{name}: {x} from the left, {y} from the front, {z} up.",
        "fixed": "{name}. It is moved in its form, not here.",
        "moved": "{name} moved to {x} from the left, {y} from the front, {z} up.",
        "aiming": "{name}: arrows move the point it is aimed at.",
        "aimed": "{name} is aimed at {x} from the left, {y} from the front, {z} up.",
        "cancelled": "Put back.",
        "left": "from the left",
        "right": "from the right",
        "front": "from the front",
        "back": "from the back",
        "bottom": "up",
        "top": "from the top",
        "meets": "meets",
        "short": "too low",
        "over": "too high",
        "unknown": "not known",
        "section": "Section, drag to move",
        "raise": "Drag up or down",
        "aim": "Drag to aim",
        "tap": "Tap to move in the picture",
        "no-3d": "This browser cannot draw in 3D here. Every place and value is in the lists beside this picture.",
    }
)


def scene_words() -> dict[str, str]:
    """Return the sentences."""
    return dict(WORDS)
