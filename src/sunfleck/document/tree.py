"""Build plain data with marks from the parser's events, with guards that act before anything is built."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Any, NamedTuple

import yaml

from sunfleck.document.problem import Problem
from sunfleck.document.scalars import resolve

Path = tuple[str | int, ...]

# libyaml where PyYAML was built with it; the parser in Python gives the same events, more slowly.
LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


@dataclass(frozen=True, slots=True)
class Limits:
    """What a document may be at most.

    Attributes
    ----------
    size : int
        Bytes of UTF-8. [-]
    depth : int
        Lists and groups of keys inside one another. [-]
    values : int
        Keys, values, lists and groups together. [-]
    """

    size: int = 512 * 1024
    depth: int = 32
    values: int = 20_000


DEFAULT_LIMITS = Limits()


class Mark(NamedTuple):
    """Where a value stands, and the key it belongs to.

    Attributes
    ----------
    line, column : int
        Place of the value, from 1.
    start, end : int
        Characters of the text it takes up, from 0; `end` is one past the last.
    key_line, key_column : int or None
        Place of its key, from 1; None for an entry of a list and for the document itself.
    key_start, key_end : int or None
        Characters of its key as written, quotes included.
    """

    line: int
    column: int
    start: int
    end: int
    key_line: int | None = None
    key_column: int | None = None
    key_start: int | None = None
    key_end: int | None = None


class TooMuchError(Exception):
    """A limit is broken: nothing behind this place was looked at."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        super().__init__(problem.rule)


@dataclass(slots=True)
class _Open:
    """A list or group of keys whose end has not come yet."""

    container: Any
    path: Path
    begun: Mark
    flow: bool
    is_key: bool = False
    key: str | None = None
    key_mark: Any = None
    lines: dict[str, int] = field(default_factory=dict)
    last_end: int = 0


