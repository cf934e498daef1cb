"""In what order everything goes in: found by taking out, one after the other, what comes out past the rest."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.build import Brief
from sunfleck.geometry.boxes import FACES, Face
from sunfleck.plan.rules.names import slug
from sunfleck.studies.passage.asking import QUICK, SEARCHED, THOROUGH, Answer, Asker, undecided
from sunfleck.studies.passage.doors import (
    Entrance,
    entrances_of,
    widest_of,
    with_panes_out,
    without_face,
)
from sunfleck.studies.passage.items import items_of
from sunfleck.studies.passage.parts import Item
from sunfleck.studies.passage.standing import standing_for

Floats = NDArray[np.float64]

# Trade defaults; common practice, no source. [m]
CLEARANCE, FINGERS = 0.010, 0.025
# A branch's ends are cut so much shorter beside the clearance that it can be moved off them at all. [m]
FREED = QUICK.steps[0] / 2 + 5e-4
# Of parts that block each other so many are looked at.
MOST_BLOCKED = 6
NOTHING = np.zeros((0, 2, 3))


@dataclass(frozen=True, eq=False)
class Moment:
    """One part, asked at one moment of the work.

    Attributes
    ----------
    item : Item
        Which.
    answer : Answer or None
        A way in, or of the empty box what was proved or tried; None where only ways past what stands were sought.
    standing : tuple of str
        What stood already.
    notes : tuple of str
        What was fitted or taken for granted.
    blocked_by : tuple of str
        Without any one of these it goes in.
    """

    item: Item
    answer: Answer | None
    standing: tuple[str, ...]
    notes: tuple[str, ...] = ()
    blocked_by: tuple[str, ...] = ()

    @property
    def goes(self) -> bool:
        """Whether it goes in."""
        return self.answer is not None and self.answer.goes


class Installation:
    """A plan's parts and the way they go in; every question is asked when it is needed, and once.

    Parameters
    ----------
    brief : Brief
        The resolved plan.
    """

    def __init__(self, brief: Brief) -> None:
        self.brief, self.plan = brief, brief.plan
        fit = self.plan.fit
        stated = (fit.clearance, fit.fingers) if fit is not None else (None, None)
        self.clearance = CLEARANCE if stated[0] is None else stated[0]
        self.fingers = FINGERS if stated[1] is None else stated[1]
        self.basis = tuple(
            "the plan's" if own is not None else "common practice, no source" for own in stated
        )
        self.asker = Asker(self.plan, self.clearance, self.fingers)
        self.items, self.left_out = items_of(brief, self.clearance + FREED)
        self._alone: dict[str, Moment] = {}

    @cached_property
    def entrances(self) -> tuple[Entrance, ...]:
        """Faces with doors as they open every day."""
        return entrances_of(self.plan)

    @cached_property
    def panes_out(self) -> tuple[Entrance, ...]:
        """Faces with sliding panes, those lifted out."""
        return with_panes_out(self.plan)

    def at(
        self, item: Item, others: Iterable[Item], open_faces: Sequence[Face] = (), *, planted: bool = False
    ) -> Moment:
        """Ask for a way in past others; with `planted`, also past the soil."""
        others = [other for other in others if other.name != item.name]
        soil = self.plan.substrate.depth if planted and self.plan.substrate is not None else 0.0
        near = self.clearance + FREED
        blocks, notes = standing_for(item, others, near, soil, self.asker.inside, self.plan.show_units)
        opened = tuple(without_face(self.plan, face) for face in open_faces)
        answer = self.asker.past(item, (*opened, *self.entrances), blocks)
        if (answer is None or answer.fingers < self.fingers) and self.panes_out:
            out = self.asker.past(item, self.panes_out, blocks)
            if out is not None and (answer is None or out.fingers >= self.fingers):
                answer = out
        if answer is None and self.asker.tired:
            notes = (
                *notes,
                "so much was tried in vain for this plan that no more was: ask it with fewer parts",
            )
        return Moment(item, answer, tuple(other.name for other in others), (*item.notes, *notes))

    def blocks(self, item: Item, standing: Sequence[str], *, planted: bool = False) -> Floats:
        """Blocks round what stands at a moment that was asked before. [m]"""
        others = [other for other in self.items if other.name in standing]
        soil = self.plan.substrate.depth if planted and self.plan.substrate is not None else 0.0
        return standing_for(item, others, self.clearance + FREED, soil, self.asker.inside)[0]

    def alone(self, item: Item) -> Moment:
        """The part and the empty box: a way in, or a proof that there is none whatever the order."""
        if item.name not in self._alone:
            found = self.at(item, ())
            if not found.goes:
                tried = [self._alone_through(item, wide) for wide in widest_of(self.plan)]
                going = next((answer for answer in tried if answer.goes), None)
                tried = [self._touching(item, answer) for answer in tried]
                if len(tried) > 1:
                    shut = "each face with doors was asked by itself, the doors of the others shut"
                    found = replace(found, notes=(*found.notes, shut))
                undecided = next((a for a in tried if a.passage.verdict == "no way found"), None)
                found = replace(found, answer=going or undecided or (tried[0] if tried else None))
            self._alone[item.name] = found
        return self._alone[item.name]

    def _alone_through(self, item: Item, wide: Entrance) -> Answer:
        """One face: a way in as its doors open, or the proof that there is none however far they open."""
        real = [each for each in (*self.entrances, *self.panes_out) if each.face == wide.face]
        alike = next((each for each in real if each.rectangles == wide.rectangles), None)
        if alike is not None:
            return self.asker.alone(item, alike, self.clearance, THOROUGH)
        for each in real:
            found = self.asker.alone(item, each, self.clearance, SEARCHED)
            if found.goes:
                return found
        ruled_out = self.asker.alone(item, wide, self.clearance, THOROUGH)
        # A way through what is wider than it is, or past leaves that were left out, is none; nor is a no that was
        # proved of doors one by one a no of doors that meet.
        leaves = any(
            opening.leaf is not None for each in real for hole in each.holes for opening in hole.openings
        )
        return undecided(found) if ruled_out.goes and (wide.outline or leaves) else ruled_out

    def _touching(self, item: Item, answer: Answer) -> Answer:
        """Of a place that is too small with what is to stay free: also the proof that it does not go through, if so."""
        if answer.passage.reason != "the final place itself is too small" or self.clearance == 0:
            return answer
        # A proof is of the doors as far open as they go.
        wide = next(each for each in widest_of(self.plan) if each.face == answer.entrance.face)
        bare = self.asker.alone(item, wide, 0.0, THOROUGH)
        return bare if bare.passage.reason == "no way through" else answer

    @cached_property
    def serviced(self) -> dict[str, Moment]:
        """What must come out again, past everything else and the soil."""
        found = {}
        for item in self.items:
            if not item.service:
                continue
            moment = self.at(item, self.items, planted=True)
            if not moment.goes and item.inner_part is not None:
                inner = self.at(item.inner_part, self.items, planted=True)
                if inner.goes:
                    moment = replace(inner, notes=(*inner.notes, "the tube alone; its reflector stays"))
            found[item.name] = moment
        return found

    @cached_property
    def stages(self) -> tuple[tuple[Item | Face, ...], tuple[Item, ...]]:
        """What the plan's `order` names, and the parts that it does not name."""
        parts = {slug(item.part): item for item in self.items}
        faces: dict[str, Face] = {face: face for face in FACES}
        named: list[Item | Face] = []
        for name in self.plan.order:
            if slug(name) in parts:
                named.append(parts[slug(name)])
            elif slug(name) in faces:
                named.append(faces[slug(name)])
        told = {entry.name for entry in named if isinstance(entry, Item)}
        return tuple(named), tuple(item for item in self.items if item.name not in told)

    @cached_property
    def moments(self) -> tuple[Moment, ...]:
        """Every part at the moment it goes in, in that order; at the end those for which no moment was found."""
        found: list[Moment] = []
        installed: list[Item] = []
        named, rest = self.stages
        for place, entry in enumerate(named):
            if not isinstance(entry, Item):
                continue
            still_open = [face for face in named[place:] if not isinstance(face, Item)]
            moment = self.at(entry, installed, still_open)
            if not moment.goes and not still_open:
                alone = self.alone(entry)
                if not alone.goes or not installed:
                    moment = alone
            found.append(moment)
            # What cannot go in does not stand in the way of what comes after it.
            if moment.goes:
                installed.append(entry)
        going, failing = self._taken_apart(installed, list(rest))
        return (*found, *self._in_order(installed, going), *failing)

    def _in_order(self, installed: Sequence[Item], going: Iterable[Moment]) -> Iterator[Moment]:
        """The same parts past those only that stand before them: what went in past more goes in past these, or simpler."""
        before = list(installed)
        for moment in going:
            now = self.at(moment.item, before) if len(before) < len(moment.standing) else moment
            names = tuple(other.name for other in before)
            yield now if now.goes and _as_simple(now, moment) else replace(moment, standing=names)
            before.append(moment.item)

    def _taken_apart(self, fixed: list[Item], parts: list[Item]) -> tuple[list[Moment], list[Moment]]:
        """Backwards from everything standing: what comes out past the rest goes in last; then what does not, and why."""
        going, failing, left = self._outwards(fixed, parts)
        if left and not fixed:
            going += self._first_alone(left)
            left = [item for item in left if all(moment.item is not item for moment in going)]
        return going[::-1], [*failing, *self._blocked(fixed, left)]

    def _outwards(
        self, fixed: list[Item], parts: list[Item]
    ) -> tuple[list[Moment], list[Moment], list[Item]]:
        """What comes out past the rest, one after the other; what never goes in; what is left standing."""
        going: list[Moment] = []
        failing: list[Moment] = []
        left = list(parts)
        moved = True
        while left and moved:
            moved = False
            for item in reversed(parts):
                if item not in left:
                    continue
                others = [*fixed, *(other for other in left if other is not item)]
                moment = self._kept(item, others) or self.at(item, others)
                if not moment.goes:
                    alone = self.alone(item)
                    if alone.goes:
                        continue
                    failing.append(alone)
                else:
                    going.append(moment)
                left.remove(item)
                moved = True
        return going, failing, left

    def _first_alone(self, left: list[Item]) -> list[Moment]:
        """What goes into the empty box first, so that all the others go in past it; nothing where there is none."""
        for item in left[:MOST_BLOCKED]:
            others = [other for other in left if other is not item]
            going, failing, standing = self._outwards([item], others)
            if not failing and not standing:
                return [*going, self.alone(item)]
        return []

    def _kept(self, item: Item, others: list[Item]) -> Moment | None:
        """What comes out past everything comes out past less."""
        moment = self.serviced.get(item.name)
        if moment is None or not moment.goes or moment.item is not item:
            return None
        return replace(moment, standing=tuple(other.name for other in others))

    def _blocked(self, fixed: list[Item], left: list[Item]) -> list[Moment]:
        found = []
        for number, item in enumerate(left):
            others = [other for other in left if other is not item]
            by: list[str] = []
            if number < MOST_BLOCKED:
                by = [
                    other.name
                    for other in others
                    if self._goes_past(item, [*fixed, *(each for each in others if each is not other)])
                ]
            names = tuple(other.name for other in (*fixed, *others))
            notes = self.at(item, [*fixed, *others]).notes
            found.append(Moment(item, None, names, notes, tuple(by)))
        return found

    def _goes_past(self, item: Item, others: list[Item]) -> bool:
        return self.at(item, others).goes if others else self.alone(item).goes

    @property
    def blocking(self) -> tuple[tuple[str, str], ...]:
        """Pairs of which each goes in only without the other."""
        by = {moment.item.name: moment.blocked_by for moment in self.moments}
        return tuple((a, b) for a in by for b in by[a] if a < b and a in by.get(b, ()))


def _as_simple(one: Moment, other: Moment) -> bool:
    """Whether a way in has room for a hand where another has, and no more moves."""
    if one.answer is None or other.answer is None:
        return other.answer is None
    handy = one.answer.fingers >= other.answer.fingers or one.answer.fingers > 0
    return handy and one.answer.steps <= other.answer.steps
