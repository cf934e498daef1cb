"""Find the slip that stopped the parser: the one small change after which it reads on.

Where the parser stops is seldom where the slip is. A change is only offered when the parser,
given the changed text, gets beyond the line at which it stopped.
"""

from __future__ import annotations

import re
from typing import NamedTuple

import yaml

from sunfleck.document.syntax import SyntaxProblem, line_column, line_of, stopped_at
from sunfleck.document.tree import LOADER

LONGEST = 32 * 1024
"""Text beyond which no change is tried; a plan has a few KiB, and every try reads all of it. [characters]"""

ROUNDS = 5
LONGEST_REMEDY = 160

_NO_SPACE = re.compile(r"(?P<head> *(?:- +)*)(?P<key>[A-Za-z_][A-Za-z0-9_]*):(?=[^\s:/])")
_NO_COLON = re.compile(r"(?P<head> *(?:- +)*)(?P<key>[a-z_]+)(?=\s|$)(?! *:)")
_ENTRY = re.compile(r"(?P<indent> *)(?P<dash>- +)?(?=[^\s#])")
_KEY = re.compile(r" *(?:- +)*(?:[A-Za-z_][\w .-]*|\"[^\"]*\"|'[^']*'):(?=\s|$)")


class _Mended(NamedTuple):
    """Slips in one place, and the text without them."""

    problems: list[SyntaxProblem]
    lines: list[str]


def mended(text: str, error: yaml.YAMLError) -> list[SyntaxProblem]:
    """Return the slips that stopped the parser, with remedies; none where no small change helps.

    Parameters
    ----------
    text : str
        The document.
    error : yaml.YAMLError
        What the parser raised.

    Returns
    -------
    problems : list of SyntaxProblem
        In file order. After the first slip the mended text is read on, so that further slips of
        these kinds are found in the same go.
    """
    found: list[SyntaxProblem] = []
    if len(text) > LONGEST:
        return found
    lines = text.splitlines(keepends=True)
    stop: yaml.YAMLError | None = error
    for _ in range(ROUNDS):
        if stop is None:
            break
        step = _step(lines, stop)
        if step is None:
            break
        found += step.problems
        lines = step.lines
        stop = _error("".join(lines))
    return sorted(found, key=lambda problem: (problem.line, problem.column))


def _step(lines: list[str], error: yaml.YAMLError) -> _Mended | None:
    text = "".join(lines)
    stop = line_column(text, stopped_at(error, len(text)))[0] - 1
    for tried in (_space_after_colon(lines, stop), _colon_after_key(lines, error)):
        if tried is not None and _progress(tried.lines) > stop:
            return tried
    return _indentation(lines, stop)


def _error(text: str) -> yaml.YAMLError | None:
    try:
        for _ in yaml.parse(text, Loader=LOADER):
            pass
    except yaml.YAMLError as error:
        return error
    return None


def _progress(lines: list[str]) -> int:
    """Return the line (from 0) at which the parser stops; the number of lines where it does not."""
    text = "".join(lines)
    error = _error(text)
    # A parser that only notices at the end of the text has not got further than one that stops.
    return len(lines) if error is None else line_column(text, stopped_at(error, len(text)))[0] - 1


def _space_after_colon(lines: list[str], stop: int) -> _Mended | None:
    """`format:1` is text to YAML, and goes on over the following lines of that kind."""
    new, problems = list(lines), []
    for at in range(min(stop, len(lines) - 1), -1, -1):
        line = lines[at]
        slip = _NO_SPACE.match(line)
        if slip is None:
            if at == stop or not line.strip() or line.lstrip().startswith("#"):
                continue
            break
        new[at] = f"{slip[0]} {line[slip.end() :]}"
        needed = f"a space after the colon of `{slip['key']}`"
        problems.append(_problem(lines, at, slip.end(), needed, _remedy(new[at])))
    return _Mended(problems, new) if problems else None


def _colon_after_key(lines: list[str], error: yaml.YAMLError) -> _Mended | None:
    context = getattr(error, "context_mark", None)
    if context is None or "could not find expected ':'" not in str(getattr(error, "problem", "")):
        return None
    at = line_of(context)
    slip = _NO_COLON.match(lines[at]) if at < len(lines) else None
    if slip is None:
        return None
    new = list(lines)
    new[at] = f"{slip[0]}:{lines[at][slip.end() :]}"
    needed = f"a colon after `{slip['key']}`"
    return _Mended([_problem(lines, at, slip.end(), needed, _remedy(new[at]))], new)


def _indentation(lines: list[str], stop: int) -> _Mended | None:
    """Try the columns in which earlier keys (for an entry: earlier dashes) begin."""
    if stop >= len(lines):
        return None
    line = lines[stop]
    entry = _ENTRY.match(line)
    if entry is None or not (entry["dash"] or _KEY.match(line)):
        return None
    begins = len(entry["indent"])
    columns, dashes = _columns(lines[:stop], entry["dash"] is not None)
    columns.pop(begins, None)
    if begins in dashes and not entry["dash"] and not any(column > begins for column in columns):
        # A key right below the dashes of a list without groups of keys: what it lacks is its dash.
        return None
    best: tuple[tuple[int, int, int], int, list[str]] | None = None
    for column, last in columns.items():
        new = list(lines)
        new[stop] = " " * column + line[begins:]
        progress = _progress(new)
        rank = (progress, -abs(column - begins), last)
        if progress > stop and (best is None or rank > best[0]):
            best = (rank, column, new)
    if best is None:
        return None
    _, column, new = best
    what = "an entry" if entry["dash"] else "a key"
    needed = (
        f"{what} in line with its neighbours: this line is indented by {begins} "
        f"where its neighbours are indented by {column}"
    )
    return _Mended([_problem(lines, stop, begins, needed, _remedy(new[stop], whole=True))], new)


def _columns(lines: list[str], dashed: bool) -> tuple[dict[int, int], set[int]]:
    """Return where earlier keys or dashes begin, each with the last line that has it, and all dashes."""
    columns: dict[int, int] = {}
    dashes: set[int] = set()
    for at, line in enumerate(lines):
        entry = _ENTRY.match(line)
        if entry is None:
            continue
        if entry["dash"]:
            dashes.add(len(entry["indent"]))
        if dashed and entry["dash"]:
            columns[len(entry["indent"])] = at
        elif not dashed and _KEY.match(line):
            columns[entry.end()] = at
    nearest = sorted(columns.items(), key=lambda found: -found[1])[:6]
    return dict(nearest), dashes


def _remedy(line: str, whole: bool = False) -> str | None:
    """Return a line as it should be; with its indentation where that is what was wrong."""
    shown = line.rstrip() if whole else line.strip().removeprefix("- ").lstrip()
    return shown if len(shown) <= LONGEST_REMEDY else None


def _problem(lines: list[str], at: int, column: int, needed: str, fix: str | None) -> SyntaxProblem:
    return SyntaxProblem(at + 1, column + 1, lines[at].strip()[:60], needed, fix)