class TreeBuilder:
    """Builds data and marks from events with a stack of its own, so that depth costs no recursion.

    Parameters
    ----------
    file : str
        Name of the document, for messages.
    limits : Limits
        Guards.

    Attributes
    ----------
    data : object
        The plain data.
    marks : dict
        Place of every value by its path.
    styles : dict
        ``plain`` or ``quoted`` for the path of every scalar.
    problems : list of Problem
        Found so far; where there is one, the data are of no use.
    """

    def __init__(self, file: str, limits: Limits) -> None:
        self.file, self.limits = file, limits
        self.data: Any = None
        self.marks: dict[Path, Mark] = {(): Mark(1, 1, 0, 0)}
        self.styles: dict[Path, str] = {}
        self.problems: list[Problem] = []
        self._open: list[_Open] = []
        self._count = 0
        self._documents = 0
        self._text = ""

    def build(self, text: str, loader: Any = LOADER) -> None:
        """Take in a text.

        Parameters
        ----------
        text : str
            The document.
        loader : type
            PyYAML's parser to use.

        Raises
        ------
        yaml.YAMLError
            Where the text is not YAML.
        TooMuchError
            Where a limit is broken.
        """
        self._text = text
        take = {
            yaml.ScalarEvent: self._scalar,
            yaml.AliasEvent: self._alias,
            yaml.MappingStartEvent: self._start,
            yaml.SequenceStartEvent: self._start,
            yaml.MappingEndEvent: self._end,
            yaml.SequenceEndEvent: self._end,
            yaml.DocumentStartEvent: self._document,
        }
        for event in yaml.parse(text, Loader=loader):
            act = take.get(type(event))
            if act is not None:
                act(event)

    def _document(self, event: Any) -> None:
        self._documents += 1
        if self._documents > 1:
            needed = "one document in a file"
            fix = "take out the line --- and what follows it"
            raise TooMuchError(
                self._problem(event, "yaml.several-documents", "a second document", needed, fix)
            )

    def _guard(self, event: Any) -> None:
        self._count += 1
        if self._count > self.limits.values:
            needed = f"at most {self.limits.values:,} keys and values"
            raise TooMuchError(self._problem(event, "yaml.too-large", "one value more", needed))
        if event.anchor is not None:
            sign = "*" if isinstance(event, yaml.AliasEvent) else "&"
            needed = "the value itself, written out; these files use no anchors and aliases"
            self.problems.append(self._problem(event, "yaml.alias", f"{sign}{event.anchor}", needed))
        if getattr(event, "tag", None) is not None:
            needed = "no tag; these files hold plain values"
            self.problems.append(self._problem(event, "yaml.tag", str(event.tag), needed))

    def _start(self, event: Any) -> None:
        self._guard(event)
        if len(self._open) >= self.limits.depth:
            needed = f"lists and groups at most {self.limits.depth} deep"
            raise TooMuchError(self._problem(event, "yaml.too-deep", "one level more", needed))
        container: Any = {} if isinstance(event, yaml.MappingStartEvent) else []
        is_key = self._wants_key()
        if is_key:
            wrote = "a list or group of keys as a key"
            self.problems.append(self._problem(event, "yaml.key-not-text", wrote, "a word as a key"))
            path: Path = (*self._open[-1].path, "...")
            mark = _mark(event, None)
        else:
            mark = _mark(event, self._key_mark())
            path = self._place(container)
            self.marks[path] = mark
        self._open.append(_Open(container, path, mark, bool(event.flow_style), is_key, last_end=mark.end))

    def _end(self, event: Any) -> None:
        closed = self._open.pop()
        # The end of an indented group is only noticed at the next word, after comments that are not its own.
        end = event.end_mark.index if closed.flow else closed.last_end
        if closed.is_key:
            self._open[-1].key, self._open[-1].key_mark = "...", event
            return
        begun = closed.begun
        self.marks[closed.path] = begun._replace(end=end)
        self._ended(end)

    def _scalar(self, event: Any) -> None:
        self._guard(event)
        plain = not event.style and event.implicit[0]
        value = resolve(event.value) if plain else event.value
        if self._wants_key():
            self._take_key(event, value)
        else:
            self._leaf(event, value, "plain" if plain else "quoted")

    def _alias(self, event: Any) -> None:
        self._guard(event)
        if self._wants_key():
            self._open[-1].key, self._open[-1].key_mark = "...", event
        else:
            self._leaf(event, None, "plain")

    def _leaf(self, event: Any, value: Any, style: str) -> None:
        mark = _mark(event, self._key_mark())
        path = self._place(value)
        self.marks[path] = mark
        self.styles[path] = style
        self._ended(mark.end)

    def _take_key(self, event: Any, value: Any) -> None:
        parent = self._open[-1]
        parent.key_mark = event
        if not isinstance(value, str):
            written = event.value
            if isinstance(value, (int, float)) and self._after_comma(event, written):
                return
            needed = "a word as a key, in quotes where it would be a number, true, false or null"
            fix = f'"{written[:40]}"' if written else None
            wrote = written or "a key that is empty"
            self.problems.append(self._problem(event, "yaml.key-not-text", wrote, needed, fix))
            parent.key = written or "..."
            return
        parent.key = value
        if value in parent.lines:
            needed = f"each key once; it stands in line {parent.lines[value]} already"
            self.problems.append(
                self._problem(event, "yaml.duplicate-key", f"{value} a second time", needed, key=value)
            )
        else:
            parent.lines[value] = event.start_mark.line + 1

    def _after_comma(self, event: Any, written: str) -> bool:
        """Explain `{uvi: 5,8}`: the comma ended the value, and `8` reads as a key without one."""
        parent, start, end = self._open[-1], event.start_mark.index, event.end_mark.index
        if not parent.flow or not parent.container or self._text[start - 1 : start] != ",":
            return False
        key = next(reversed(parent.container))
        before = self.marks.get((*parent.path, key))
        if (
            before is None
            or before.end != start - 1
            or self._text[end : end + 40].lstrip()[:1] not in (",", "}")
        ):
            return False
        whole = self._text[before.start : before.end]
        fix = decimal_point(key, whole, written)
        if fix is None:
            return False
        needed = "a decimal point: within braces a comma ends the value"
        wrote = f"{key}: {whole},{written}"
        problem = self._problem(event, "yaml.key-not-text", wrote, needed, fix, key=key)
        self.problems.append(problem)
        parent.key = written
        return True

    def _wants_key(self) -> bool:
        return bool(self._open) and isinstance(self._open[-1].container, dict) and self._open[-1].key is None

    def _key_mark(self) -> Any:
        return self._open[-1].key_mark if self._open else None

    def _place(self, value: Any) -> Path:
        """Put a value where it belongs and return its path."""
        if not self._open:
            self.data = value
            return ()
        parent = self._open[-1]
        if isinstance(parent.container, dict):
            assert parent.key is not None
            step: str | int = parent.key
            parent.container[step] = value
            parent.key = parent.key_mark = None
        else:
            step = len(parent.container)
            parent.container.append(value)
        return (*parent.path, step)

    def _ended(self, end: int) -> None:
        if self._open and end > self._open[-1].last_end:
            self._open[-1].last_end = end

    def _problem(
        self, event: Any, rule: str, wrote: str, needed: str, fix: str | None = None, key: str | None = None
    ) -> Problem:
        steps: list[str | int] = []
        if self._open:
            inner = self._open[-1]
            steps = list(inner.path)
            step = key if isinstance(inner.container, dict) else len(inner.container)
            if key is None and inner.key is not None:
                step = inner.key
            steps += [] if step is None else [step]
        where = "".join(f"[{s}]" if isinstance(s, int) else f".{s[:60]}" for s in steps).removeprefix(".")
        mark = event.start_mark
        shown = wrote if len(wrote) <= 60 else wrote[:57] + "..."
        return Problem(
            rule, where or "the plan", mark.line + 1, mark.column + 1, shown, needed, fix, self.file
        )


def decimal_point(key: str, whole: str, rest: str) -> str | None:
    """Return the remedy for a decimal comma within braces, as a key with its value.

    Parameters
    ----------
    key, whole : str
        The key before the comma, and its value: the digits before the comma.
    rest : str
        What stands after the comma, beginning with a digit.

    Returns
    -------
    remedy : str or None
        Two remedies where three digits follow the comma, which may be thousands; None where
        this is no number with a comma.

    Examples
    --------
    >>> decimal_point("uvi", "5", "8"), decimal_point("lux", "12", "000 lux")
    ('uvi: 5.8', 'lux: 12.000 lux or lux: 12000 lux')
    """
    if not re.fullmatch(r"[-+]?[0-9]+", whole) or not re.match(r"[0-9]", rest):
        return None
    remedy = f"{key}: {whole}.{rest}"
    if re.match(r"[0-9]{3}(?![0-9])", rest) and re.fullmatch(r"[-+]?[1-9][0-9]{0,2}", whole):
        remedy += f" or {key}: {whole}{rest}"
    return remedy


def _mark(event: Any, key: Any) -> Mark:
    start, end = event.start_mark, event.end_mark
    if key is None:
        return Mark(start.line + 1, start.column + 1, start.index, end.index)
    begun, done = key.start_mark, key.end_mark
    return Mark(
        start.line + 1, start.column + 1, start.index, end.index,
        begun.line + 1, begun.column + 1, begun.index, done.index,
    )  # fmt: skip
