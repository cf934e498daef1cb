"""Turn what pydantic finds into our own Problem records, with marks, names and remedies."""

from __future__ import annotations

import types
from collections.abc import Sequence
from typing import Any, Union, get_args, get_origin

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from sunfleck.document.problem import Problem, nearest
from sunfleck.document.reader import Document
from sunfleck.plan.models import Plan

Path = tuple[str | int, ...]


def problem_at(
    document: Document,
    path: Path,
    rule: str,
    needed: str,
    *,
    wrote: str | None = None,
    fix: str | None = None,
) -> Problem:
    """Build a problem that points at a place in the plan and names it as the user does."""
    mark = document.mark(path)
    return Problem(
        rule=rule,
        where=where(document, path),
        line=mark.line,
        column=mark.column,
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


def problems_from(error: ValidationError, document: Document) -> list[Problem]:
    """Return one problem for each thing pydantic found, in its order."""
    return [_problem(detail, document) for detail in error.errors(include_url=False)]


def _problem(detail: ErrorDetails, document: Document) -> Problem:  # noqa: PLR0911  # one return a kind of error
    path = _path_in_document(detail["loc"], document)
    kind, context = detail["type"], detail.get("ctx") or {}
    known = sorted(_known_keys(detail["loc"]))
    match kind:
        case "missing":
            parent, key = path[:-1], str(path[-1])
            return problem_at(
                document,
                path,
                "schema.missing",
                f"a value for `{key}`",
                wrote="nothing",
                fix=_near_miss(document, parent, key),
            )
        case "extra_forbidden":
            if str(path[-1])[:1].isdigit():
                return _comma(document, path)
            near = nearest(str(path[-1]), known)
            keys = ", ".join(known)
            fix = f"{near}: {_written(document, path)}" if near else None
            return problem_at(
                document,
                path,
                "schema.unknown-key",
                f"one of the keys known here: {keys}",
                wrote=f"the key {path[-1]!r}",
                fix=fix,
            )
        case "unit" | "number":
            return problem_at(document, path, f"schema.{kind}", context["needed"], fix=context.get("fix"))
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
            least = "at least" if kind == "too_short" else "at most"
            limit = context.get("min_length" if kind == "too_short" else "max_length")
            return problem_at(
                document,
                path,
                "schema.count",
                f"{least} {limit} entries",
                wrote=f"{context.get('actual_length')} entries",
            )
        case "string_too_short" | "string_too_long":
            least = "at least" if kind == "string_too_short" else "at most"
            limit = context.get("min_length" if kind == "string_too_short" else "max_length")
            return problem_at(document, path, "schema.count", f"{least} {limit} characters")
        case _:
            return problem_at(document, path, "schema.type", _WANTED.get(kind, "another kind of value"))


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
    "dict_type": "keys with values",
    "model_type": "keys with values",
    "model_attributes_type": "keys with values",
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


def _written(document: Document, path: Path) -> str:
    node: Any = document.data
    for step in path:
        try:
            node = node[step]
        except (KeyError, IndexError, TypeError):
            return "nothing"
    if isinstance(node, dict):
        return "keys with values" if node else "no keys"
    if isinstance(node, list):
        return f"a list of {len(node)}"
    if node is None:
        return "nothing"
    text = document.raw(path)
    return text if len(text) <= 60 else text[:57] + "..."


def _comma(document: Document, path: Path) -> Problem:
    """Explain `{height: 160,5 cm}`: the comma ended the value, and `5 cm` reads as a key."""
    group: Any = document.data
    for step in path[:-1]:
        group = group[step]
    keys = list(group)
    before = keys[keys.index(path[-1]) - 1] if keys.index(path[-1]) else None
    fix = None
    if before is not None:
        fix = f"{before}: {document.raw((*path[:-1], before))}.{path[-1]}"
    needed = "a decimal point: within braces and brackets a comma ends the value"
    return problem_at(document, path, "schema.unit", needed, wrote=f",{path[-1]}", fix=fix)


def _near_miss(document: Document, parent: Path, key: str) -> str | None:
    node: Any = document.data
    for step in parent:
        node = node[step]
    if not isinstance(node, dict):
        return None
    near = nearest(key, [k for k in node if isinstance(k, str)])
    return f"{key}: ... (you wrote {near!r})" if near else f"{key}: ..."


def _known_keys(loc: Sequence[str | int]) -> set[str]:
    """Keys the models know at the place of the last step of `loc`."""
    model: Any = Plan
    for step in loc[:-1]:
        if isinstance(step, int):
            continue
        if not (isinstance(model, type) and issubclass(model, BaseModel)):
            return set()
        field = next((f for n, f in model.model_fields.items() if (f.alias or n) == step), None)
        if field is None:
            return set()
        model = _model_in(field.annotation)
    if isinstance(model, type) and issubclass(model, BaseModel):
        return {field.alias or name for name, field in model.model_fields.items()}
    return set()


def _model_in(annotation: Any) -> Any:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    if get_origin(annotation) in (Union, types.UnionType, tuple, dict, list):
        for inner in get_args(annotation):
            found = _model_in(inner)
            if found is not None:
                return found
    return None
