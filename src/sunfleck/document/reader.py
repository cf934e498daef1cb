"""Read YAML 1.2 into plain data, knowing where every value stands."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

import yaml

from sunfleck.document.mend import mended
from sunfleck.document.problem import PlanError, Problem
from sunfleck.document.scalars import resolve
from sunfleck.document.syntax import explain, line_column
from sunfleck.document.tree import DEFAULT_LIMITS, Limits, Mark, Path, TooMuchError, TreeBuilder

__all__ = [
    "DEFAULT_LIMITS",
    "Document",
    "Limits",
    "Mark",
    "Path",
    "read_document",
    "read_document_bytes",
    "resolve",
    "walk",
]

# Not printable in YAML 1.2, or (NEL, LS, PS) a line end for YAML 1.1's parser and a letter for every
# editor: lines would be counted differently by the two.
_ODD = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff\ufeff\ufffe\uffff]")
_DIRECTIVE = re.compile(r"(?:^|(?<=\r))%(?:TAG|YAML)\b[^\r\n]*", re.MULTILINE)


@dataclass(frozen=True)
class Document:
    """A text, the plain data in it, and where each value stands.

    Attributes
    ----------
    text, file : str
        What was read (without a byte order mark), and its name.
    data : object
        Dicts, lists, text, numbers, true, false, None by the core schema of YAML 1.2.
    marks : dict
        Place of every value, and of the key it belongs to, by its path.
    styles : dict
        For the path of every scalar, ``plain`` or ``quoted``.
    begins_with : str
        The byte order mark where the file has one, else empty.
    """

    text: str
    file: str
    data: Any
    marks: dict[Path, Mark] = field(repr=False)
    styles: dict[Path, str] = field(repr=False)
    begins_with: str = field(default="", repr=False)

    @property
    def lines(self) -> list[str]:
        """The lines of the text without their ends."""
        return re.split(r"\r\n|\r|\n", self.text)

    def mark(self, path: Path) -> Mark:
        """Return the place of a value, or of its nearest parent that exists."""
        while path not in self.marks:
            path = path[:-1]
        return self.marks[path]

    def raw(self, path: Path) -> str:
        """Return a value (or the nearest parent that exists) as written."""
        mark = self.mark(path)
        return self.text[mark.start : mark.end].strip()


def read_document_bytes(content: bytes, file: str = "plan.yaml", limits: Limits = DEFAULT_LIMITS) -> Document:
    """Read a document from the bytes of a file.

    Parameters
    ----------
    content : bytes
        UTF-8, with or without a byte order mark.
    file : str
        Its name, for messages.
    limits : Limits
        Guards; see :func:`read_document`.

    Returns
    -------
    document : Document
        Data with the place of every value.

    Raises
    ------
    PlanError
        With every problem that the text itself has.
    """
    if len(content) > limits.size:
        # Who reads a file stops one byte after the limit, so the true size is not known here.
        raise PlanError((_problem(file, 1, 1, "yaml.too-large", f"{len(content):,} bytes or more", limits),))
    try:
        text = content.decode("utf-8")
    except UnicodeDecodeError as error:
        line, column = line_column(content[: error.start].decode("utf-8").removeprefix("\ufeff"), error.start)
        wrote = f"the byte 0x{content[error.start]:02x}"
        fix = "save the file as UTF-8 in the editor"
        raise PlanError((_problem(file, line, column, "yaml.encoding", wrote, "UTF-8 text", fix),)) from error
    return read_document(text, file, limits)


def read_document(text: str, file: str = "plan.yaml", limits: Limits = DEFAULT_LIMITS) -> Document:
    r"""Read YAML text.

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

    Notes
    -----
    Anchors, aliases, tags, directives for tags, a second document, keys that are no text, a key
    that stands twice and characters that no editor shows are problems. A tab may stand wherever
    YAML allows one, which is everywhere but in the indentation.

    Examples
    --------
    >>> document = read_document("vents: [{at: 2 cm}]  # low\n")
    >>> document.data, document.raw(("vents", 0, "at"))
    ({'vents': [{'at': '2 cm'}]}, '2 cm')
    >>> document.mark(("vents", 0, "at")).column
    14
    """
    # Counting bytes is only needed where the characters alone do not exceed the limit.
    if len(text) > limits.size or len(text.encode("utf-8", "surrogatepass")) > limits.size:
        raise PlanError((_problem(file, 1, 1, "yaml.too-large", f"{len(text):,} characters", limits),))
    # A byte order mark is no part of the text; without it marks count what a person sees.
    begins_with = "\ufeff" if text.startswith("\ufeff") else ""
    text = text[len(begins_with) :]
    problems = [*_unreadable_characters(text, file), *_directives(text, file)]
    if problems:
        raise PlanError(problems)
    builder = TreeBuilder(file, limits)
    try:
        builder.build(text)
    except yaml.YAMLError as error:
        builder.problems += [
            _problem(file, found.line, found.column, "yaml.syntax", found.wrote, found.needed, found.fix)
            for found in mended(text, error) or [explain(text, error)]
        ]
    except TooMuchError as error:
        builder.problems.append(error.problem)
    if builder.problems:
        raise PlanError(builder.problems)
    return Document(text, file, builder.data, builder.marks, builder.styles, begins_with)


def walk(data: Any, path: Path = ()) -> Iterator[tuple[Path, Any]]:
    """Yield every value of a document's data with its path, parents first."""
    yield path, data
    if isinstance(data, dict):
        for key, value in data.items():
            yield from walk(value, (*path, key))
    elif isinstance(data, list):
        for index, value in enumerate(data):
            yield from walk(value, (*path, index))


def _unreadable_characters(text: str, file: str) -> list[Problem]:
    """Report the first character that no editor shows; more of them would say nothing new."""
    odd = _ODD.search(text)
    if odd is None:
        return []
    line, column = line_column(text, odd.start())
    wrote = f"the character U+{ord(odd[0]):04X}"
    needed = "printable characters, spaces, tabs and line ends"
    return [_problem(file, line, column, "yaml.encoding", wrote, needed, "take the character out")]


def _directives(text: str, file: str) -> list[Problem]:
    """Refuse directives beforehand: the parser compares each with all others, in quadratic time."""
    found = _DIRECTIVE.search(text)
    if found is None:
        return []
    line, column = line_column(text, found.start())
    needed = "no directive; these files are YAML 1.2 and hold plain values"
    return [_problem(file, line, column, "yaml.tag", found[0][:60].strip(), needed, "take the line out")]


def _problem(
    file: str, line: int, column: int, rule: str, wrote: str, needed: str | Limits, fix: str | None = None
) -> Problem:
    if isinstance(needed, Limits):
        needed = f"at most {needed.size / 1024:g} KiB"
    return Problem(rule, "the plan", line, column, wrote, needed, fix, file)
