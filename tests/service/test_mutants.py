"""Whatever a person or a broken editor does to a plan, it gets located problems or a result."""

import math
import random
import re
from functools import cache

import pytest
import yaml

from sunfleck.document.problem import PlanError
from sunfleck.plan.read import read_plan_text
from sunfleck.service.cases import check_light, climate
from sunfleck.service.resolved import resolved
from sunfleck.service.starting import STARTERS, starter_text
from sunfleck.studies.day import fullest
from sunfleck.studies.interreflection import QUICK
from sunfleck.studies.setting import setting_for

SEED = 4711
MUTANTS = 1000
BATCHES = 8
# A slip in a plan may not make it much more work than a plan: so many times what the larger example takes of each
# thing that time is spent on. Counted, not timed: a clock also tells what else the machine does.
MORE = 1.5
# Heat and air of every so many mutants.
EVERY = 25

SCALARS = [
    "0", "-1", "1e9", "1e400", "nan", ".inf", "-.inf", "true", "null", "~", "[]", "{}", '""', "no", "12 US gal",
    "30", "-5 cm", "0 cm", "900 m", "1e30 cm", "47,5 cm", "75 degF", "5 furlong", "9**9**9 m", "'", '"08:00"',
    "[[1 cm, 2 cm, 3 cm]]", "\U0001f98e", "glass-float", "oak", "&a x", "*a", "!!python/object:os.system x",
]  # fmt: skip


def mutant(text: str, rng: random.Random) -> str:
    """One to three random changes: of values, lines, words or single characters."""
    for _ in range(rng.choice((1, 1, 1, 2, 3))):
        lines = text.split("\n")
        kind = rng.randrange(9)
        i = rng.randrange(len(lines))
        if kind == 0:
            del lines[i]
        elif kind == 1:
            lines.insert(i, lines[i])
        elif kind == 2:
            j = rng.randrange(len(lines))
            lines[i], lines[j] = lines[j], lines[i]
        elif kind == 3:
            lines[i] = " " * rng.randrange(4) + lines[i]
        elif kind in (4, 5):
            numbers = list(re.finditer(r"-?\d+(\.\d+)?", lines[i]))
            if numbers:
                found = rng.choice(numbers)
                value = rng.choice(["0", "-3", "1e6", "0.001", str(rng.randrange(1, 400)), "1/0", "7 1/2"])
                lines[i] = lines[i][: found.start()] + value + lines[i][found.end() :]
        elif kind == 6:
            found = re.search(r": ([^\[{].*)$", lines[i])
            if found:
                lines[i] = lines[i][: found.start(1)] + rng.choice(SCALARS)
        elif kind == 7:
            word = re.search(r"[a-z_]{3,}", lines[i])
            if word:
                at = rng.randrange(word.start(), word.end())
                lines[i] = lines[i][:at] + rng.choice("xyz") + lines[i][at + rng.randrange(2) :]
        else:
            at = rng.randrange(len(lines[i]) + 1)
            lines[i] = lines[i][:at] + rng.choice("[]{}:,#'\"-&*!%@`|>\t\x00é") + lines[i][at + 1 :]
        text = "\n".join(lines)
    return text


def mutants(batch: int):
    rng = random.Random(SEED + batch)
    starters = [starter_text(name) for name in STARTERS]
    return [mutant(rng.choice(starters), rng) for _ in range(MUTANTS // BATCHES)]


@pytest.mark.parametrize("batch", range(BATCHES))
def test_a_mutated_plan_gets_located_problems_or_a_result(batch):
    """1,000 mutants (seed 4711): never a traceback, never much more work, every problem with a line and a rule."""
    # Sorted, mutants of one example follow each other: what stands as it stood is taken over.
    for text in sorted(mutants(batch)):
        source = read(text)
        if source is None:
            continue
        # Half of what a hand changes is no part of the plan (a remark, a blank): the same plan, the same light.
        ready = resolved(source)
        if repr(source.plan) not in ANSWERED:
            ANSWERED.add(repr(source.plan))
            report = check_light(source)
            assert not [n.id for n in report.numbers().values() if not math.isfinite(n.value)], text
            assert all(
                amount <= MORE * most for amount, most in zip(work(ready), most_work(), strict=True)
            ), text


@pytest.mark.parametrize("batch", range(2))
def test_the_heat_of_a_mutated_plan_is_answered_too(batch):
    """Of 250 mutants every twenty-fifth, heat and air: no NaN, no infinity, no traceback, no day that takes long to find."""
    for text in mutants(batch)[::EVERY]:
        source = read(text)
        if source is not None:
            report = climate(source)
            assert not [n.id for n in report.numbers().values() if not math.isfinite(n.value)], text
            assert all(season.day.days <= MOST_DAYS for season in report.seasons), text


# Plans whose light was found to be sound, as they are read.
ANSWERED: set[str] = set()
# Days until one ends as it began: the examples take 3 to 8 (docs/decisions/0020-climate.md).
MOST_DAYS = 12


def read(text):
    """The plan, or None where it has problems, all of them located."""
    try:
        return read_plan_text(text)
    except PlanError as error:
        problems = error.problems
    assert problems
    assert not [p for p in problems if not (p.rule and p.needed and located(p, text))]
    return None


def work(ready):
    """What time is spent on: receivers, patches, triangles, thin media, lamps."""
    brief, interior = ready.brief, ready.interior(QUICK)
    settings = [setting_for(brief, animal, fullest(brief), interior) for animal in brief.animals]
    receivers = sum(len(setting.points) for setting in settings)
    triangles = sum(len(surface.triangles) for surface in brief.surroundings.surfaces)
    return receivers, interior.scene.outside, triangles, len(brief.sheets), len(brief.fixtures)


@cache
def most_work():
    """Of each the most that one of the examples takes."""
    examples = [resolved(read_plan_text(starter_text(name))) for name in STARTERS]
    return tuple(max(amounts) for amounts in zip(*(work(ready) for ready in examples), strict=True))


def located(problem, text):
    return 1 <= problem.line <= text.count("\n") + 2


def test_at_least_half_of_the_mutants_are_still_yaml():
    """Otherwise the rules behind the parser would hardly be tried."""
    parsed = 0
    for batch in range(BATCHES):
        for text in mutants(batch):
            try:
                parsed += isinstance(yaml.load(text, Loader=yaml.CSafeLoader), dict)
            except (yaml.YAMLError, ValueError):
                continue
    assert parsed >= MUTANTS / 2, parsed
