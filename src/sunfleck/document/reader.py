"""Read YAML 1.2 into plain data, knowing where every value stands, with guards that act first."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

import yaml

from sunfleck.document.problem import PlanError, Problem

Path = tuple[str | int, ...]
_LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


@dataclass(frozen=True, slots=True)
class Limits:
    """What a document may be at most."""

    size: int = 512 * 1024
    depth: int = 32
    values: int = 20_000


DEFAULT_LIMITS = Limits()


@dataclass(frozen=True, slots=True)
class Mark:
    """Where a value stands.

    Attributes
    ----------
    line, column : int
        From 1.
    start, end : int
        Characters of the text it takes up, from 0; `end` is one past the last.
    """

    line: int
    column: int
    start: int
    end: int


@dataclass(frozen=True)
class Document:
    """A text, the plain data in it, and where each value stands.

    Attributes
    ----------
    text, file : str
        What was read, and its name.
    data : object
        Dicts, lists, text, numbers, true, false, None by the core schema of YAML 1.2.
    marks : dict
        Place of every value and of every key's value by its path.
    """

    text: str
    file: str
    data: Any
    marks: dict[Path, Mark] = field(repr=False)
    styles: dict[Path, str] = field(repr=False)

    def mark(self, path: Path) -> Mark:
        """Return the place of a value, or of its nearest parent that exists."""
        while path not in self.marks:
            path = path[:-1]
        return self.marks[path]

    def raw(self, path: Path) -> str:
        """Return a value as written."""
        mark = self.mark(path)
        return self.text[mark.start : mark.end].strip()


def read_document_bytes(content: bytes, file: str = "plan.yaml", limits: Limits = DEFAULT_LIMITS) -> Document:
    """Read a document from the bytes of a file; see :func:`read_document`."""
    if len(content) > limits.size:
        raise PlanError(
            (_problem(file, 1, 1, "yaml.too-large", f"{len(content):,} bytes or more", _size(limits)),)
        )
    try:
        text = content.decode("utf-8")
    except UnicodeDecodeError as error:
        line = content[: error.start].count(b"\n") + 1
        column = error.start - (content.rfind(b"\n", 0, error.start) + 1) + 1
        wrote = f"the byte 0x{content[error.start]:02x}"
        raise PlanError((_problem(file, line, column, "yaml.encoding", wrote, "UTF-8 text"),)) from error
    return read_document(text, file, limits)


def read_document(text: str, file: str = "plan.yaml", limits: Limits = DEFAULT_LIMITS) -> Document:
    """Read YAML text.

    Parameters
    ----------
    text : str
        The document.
    file : str
        Its name, for messages.
    limits : Limits
        Guards; they act on the stream of events, before anything is built.

    Returns
    -------
    document : Document
        Data with the place of every value.

    Raises
    ------
    PlanError
        With every problem that the text itself has.
    """
    if len(text.encode("utf-8", "surrogatepass")) > limits.size:
        raise PlanError((_problem(file, 1, 1, "yaml.too-large", f"{len(text):,} characters", _size(limits)),))
    # A byte order mark is no part of the text; without it marks count what a person sees.
    text = text.removeprefix("\ufeff")
    odd = re.search("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\x80-\x84\x86-\x9f\ud800-\udfff\ufffe\uffff]", text)
    if odd is not None:
        line, column = _line_column(text, odd.start())
        wrote = f"the character U+{ord(odd.group()):04X}"
        needed = "printable characters, spaces and line ends"
        raise PlanError((_problem(file, line, column, "yaml.encoding", wrote, needed),))
    builder = _Builder(text, file, limits)
    try:
        builder.build()
    except yaml.YAMLError as error:
        builder.problems.append(_syntax(text, file, error))
    except _TooMuchError as error:
        builder.problems.append(error.problem)
    if builder.problems:
        raise PlanError(tuple(sorted(builder.problems, key=lambda p: (p.line, p.column))))
    return Document(text, file, builder.data, builder.marks, builder.styles)


class _TooMuchError(Exception):
    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        super().__init__(problem.rule)


class _Builder:
    """Builds data and marks from libyaml's events, without recursion."""

    def __init__(self, text: str, file: str, limits: Limits) -> None:
        self.text, self.file, self.limits = text, file, limits
        self.data: Any = None
        self.marks: dict[Path, Mark] = {(): Mark(1, 1, 0, 0)}
        self.styles: dict[Path, str] = {}
        self.problems: list[Problem] = []
        self._open: list[_Open] = []
        self._count = 0
        self._documents = 0

    def build(self) -> None:
        for event in yaml.parse(self.text, Loader=_LOADER):
            if isinstance(event, yaml.DocumentStartEvent):
                self._documents += 1
                if self._documents > 1:
                    raise _TooMuchError(
                        self._at(
                            event, "yaml.several-documents", "a second document", "one document in a file"
                        )
                    )
            elif isinstance(event, yaml.AliasEvent):
                self.problems.append(
                    self._at(event, "yaml.alias", f"*{event.anchor}", "the value itself, written out")
                )
                self._value(event, None, "")
            elif isinstance(event, yaml.ScalarEvent):
                self._guards(event)
                plain = event.style in (None, "") and event.implicit[0]
                self._value(
                    event,
                    resolve(event.value) if plain else event.value,
                    "plain" if plain else "quoted",
                    event.value,
                )
            elif isinstance(event, (yaml.MappingStartEvent, yaml.SequenceStartEvent)):
                self._guards(event)
                self._start(event)
            elif isinstance(event, (yaml.MappingEndEvent, yaml.SequenceEndEvent)):
                self._end(event)

    def _guards(self, event: Any) -> None:
        self._count += 1
        if self._count > self.limits.values:
            needed = f"at most {self.limits.values:,} values"
            raise _TooMuchError(self._at(event, "yaml.too-large", "one value more", needed))
        if event.anchor is not None:
            self.problems.append(
                self._at(event, "yaml.alias", f"&{event.anchor}", "no anchor; plans do not use aliases")
            )
        if event.tag is not None and event.tag != "!":
            self.problems.append(
                self._at(event, "yaml.tag", str(event.tag), "no tag; plans hold plain values")
            )

    def _start(self, event: Any) -> None:
        if len(self._open) >= self.limits.depth:
            needed = f"nesting at most {self.limits.depth} deep"
            raise _TooMuchError(self._at(event, "yaml.too-deep", "one level more", needed))
        container: Any = {} if isinstance(event, yaml.MappingStartEvent) else []
        if self._wants_key():
            self.problems.append(
                self._at(event, "yaml.key-not-text", "a list or group as a key", "a word as a key")
            )
            path: Path = (*self._open[-1].path, "")
            self._open.append(_Open(container, path, is_key=True))
            return
        path = self._place(container)
        self.marks[path] = _mark(event.start_mark, event.end_mark)
        self._open.append(_Open(container, path))

    def _end(self, event: Any) -> None:
        closed = self._open.pop()
        if closed.is_key:
            self._open[-1].key = f"\0{len(self._open[-1].container)}"
            return
        begun = self.marks[closed.path]
        self.marks[closed.path] = Mark(begun.line, begun.column, begun.start, event.end_mark.index)

    def _value(self, event: Any, value: Any, style: str, written: str = "") -> None:
        if self._wants_key():
            self._key(event, value, written)
            return
        path = self._place(value)
        self.marks[path] = _mark(event.start_mark, event.end_mark)
        self.styles[path] = style

    def _key(self, event: Any, value: Any, written: str) -> None:
        parent = self._open[-1]
        if not isinstance(value, str):
            shown = written or "nothing"
            self.problems.append(
                self._at(event, "yaml.key-not-text", shown, "a word as a key (in quotes if it is meant)")
            )
            parent.key = f"\0{written}"
            return
        if value in parent.lines:
            needed = f"each key once; line {parent.lines[value]} already has it"
            self.problems.append(self._at(event, "yaml.duplicate-key", f"{value!r} again", needed, value))
        parent.lines.setdefault(value, event.start_mark.line + 1)
        parent.key = value

    def _wants_key(self) -> bool:
        return bool(self._open) and isinstance(self._open[-1].container, dict) and self._open[-1].key is None

    def _place(self, value: Any) -> Path:
        if not self._open:
            self.data = value
            return ()
        parent = self._open[-1]
        if isinstance(parent.container, dict):
            assert parent.key is not None
            step: str | int = parent.key
            parent.container[step] = value
            parent.key = None
        else:
            step = len(parent.container)
            parent.container.append(value)
        return (*parent.path, step)

    def _at(self, event: Any, rule: str, wrote: str, needed: str, key: str = "") -> Problem:
        mark = event.start_mark
        steps: list[str | int] = list(self._open[-1].path) if self._open else []
        if key:
            steps.append(key)
        where = "".join(f"[{s}]" if isinstance(s, int) else f".{s}" for s in steps).lstrip(".") or "the plan"
        return _problem(self.file, mark.line + 1, mark.column + 1, rule, wrote[:60], needed, where)


