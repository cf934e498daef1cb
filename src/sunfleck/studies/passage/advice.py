"""What lets a part in that does not go in: another order, a leaf off, before a face is on. Each is tried before it is said."""

from __future__ import annotations

import json
import re
from collections.abc import Sequence

from sunfleck.geometry.boxes import FACES, Face
from sunfleck.plan.rules.names import slug
from sunfleck.studies.passage.doors import with_leaves_off, without_face
from sunfleck.studies.passage.order import MOST_BLOCKED, NOTHING, Installation, Moment
from sunfleck.studies.passage.parts import Item

# What YAML reads as something else than a name.
NOT_NAMES = frozenset(("y", "n", "yes", "no", "true", "false", "on", "off", "null", "nan", "inf"))


def remedies(made: Installation, moment: Moment) -> tuple[str, ...]:
    """What lets a part in that does not go in.

    Parameters
    ----------
    made : Installation
        The plan's parts and doors.
    moment : Moment
        When it does not go in.

    Returns
    -------
    remedies : tuple of str
        In words, with the order to paste where it is one: with that, what goes in now still does.
    """
    item = moment.item
    alone = made.alone(item).goes
    if slug(item.part) in {slug(name) for name in made.plan.order}:
        words = _before_another(made, moment) if alone else ""
        if words:
            return (words,)
    elif alone and not moment.blocked_by:
        words = _first_of_all(made, item)
        if words:
            return (words,)
    if moment.answer is None:
        # What it goes in without is named by what blocks it.
        if alone and not moment.blocked_by:
            return ("bring it in before what is in its way: alone it goes in (tried)",)
        return ()
    found = []
    leaves = with_leaves_off(made.plan)
    if leaves and made.asker.past(item, leaves, NOTHING) is not None:
        found.append("take the door leaf off (tried: it goes in then)")
    for face in dict.fromkeys(entrance.face for entrance in made.entrances):
        words = _before_a_face(made, item, face)
        if words:
            found.append(words)
    return tuple(found)


def _before_another(made: Installation, moment: Moment) -> str:
    """Of a stated order: before the last of what stands past which it goes in, if all that follows does so past it."""
    item = moment.item
    standing = [other for name in moment.standing for other in made.items if other.name == name]
    for count in range(len(standing) - 1, max(-1, len(standing) - 1 - MOST_BLOCKED), -1):
        if not made.at(item, standing[:count]).goes:
            continue
        if not _still_go(made, [*standing[:count], item], standing[count:]):
            return ""
        before = standing[count].part
        order = [name for name in made.plan.order if slug(name) != slug(item.part)]
        places = [slug(name) for name in order]
        if slug(before) not in places:
            return ""
        order.insert(places.index(slug(before)), item.part)
        tried = f"tried: past what stands until then it goes in; {order_words(order)} says so"
        return f"put it in before {before} ({tried})"
    return ""


def _first_of_all(made: Installation, item: Item) -> str:
    """Before all others, if these go in past it."""
    going = [moment.item for moment in made.moments if moment.goes and moment.item is not item]
    if made.plan.order or not _still_go(made, [item], going):
        return ""
    order = order_words([item.part])
    return f"put it in before the others (tried: it goes in then, and they past it; {order} says so)"


def _still_go(
    made: Installation, standing: Sequence[Item], others: Sequence[Item], too: Sequence[Face] = ()
) -> bool:
    """Whether some parts go in one after the other past what stands, through some open faces too."""
    return all(
        made.at(each, [*standing, *others[:k]], [*_open_after(made, each), *too]).goes
        for k, each in enumerate(others)
    )


def _open_after(made: Installation, item: Item) -> list[Face]:
    """Faces that the stated order puts on after a part."""
    named, _ = made.stages
    place = next((k for k, entry in enumerate(named) if entry is item), len(named))
    return [entry for entry in named[place:] if not isinstance(entry, Item)]


def _before_a_face(made: Installation, item: Item, face: Face) -> str:
    """Fitted while a face is open, after all that goes in through the doors if it can be; "" where it cannot."""
    opened = (without_face(made.plan, face),)
    if made.asker.past(item, opened, NOTHING) is None:
        return ""
    going = [moment.item for moment in made.moments if moment.goes and moment.item is not item]
    stated = any(slug(name) in FACES for name in made.plan.order)
    # After it the others go in through the doors, or else before the face is on as well.
    ways = [(count, late) for late in (False, True) for count in range(len(going), -1, -1)]
    for count, late in () if stated else ways:
        before, after = going[:count], going[count:]
        if late and not after:
            continue
        blocks = made.blocks(item, [other.name for other in before])
        too = [face] if late else []
        if made.asker.past(item, opened, blocks) is None or not _still_go(made, [*before, item], after, too):
            continue
        where = ", as the first of all" if after and not before else ", in this order" if going else ""
        names = [*(other.part for other in before), item.part, *(other.part for other in after if late), face]
        return f"fit it before the {face} is on (tried: it goes in then{where}; {order_words(names)} says so)"
    # Where the plan states when faces are put on, no other order was tried.
    others = ", but then not all the others" if going and not stated else ""
    return f"fit it before the {face} is on (tried: into the empty box it goes in then{others})"


def order_words(names: Sequence[str]) -> str:
    """An order as it is written in a plan: names that YAML would read otherwise, as a number or a truth, in quotes.

    Examples
    --------
    >>> order_words(["back panel", "12", "no", "front"])
    '`order: [back panel, "12", "no", front]`'
    """
    plain = re.compile(r"[^\W\d_][\w -]*")
    written = [
        name
        if plain.fullmatch(name) and name.lower() not in NOT_NAMES
        else json.dumps(name, ensure_ascii=False)
        for name in names
    ]
    return f"`order: [{', '.join(written)}]`"
