"""Whatever a person or a broken editor does to a plan, it gets located problems or a result."""

import math
import random
import re
import time

import pytest
import yaml

from sunfleck.document.problem import PlanError
from sunfleck.plan.read import read_plan_text
from sunfleck.service.cases import check_light, climate
from sunfleck.service.starting import STARTERS, starter_text

SEED = 4711
MUTANTS = 1000
BATCHES = 8
# The promise is 2 s by the clock. A neighbour on the machine can only lengthen a try, so a plan that seems slow is
# tried again and its quickest try counts; a plan that is slow, or hangs, stays slow.
TRIES = 3
LIMIT = 2.0
# Heat and air follow twenty-odd days a season; a plan of 1,000 mutants' kind has two seasons. Every so many mutants.
LIMIT_OF_HEAT, EVERY = 15.0, 25

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
def test_a_mutated_plan_gets_located_problems_or_a_result(batch, warm):
    """1,000 mutants (seed 4711): never a traceback, never over 2 s, every problem with a line and a rule."""
    for text in mutants(batch):
        taken = answer(text)
        for _ in range(TRIES - 1):
            if taken < LIMIT:
                break
            taken = min(taken, answer(text))
        assert taken < LIMIT, text


@pytest.mark.parametrize("batch", range(2))
def test_the_heat_of_a_mutated_plan_is_answered_too(batch, warm):
    """Of 250 mutants every twenty-fifth, heat and air: a result without NaN, an infinity or a traceback, in at most 15 s."""
    for text in mutants(batch)[::EVERY]:
        assert answer(text, climate) < LIMIT_OF_HEAT, text


def answer(text, ask=check_light):
    """Seconds by the clock until there is a result without NaN, or problems that are all located."""
    start = time.perf_counter()
    try:
        report = ask(read_plan_text(text))
    except PlanError as error:
        unlocated = [p for p in error.problems if not (p.rule and p.needed and located(p, text))]
        found_nothing = not error.problems
    else:
        unlocated = [number.id for number in report.numbers().values() if not math.isfinite(number.value)]
        found_nothing = False
    taken = time.perf_counter() - start
    assert not unlocated
    assert not found_nothing
    return taken


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