@dataclass
class _Open:
    container: Any
    path: Path
    key: str | None = None
    is_key: bool = False
    lines: dict[str, int] = field(default_factory=dict)


_INTEGER = re.compile(r"[-+]?[0-9]{1,400}")
_OCTAL = re.compile(r"0o[0-7]{1,400}")
_HEX = re.compile(r"0x[0-9a-fA-F]{1,400}")
_FLOAT = re.compile(r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?")
_NAMED: dict[str, Any] = {
    **dict.fromkeys(("", "~", "null", "Null", "NULL")),
    **dict.fromkeys(("true", "True", "TRUE"), True),
    **dict.fromkeys(("false", "False", "FALSE"), False),
    **dict.fromkeys((".inf", ".Inf", ".INF", "+.inf", "+.Inf", "+.INF"), math.inf),
    **dict.fromkeys(("-.inf", "-.Inf", "-.INF"), -math.inf),
    **dict.fromkeys((".nan", ".NaN", ".NAN"), math.nan),
}


def resolve(written: str) -> Any:
    """Return what a plain scalar means by the core schema of YAML 1.2 (``no`` stays a word).

    >>> [resolve(word) for word in ("no", "12", "0x1F", "1e3", "true", "~", "4 ft")]
    ['no', 12, 31, 1000.0, True, None, '4 ft']
    """
    if written in _NAMED:
        return _NAMED[written]
    if len(written) > 400:
        return written
    if _INTEGER.fullmatch(written):
        return int(written)
    if _OCTAL.fullmatch(written):
        return int(written, 8)
    if _HEX.fullmatch(written):
        return int(written, 16)
    if _FLOAT.fullmatch(written):
        return float(written)
    return written


def _mark(start: Any, end: Any) -> Mark:
    return Mark(start.line + 1, start.column + 1, start.index, end.index)


def _line_column(text: str, index: int) -> tuple[int, int]:
    return text.count("\n", 0, index) + 1, index - (text.rfind("\n", 0, index) + 1) + 1


def _size(limits: Limits) -> str:
    return f"at most {limits.size // 1024} KiB"


def _problem(
    file: str, line: int, column: int, rule: str, wrote: str, needed: str, where: str = "the plan"
) -> Problem:
    return Problem(rule=rule, where=where, line=line, column=column, wrote=wrote, needed=needed, file=file)


def _syntax(text: str, file: str, error: yaml.YAMLError) -> Problem:
    mark = getattr(error, "problem_mark", None) or getattr(error, "context_mark", None)
    last = text.count("\n") + 1
    line = min(mark.line + 1, last) if mark is not None else 1
    column = mark.column + 1 if mark is not None else 1
    lines = text.split("\n")
    wrote = lines[line - 1].strip()[:60] or "an empty line"
    reason = getattr(error, "problem", None) or "it cannot be read as YAML"
    needed = f"YAML that can be read here or on the line before ({reason})"
    return _problem(file, line, column, "yaml.syntax", wrote, needed)


def walk(data: Any, path: Path = ()) -> Iterator[tuple[Path, Any]]:
    """Yield every value of a document's data with its path."""
    yield path, data
    if isinstance(data, dict):
        for key, value in data.items():
            yield from walk(value, (*path, key))
    elif isinstance(data, list):
        for index, value in enumerate(data):
            yield from walk(value, (*path, index))
