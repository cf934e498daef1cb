"""Turn what pydantic finds into our own Problem records, with marks, names and remedies."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any, NamedTuple

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from sunfleck.document.problem import Problem, nearest
from sunfleck.document.reader import Document
from sunfleck.document.tree import decimal_point
from sunfleck.plan.known_keys import Section, known_keys, meant, reads_like

SHORT = 60
"""Longest text that is shown as written. [characters]"""

MANY = 200
"""Unknown keys for which a like one is looked for; a plan with more of them is no plan. [-]"""

Path = tuple[str | int, ...]


def problem_at(
    document: Document,
    path: Path,
    rule: str,
    needed: str,
    *,
    wrote: str | None = None,
    fix: str | None = None,
    at_key: bool = False,
) -> Problem:
    """Build a problem that points at a value in the plan, or at its key, and names it as the user does."""
    mark = document.mark(path)
    line, column = mark.line, mark.column
    if at_key and mark.key_line is not None and mark.key_column is not None:
        line, column = mark.key_line, mark.key_column
    return Problem(
        rule=rule,
        where=where(document, path),
        line=line,
        column=column,
        wrote=wrote if wrote is not None else _written(document, path),
        needed=needed,
        fix=fix,
        file=document.file,
    )


def where(document: Document, path: Path) -> str:
    """Return the path as a reader writes it, with the name of the part it lies in."""
    text = "".join(f"[{step}]" if isinstance(step, int) else f".{step}" for step in path).lstrip(".")
    name = None
    node: Any = document.data
    for step in path:
        if isinstance(node, dict) and isinstance(node.get("name"), str) and node is not document.data:
            name = node["name"]
        try:
            node = node[step]
        except (KeyError, IndexError, TypeError):
            node = None
            break
    if isinstance(node, dict) and isinstance(node.get("name"), str) and node is not document.data:
        name = node["name"]
    text = text or "the plan"
    return f"{text} ({name!r})" if name else text


def problems_from(error: ValidationError, document: Document, root: type[BaseModel]) -> list[Problem]:
    """Return one problem for each slip behind what pydantic found in a file of the model `root`, in its order.

    Notes
    -----
    One slip can be several findings of pydantic's: a misspelt key is an unknown and a missing one,
    an entry in the wrong section is as many as it has keys, and a list is too short for it once an
    entry has failed. Each slip is reported once.
    """
    details = error.errors(include_url=False)
    findings = [_Finding(_path_in_document(detail["loc"], document), detail, root) for detail in details]
    problems: list[Problem] = []
    for path, section in _misplaced(findings, document).items():
        problems.append(_move(document, path, section))
        findings = [finding for finding in findings if finding.path[: len(path)] != path]
    unknown = [finding for finding in findings if finding.kind == "extra_forbidden"]
    missing = [finding.path for finding in findings if finding.kind == "missing"]
    explained: set[Path] = set()
    for number, finding in enumerate(unknown):
        left = [path for path in missing if path not in explained]
        problem, also = _unknown_key(document, finding, left, offer=number < MANY)
        problems.append(problem)
        explained |= also
    for finding in findings:
        if finding.kind == "extra_forbidden" or finding.path in explained:
            continue
        found = _problem(finding, document, missing)
        if found is not None:
            problems.append(found)
    return problems


class _Finding(NamedTuple):
    """What pydantic found, where that is in the file, and the model of the whole file."""

    path: Path
    detail: ErrorDetails
    root: type[BaseModel]

    @property
    def kind(self) -> str:
        return self.detail["type"]


def _problem(  # noqa: PLR0911  # one return a kind of error
    finding: _Finding, document: Document, missing: Sequence[Path]
) -> Problem | None:
    path, detail, _ = finding
    kind, context = finding.kind, detail.get("ctx") or {}
    match kind:
        case "missing":
            return _missing(document, finding, missing)
        case "unit" | "number":
            return _unreadable(document, path, kind, context)
        case "range":
            return problem_at(document, path, "schema.range", context["needed"])
        case "literal_error":
            wanted = str(context["expected"])
            choices = [choice.strip("' ") for choice in wanted.replace(" or ", ",").split(",")]
            near = nearest(_written(document, path), choices)
            return problem_at(document, path, "schema.choice", f"one of: {', '.join(choices)}", fix=near)
        case "greater_than_equal" | "less_than_equal":
            side, limit = (
                ("at least", context.get("ge")) if "ge" in context else ("at most", context.get("le"))
            )
            return problem_at(document, path, "schema.range", f"{side} {limit}")
        case "too_short" | "too_long":
            return _count(document, path, kind, context)
        case "string_too_short" | "string_too_long":
            least = "at least" if kind == "string_too_short" else "at most"
            limit = context.get("min_length" if kind == "string_too_short" else "max_length")
            return problem_at(document, path, "schema.count", f"{least} {_counted(limit, 'character')}")
        case "model_type" | "model_attributes_type" | "dict_type":
            return _no_keys(document, finding)
        case _:
            return problem_at(document, path, "schema.type", _WANTED.get(kind, "another kind of value"))


def _misplaced(findings: Sequence[_Finding], document: Document) -> dict[Path, Section]:
    """Return the entries that fit another section better than their own, with that section."""
    found: dict[Path, Section] = {}
    # One look at an entry, however many of its keys are unknown.
    entries = {f.path[:-1]: f.root for f in findings if f.kind == "extra_forbidden"}
    for entry, root in entries.items():
        if not entry or not isinstance(entry[-1], int):
            continue
        node = _node(document, entry)
        section = tuple(str(step) for step in entry[:-1])
        other = reads_like(root, section, node) if isinstance(node, dict) and len(node) <= MANY else None
        if other is not None:
            found[entry] = other
    return found


def _move(document: Document, path: Path, section: Section) -> Problem:
    here, there = ".".join(map(str, path[:-1])), ".".join(section)
    needed = f"an entry of `{here}`; this reads like an entry of `{there}`; move it there"
    keys = ", ".join(_node(document, path))
    keys = keys if len(keys) <= SHORT else keys[: SHORT - 3] + "..."
    return problem_at(document, path, "schema.unknown-key", needed, wrote=f"the keys {keys}")


def _unknown_key(
    document: Document, finding: _Finding, missing: Sequence[Path], *, offer: bool
) -> tuple[Problem, set[Path]]:
    """Explain an unknown key; also return the places whose problems are thereby explained."""
    path, detail, root = finding
    group, key = path[:-1], str(path[-1])
    rule = "schema.unknown-key"
    if key[:1].isdigit():
        return _comma(document, path, offer=offer)
    present = _node(document, group)
    absent = {str(p[-1]) for p in missing if p[:-1] == group}
    known = known_keys(root, detail["loc"])
    fix: str | None = None
    prefix, colon, rest = key.partition(":")
    if colon and prefix in known and rest and _node(document, path) is None:
        needed, fix = f"a space after the colon of `{prefix}`", f"{prefix}: {rest}"
        return problem_at(document, path, rule, needed, wrote=key, fix=fix, at_key=True), {(*group, prefix)}
    free = [other for other in sorted(known) if other not in present]
    near = (nearest(key, sorted(absent)) or nearest(key, free)) if offer else None
    needed = f"one of the keys known here: {', '.join(sorted(known))}"
    if offer and near is None and (twin := nearest(key, sorted(known))) is not None:
        needed += f" (`{twin}` is there already)"
    if near is not None:
        fix = f"rename `{key}` to `{near}`"
        if path in document.styles and "\n" not in document.raw(path) and document.raw(path):
            fix = f"{near}: {document.raw(path)}"
    wrote = f"the key {key!r}"
    problem = problem_at(document, path, rule, needed, wrote=wrote, fix=fix, at_key=True)
    return problem, {(*group, near)} if near is not None else set()


def _comma(document: Document, path: Path, *, offer: bool) -> tuple[Problem, set[Path]]:
    """Explain `{height: 160,5 cm}`: the comma ended the value, and `5 cm` reads as a key."""
    group, key = path[:-1], str(path[-1])
    keys = list(_node(document, group)) if offer else [key]
    place = keys.index(key)
    before = keys[place - 1] if place else None
    fix = decimal_point(before, document.raw((*group, before)), key) if before is not None else None
    needed = "a decimal point: within braces and brackets a comma ends the value"
    problem = problem_at(document, path, "schema.unit", needed, wrote=f",{key}", fix=fix, at_key=True)
    return problem, {(*group, before)} if before is not None and fix is not None else set()


def _missing(document: Document, finding: _Finding, missing: Sequence[Path]) -> Problem | None:
    path, detail, root = finding
    parent, key = path[:-1], path[-1]
    if isinstance(key, int):
        if any(other[:-1] == parent and other[-1] == key + 1 for other in missing):
            return None
        needed = f"{key + 1} values"
        words = meant(root, detail["loc"][:-1])
        return problem_at(document, parent, "schema.count", f"{needed}: {words}" if words else needed)
    words = meant(root, detail["loc"])
    needed = f"a value for `{key}`" + (f": {words}" if words else "")
    return problem_at(document, path, "schema.missing", needed, wrote="nothing")


def _unreadable(document: Document, path: Path, kind: str, context: dict[str, Any]) -> Problem:
    needed, fix = context["needed"], context.get("fix")
    node = _node(document, path)
    if fix and not isinstance(node, (str, int, float)):
        # The example is nobody's value, so it is no remedy.
        needed, fix = f"{needed}, such as {fix}", None
    if kind == "number" and isinstance(node, str) and re.fullmatch(r"[-+]?[0-9]+,[0-9]+", node):
        needed, fix = f"{needed}; with a decimal point", node.replace(",", ".")
    return problem_at(document, path, f"schema.{kind}", needed, fix=fix)


def _count(document: Document, path: Path, kind: str, context: dict[str, Any]) -> Problem | None:
    node = _node(document, path)
    number = len(node) if isinstance(node, (list, dict)) else context.get("actual_length")
    if kind == "too_short":
        limit = context.get("min_length")
        if isinstance(number, int) and isinstance(limit, int) and number >= limit:
            # Pydantic counts the entries that are right; those that are wrong have problems of their own.
            return None
        needed = f"at least {_counted(limit, 'entry', 'entries')}"
        wrote = _counted(number, "entry", "entries")
        return problem_at(document, path, "schema.count", needed, wrote=wrote)
    limit = context.get("max_length")
    needed, fix = f"at most {_counted(limit, 'entry', 'entries')}", None
    wrote = _counted(number, "entry", "entries")
    raw = document.raw(path)
    commas = len(re.findall(r"(?<=[0-9]),(?=[0-9])", raw))
    if commas and isinstance(number, int) and number - commas == limit and _short(raw):
        needed += "; a decimal point: within brackets a comma ends the value"
        wrote, fix = raw, re.sub(r"(?<=[0-9]),(?=[0-9])", ".", raw)
    return problem_at(document, path, "schema.count", needed, wrote=wrote, fix=fix)


def _no_keys(document: Document, finding: _Finding) -> Problem:
    """Explain text where keys with values are needed; `latitude:45.0` is such a text."""
    path, detail, root = finding
    node = _node(document, path)
    prefix, colon, rest = node.partition(":") if isinstance(node, str) else ("", "", "")
    if colon and rest and prefix in known_keys(root, (*detail["loc"], "")):
        needed = f"a space after the colon of `{prefix}`"
        return problem_at(document, path, "schema.type", needed, fix=f"{prefix}: {rest}")
    return problem_at(document, path, "schema.type", "keys with values")


def _counted(number: Any, one: str, many: str | None = None) -> str:
    return f"{number} {one if number == 1 else many or one + 's'}"


_WANTED = {
    "string_type": "text",
    "string_sub_type": "text",
    "int_type": "a whole number",
    "int_parsing": "a whole number",
    "int_from_float": "a whole number",
    "bool_type": "true or false",
    "bool_parsing": "true or false",
    "float_type": "a number",
    "float_parsing": "a number",
    "tuple_type": "a list in square brackets",
    "list_type": "a list",
}


def _path_in_document(loc: Sequence[str | int], document: Document) -> Path:
    # Pydantic adds the names of union members to its path; those are no places in the file.
    path: list[str | int] = []
    node: Any = document.data
    for index, step in enumerate(loc):
        last = index == len(loc) - 1
        if isinstance(node, dict) and (step in node or last):
            path.append(step)
            node = node.get(step)
        elif isinstance(node, list) and isinstance(step, int):
            path.append(step)
            node = node[step] if step < len(node) else None
        elif not isinstance(node, (dict, list)):
            break
    return tuple(path)


def _node(document: Document, path: Path) -> Any:
    """Return what stands at a place, None where nothing does."""
    node: Any = document.data
    for step in path:
        try:
            node = node[step]
        except (KeyError, IndexError, TypeError):
            return None
    return node


def _written(document: Document, path: Path) -> str:
    """Return what stands at a place, as written where it is short."""
    node = _node(document, path)
    if node is None:
        return "nothing"
    raw = document.raw(path)
    if isinstance(node, (dict, list)):
        if node and _short(raw):
            return raw
        if isinstance(node, list):
            return f"a list of {len(node)}"
        return "keys with values" if node else "no keys"
    return raw if len(raw) <= SHORT else raw[: SHORT - 3] + "..."


def _short(raw: str) -> bool:
    return len(raw) <= SHORT and "\n" not in raw and "\r" not in raw
