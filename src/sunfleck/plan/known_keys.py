"""Which keys a file's models know at a place, and which section an entry reads like."""

from __future__ import annotations

import types
from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from typing import Any, Union, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from sunfleck.document.problem import nearest

Section = tuple[str, ...]
Root = type[BaseModel]


def known_keys(root: Root, loc: Sequence[str | int]) -> set[str]:
    """Return the keys that the models know at the place of the last step of `loc`."""
    model = _model_at(root, loc[:-1])
    return set(_fields(model)) if model else set()


def meant(root: Root, loc: Sequence[str | int]) -> str:
    """Return what a field holds, in the words of its own bounds; empty where it has none."""
    model = _model_at(root, loc[:-1])
    field = _fields(model).get(str(loc[-1])) if model else None
    if field is None:
        return ""
    # `Point | None` carries its words inside the union.
    inner = [extra for kind in get_args(field.annotation) for extra in getattr(kind, "__metadata__", ())]
    for extra in (field, *field.metadata, *inner):
        words = getattr(extra, "span", None) or getattr(extra, "description", None)
        if words:
            return str(words)
    return ""


def reads_like(root: Root, section: Section, entry: Mapping[str, Any]) -> Section | None:
    """Return the section whose entries an entry fits better than those of its own.

    Parameters
    ----------
    root : type
        The model of the file as a whole.
    section : tuple of str
        Where it stands: ``("backgrounds",)``.
    entry : mapping
        Its keys with their values.

    Returns
    -------
    section : tuple of str or None
        The section that knows more of its keys, those that are all but spelt right at home
        counted as known there; None where none does.
    """
    sections = _sections(root)
    own = sections.get(section)
    if own is None:
        return None
    at_home = sum(key in own or nearest(key, own) is not None for key in entry)
    counts = {
        other: sum(key in keys for key in entry) for other, keys in sections.items() if other != section
    }
    best = max(counts, key=lambda other: counts[other])
    return best if counts[best] > at_home else None


@cache
def _sections(root: Root) -> dict[Section, frozenset[str]]:
    return dict(_sections_in(root, ()))


def _sections_in(model: type[BaseModel], path: Section) -> Iterator[tuple[Section, frozenset[str]]]:
    for key, field in _fields(model).items():
        inner = _model_in(field.annotation)
        if inner is None:
            continue
        if get_origin(field.annotation) is tuple:
            yield (*path, key), frozenset(_fields(inner))
        elif key == "enclosure":
            yield from _sections_in(inner, (*path, key))


def _model_at(root: Root, loc: Sequence[str | int]) -> type[BaseModel] | None:
    model: type[BaseModel] | None = root
    for step in loc:
        if isinstance(step, int):
            continue
        if model is None or step not in _fields(model):
            return None
        model = _model_in(_fields(model)[step].annotation)
    return model


def _fields(model: type[BaseModel]) -> dict[str, FieldInfo]:
    """Return a model's fields by the keys of the file."""
    return {field.alias or name: field for name, field in model.model_fields.items()}


def _model_in(annotation: Any) -> type[BaseModel] | None:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    if get_origin(annotation) in (Union, types.UnionType, tuple, dict, list):
        for inner in get_args(annotation):
            found = _model_in(inner)
            if found is not None:
                return found
    return None
