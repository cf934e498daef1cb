"""Changes of a plan that are worth trying for a verdict, in series from the smallest on."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import ceil

from sunfleck.document.edit import EditError, add_beside, remove_key, replaced, replaced_all
from sunfleck.document.entries import Entry, with_entry
from sunfleck.document.problem import PlanError
from sunfleck.document.reader import Document, read_document
from sunfleck.document.tree import Path
from sunfleck.library.entries import LINE_EMITTERS
from sunfleck.plan.read import PlanSource
from sunfleck.studies.report import Verdict
from sunfleck.units import format_quantity

# How far a thing is moved by hand: the smallest that does counts. Two things together are moved more coarsely. [m]
STEPS = (0.02, 0.04, 0.06, 0.08, 0.10, 0.12, 0.15, 0.20, 0.25, 0.30, 0.40)
COARSE = (0.04, 0.08, 0.12, 0.20, 0.30)
# From what costs nothing to what must be bought: a change of several parts costs what its dearest part does.
COSTS = ("setting", "timer", "move", "vent", "bracket", "guard", "swap", "fan", "wall", "room")


@dataclass(frozen=True)
class Edit:
    """One value of the plan: replaced, added beside a key of the same part, or (None) taken out; or an entry added.

    Attributes
    ----------
    path : tuple
        Where; of an entry the place that it will have in its list.
    value : str, mapping or None
        The value as text, or the entry.
    beside : str
        The key that a value stands behind where the part has none yet.
    """

    path: Path
    value: str | Mapping[str, Entry] | None
    beside: str = "lamp"


@dataclass(frozen=True)
class Trial:
    """One change of the plan.

    Attributes
    ----------
    kinds : tuple of str
        What it takes, of `COSTS`.
    words : str
        What to do.
    edits : tuple of Edit
        Values of the plan.
    """

    kinds: tuple[str, ...]
    words: str
    edits: tuple[Edit, ...]

    @property
    def cost(self) -> int:
        """Rank of its dearest part."""
        return max(COSTS.index(kind) for kind in self.kinds)

    def together(self, other: Trial) -> Trial:
        """Both at once."""
        return Trial(
            (*self.kinds, *other.kinds), f"{self.words}, and {other.words}", (*self.edits, *other.edits)
        )


Series = list[Trial]


def alone(plan: PlanSource, verdict: Verdict) -> list[Series]:
    """Return series of single changes for a verdict, cheapest kinds first.

    Parameters
    ----------
    plan : PlanSource
        As it is.
    verdict : Verdict
        Which does not meet.

    Returns
    -------
    series : list of list of Trial
        Each from the smallest change on; none for a verdict that no such change can turn.
    """
    question, state = verdict.id.split(":")[0], verdict.state
    concerned = _of_concern(plan, verdict)
    match question:
        case "uv-floor":
            return [
                *_settings(plan, concerned),
                *lamps_moved(plan, concerned, -1),
                *_rests_moved(plan, 1),
                *swaps(plan, concerned),
            ]
        case "uv-ceiling":
            moves = [*lamps_moved(plan, concerned, 1), *_rests_moved(plan, -1)]
            return [*moves, *_guards(plan, concerned), *swaps(plan, concerned)]
        case "uv-retreat":
            return [
                *_hides_turned(plan),
                *lamps_moved(plan, concerned, 1),
                *_guards(plan, concerned),
                *swaps(plan, concerned),
            ]
        case "uv-bracket":
            return [*_brackets(plan, verdict, concerned), *swaps(plan, concerned)]
        case "heat-patch":
            return [
                *lamps_moved(plan, concerned, 1),
                *_rests_moved(plan, -1),
                *swaps(plan, concerned),
            ]
        case "lamp-clearance":
            near = _numbered(verdict, "free_", "least_")
            return [*lamps_moved(plan, near, 1), *_rests_moved(plan, -1)] if state == "short" else []
        case "lamp-guard":
            within = [i for i in _numbered(verdict, "gap_") if plan.plan.fixtures[i].guard is None]
            return list(_guards(plan, within))
    return []


def in_pairs(plan: PlanSource, verdict: Verdict) -> list[Series]:
    """Return series of two changes at once, for a verdict that no single one turned."""
    question = verdict.id.split(":")[0]
    concerned = _of_concern(plan, verdict)
    ways: dict[str, tuple[int, int]] = {"uv-floor": (-1, 1), "uv-ceiling": (1, -1), "heat-patch": (1, -1)}
    if question not in ways:
        return []
    lamps, rest = ways[question]
    # Any lamp may have to be moved back after a swap or a lower perch.
    moved = [_together_moved(plan, concerned, way) for way in (lamps, -lamps)]
    rests = [series[:: len(series) // 2 or 1] for series in _rests_moved(plan, rest, COARSE)]
    bought = [*_guards(plan, concerned), *swaps(plan, concerned)]
    firsts = [trial for series in (*rests, *bought) for trial in series]
    pairs = [[first.together(then) for then in series] for first in firsts for series in moved]
    pairs += [
        [first.together(then) for then in series]
        for first in (trial for series in bought for trial in series)
        for series in rests
    ]
    return pairs


def edited(plan: PlanSource, trial: Trial) -> Document | None:
    """Return the plan's document with a trial's values in it; None where they cannot be written there."""
    document = plan.document
    # Scalars that are only replaced are put in together: each reading of the text costs as much as a question.
    together: dict[Path, str] = {}
    for edit in trial.edits:
        try:
            if isinstance(edit.value, str) and edit.path in document.marks and edit.path not in together:
                together[edit.path] = edit.value
                continue
            document, together = replaced_all(document, together), {}
            if edit.value is None:
                if edit.path in document.marks:
                    document = read_document(remove_key(document, edit.path), file=document.file)
            elif not isinstance(edit.value, str):
                document = with_entry(document, edit.path[:-1], edit.value)
            elif edit.path in document.marks:
                document = replaced(document, edit.path, edit.value)
            else:
                text = add_beside(document, (*edit.path[:-1], edit.beside), str(edit.path[-1]), edit.value)
                document = read_document(text, file=document.file)
        except (EditError, PlanError):
            return None
    try:
        return replaced_all(document, together)
    except EditError:
        return None


def _of_concern(plan: PlanSource, verdict: Verdict) -> list[int]:
    """Fixtures that a verdict is about: UV lamps, or for the warm patch those the animal basks under."""
    lamps = [plan.library.lamps[fixture.lamp] for fixture in plan.plan.fixtures]
    if verdict.id.startswith("heat-patch"):
        return [i for i, lamp in enumerate(lamps) if lamp.heats]
    return [i for i, lamp in enumerate(lamps) if float(lamp.uvi_reference.value) > 0]  # type: ignore[arg-type]


def _numbered(verdict: Verdict, name: str, at_least: str = "") -> list[int]:
    """Fixtures by the numbers of a verdict: at zero or less, or less than another of their numbers."""
    values = {number.id.rsplit(".", 1)[1]: number.value for number in verdict.numbers}
    found = []
    for key, value in values.items():
        index = key.removeprefix(name)
        if key.startswith(name) and index.isdigit():
            limit = values.get(f"{at_least}{index}", 0.0) if at_least else 0.0
            if value < limit or value <= 0.0:
                found.append(int(index))
    return found


def _settings(plan: PlanSource, indices: list[int]) -> Iterator[Series]:
    """Full level, and hours in which the lamps are lit together with those the animal basks under."""
    fixtures = plan.plan.fixtures
    for i in indices:
        if fixtures[i].level < 1.0:
            yield [
                Trial(
                    ("setting",),
                    f"{fixtures[i].name} at full level",
                    (Edit(("fixtures", i, "level"), "100 %"),),
                )
            ]
    basking = [f for f in fixtures if plan.library.lamps[f.lamp].heats and f.hours is not None]
    for lamp in basking[:1]:
        assert lamp.hours is not None
        for i in indices:
            hours = fixtures[i].hours
            if hours is None or len(hours) != 2 or len(lamp.hours) < 2:  # one stretch: on, off
                continue
            on, off = min(hours[0], lamp.hours[0]), max(hours[1], lamp.hours[-1])
            if (on, off) != (hours[0], hours[1]):
                edits = tuple(Edit(("fixtures", i, "hours", k), _clock(t)) for k, t in enumerate((on, off)))
                words = f"light {fixtures[i].name} from {_clock(on)} to {_clock(off)}, as long as {lamp.name}"
                yield [Trial(("timer",), words, edits)]


def _clock(seconds: float) -> str:
    minutes = round(seconds / 60)
    return f"{minutes // 60:02d}:{minutes % 60:02d}"


def lamps_moved(plan: PlanSource, indices: list[int], way: int) -> Iterator[Series]:
    """All lamps of concern together, then each alone, farther and farther."""
    if indices:
        yield _together_moved(plan, indices, way, STEPS)
    if len(indices) > 1:
        yield from (_together_moved(plan, [i], way, STEPS) for i in indices)


def _together_moved(
    plan: PlanSource, indices: list[int], way: int, steps: tuple[float, ...] = COARSE
) -> Series:
    names = " and ".join(plan.plan.fixtures[i].name for i in indices)
    series = []
    for step in steps if indices else ():
        edits = []
        for i in indices:
            fixture = plan.plan.fixtures[i]
            for key, point in (("from", fixture.from_), ("to", fixture.to), ("at", fixture.at)):
                if point is not None:
                    edits.append(Edit(("fixtures", i, key, 2), _length(plan, point[2] + way * step)))
        verb = "raise" if way > 0 else "lower"
        slots = [plan.plan.fixtures[i].travel for i in indices]
        if all(travel is None for travel in slots):
            how = ""
        elif all(travel is not None and step <= travel / 2 for travel in slots):
            how = ", within the bracket" if len(slots) == 1 else ", within the brackets"
        else:
            how = ", the bracket remounted" if len(slots) == 1 else ", the brackets remounted"
        series.append(Trial(("move",), f"{verb} {names} by {_length(plan, step)}{how}", tuple(edits)))
    return series


def _rests_moved(plan: PlanSource, way: int, steps: tuple[float, ...] = STEPS) -> Iterator[Series]:
    """Each perch and each ledge up or down, farther and farther."""
    verb = "raise" if way > 0 else "lower"
    for i, perch in enumerate(plan.plan.perches):
        yield [
            Trial(
                ("move",),
                f"{verb} {perch.name} by {_length(plan, step)}",
                tuple(
                    Edit(("perches", i, "path", k, 2), _length(plan, point[2] + way * step))
                    for k, point in enumerate(perch.path)
                ),
            )
            for step in steps
        ]
    for i, ledge in enumerate(plan.plan.ledges):
        yield [
            Trial(
                ("move",),
                f"{verb} {ledge.name} by {_length(plan, step)}",
                (Edit(("ledges", i, "at", 2), _length(plan, ledge.at[2] + way * step)),),
            )
            for step in steps
        ]


def _hides_turned(plan: PlanSource) -> Iterator[Series]:
    for i, hide in enumerate(plan.plan.hides):
        ways = [face for face in ("left", "right", "front", "back") if face != hide.opening]
        for face in ways:
            edit = Edit(("hides", i, "opening"), face)
            yield [Trial(("move",), f"turn {hide.name} so that it opens to the {face}", (edit,))]


def _brackets(plan: PlanSource, verdict: Verdict, indices: list[int]) -> Iterator[Series]:
    """Brackets as long as is needed, to the next centimetre, where the plan states shorter ones."""
    needed = ceil(100 * verdict.number("needed").value - 1e-9) / 100
    short = [i for i in indices if (plan.plan.fixtures[i].travel or 0.0) < needed]
    if short:
        shown = _length(plan, needed)
        names = " and ".join(plan.plan.fixtures[i].name for i in short)
        edits = tuple(Edit(("fixtures", i, "travel"), shown) for i in short)
        yield [Trial(("bracket",), f"brackets with {shown} of travel for {names}", edits)]


def _guards(plan: PlanSource, indices: list[int]) -> Iterator[Series]:
    """Each guard of the library round all these lamps, in place of what they have."""
    names = " and ".join(plan.plan.fixtures[i].name for i in indices)
    for id_, guard in plan.library.guards.items():
        new = [i for i in indices if plan.plan.fixtures[i].guard != id_]
        if new:
            edits = tuple(Edit(("fixtures", i, "guard"), id_) for i in new)
            yield [Trial(("guard",), f"put a {guard.name.value} round {names}", edits)]


def swaps(plan: PlanSource, indices: list[int]) -> Iterator[Series]:
    """Lamps of the library of the same build in the places of those of concern, all of a kind at once."""
    for wrong in dict.fromkeys(plan.plan.fixtures[i].lamp for i in indices):
        old = plan.library.lamps[wrong]
        group = [i for i in indices if plan.plan.fixtures[i].lamp == wrong]
        names = " and ".join(plan.plan.fixtures[i].name for i in group)
        for id_, lamp in plan.library.lamps.items():
            line = str(lamp.emitter.value) in LINE_EMITTERS
            fits = not line or lamp.length == old.length or _alike(lamp.length, old.length)
            if id_ != wrong and lamp.emitter.value == old.emitter.value and fits:
                # Readings and age belong to the lamp that was read.
                gone = tuple(
                    Edit(("fixtures", i, key), None)
                    for i in group
                    for key in ("evidence", "age", "photometry")
                )
                edits = (*(Edit(("fixtures", i, "lamp"), id_) for i in group), *gone)
                yield [Trial(("swap",), f"take a {lamp.name.value} in place of {names}", edits)]


def _alike(one: object, other: object) -> bool:
    values = [getattr(length, "value", None) for length in (one, other)]
    return None not in values and abs(float(values[0]) - float(values[1])) < 0.04  # type: ignore[arg-type]


def _length(plan: PlanSource, metres: float) -> str:
    return format_quantity(metres, "length", plan.plan.show_units)
