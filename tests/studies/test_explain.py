"""Every number that is shown can be followed to its sources and multiplies out."""

import json
import math

import pytest

from sunfleck.errors import DomainError
from sunfleck.service.cases import explain

PLAIN_NUMBERS = {"schema", "exit_code"}


def numbers_in(node, path=()):
    """Every number in a JSON document with the keys that lead to it."""
    if isinstance(node, dict):
        for key, value in node.items():
            yield from numbers_in(value, (*path, key))
    elif isinstance(node, list):
        for index, value in enumerate(node):
            yield from numbers_in(value, (*path, index))
    elif isinstance(node, (int, float)) and not isinstance(node, bool):
        yield path, node


def leaves(step):
    if not step.parts:
        yield step
    for part in step.parts:
        yield from leaves(part)


@pytest.mark.parametrize("plan", ["tall", "arid"])
def test_every_number_in_json_has_an_id_and_multiplies_out(reports, plan):
    """Issue: explain follows any number of --json to its sources and multiplies out to 1e-9."""
    report = reports[plan]
    plain = json.loads(json.dumps(report.to_dict(), allow_nan=False))
    known = report.numbers()
    seen = set()
    for path, value in numbers_in(plain):
        if path[-1] in PLAIN_NUMBERS:
            continue
        assert path[-1] == "value", path
        holder = plain
        for step in path[:-1]:
            holder = holder[step]
        number = known[holder["id"]]
        trace = number.trace()
        assert math.isclose(trace.value, value, rel_tol=1e-9, abs_tol=1e-300), number.id
        assert trace.closes(1e-9), number.id
        for leaf in leaves(trace):
            assert leaf.source, (number.id, leaf.label)
            assert leaf.basis, (number.id, leaf.label)
        seen.add(number.id)
    assert seen == set(known)
    assert len(seen) > 50


def test_explain_finds_a_number_by_its_id(tall, reports):
    """The chain of the UV floor reaches the readings in the plan file, by line."""
    id_ = "uv-floor:the-basilisk.expected"
    number = explain(tall, id_)
    assert number.value == reports["tall"].numbers()[id_].value
    assert any("plan.yaml:" in leaf.where for leaf in leaves(number.trace()))


def test_a_misspelt_id_gets_its_neighbour(tall):
    """The message names the id that was meant."""
    with pytest.raises(DomainError, match=r"uv-floor:the-basilisk\.expected"):
        explain(tall, "uv-floor:the-basilsk.expected")


def test_a_verdict_of_several_numbers_names_them(tall):
    """An id in brackets that stands for no single number leads on to those it rests on."""
    with pytest.raises(DomainError, match=r"uv-bracket:the-basilisk\.needed"):
        explain(tall, "uv-bracket:the-basilisk")
