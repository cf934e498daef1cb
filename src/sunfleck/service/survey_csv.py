"""Readings from a table of a spreadsheet: all of it, or all that is wrong with it by line and column."""

from __future__ import annotations

import re
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType

from sunfleck.document.problem import EntryError, PlanError, Problem, nearest
from sunfleck.errors import UnitError
from sunfleck.plan.read import MAX_BYTES, PlanSource
from sunfleck.plan.read_survey import read_survey
from sunfleck.service.survey_entries import FIELDS, Entry, entries_of, problems_of
from sunfleck.units import Kind, parse_quantity

MOST_ROWS = 1000
SEPARATORS = (";", "\t", ",")
KINDS: Mapping[str, Kind] = MappingProxyType(
    {
        "uvi": "uv_index",
        "lux": "illuminance",
        "ppfd": "photon_flux_density",
        "surface": "temperature",
        "air": "temperature",
        "humidity": "fraction",
    }
)
_HEADER = re.compile(r"\s*([A-Za-z_]+)\s*(?:[\[(]\s*(.*?)\s*[\])])?\s*")
NUMBER = re.compile(r"[-+]?(?:[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+)")
DECIMAL_COMMA = re.compile(r"(?<=[0-9]),(?=[0-9])")
# 12,000 and 12.000 are twelve to one reader and twelve thousand to another.
THOUSANDS = re.compile(r"[-+]?[1-9][0-9]{0,2}[.,][0-9]{3}(?![0-9])")


@dataclass(frozen=True, slots=True)
class CsvReadings:
    """What a table holds.

    Attributes
    ----------
    entries : tuple of Entry
        Its rows, each with its line.
    problems : tuple of Problem
        Everything that is wrong, with line and column; where there is one nothing is to be entered.
    """

    entries: tuple[Entry, ...]
    problems: tuple[Problem, ...]


@dataclass(frozen=True, slots=True)
class _Cell:
    text: str
    line: int
    column: int


def read_csv(
    survey_path: Path, csv_text: str, file: str = "readings.csv", plan: PlanSource | None = None
) -> CsvReadings:
    """Read a table of readings and hold it against a survey.

    Parameters
    ----------
    survey_path : Path
        The survey it is for; where that cannot be read, only the form of the table is looked at.
    csv_text : str
        A header with keys of a reading, a unit in brackets where cells have none (``surface [degC]``), then a row
        for each reading. Between cells stands a semicolon, a tab or a comma; a decimal comma only with the first two.
    file : str
        Its name, for messages.
    plan : PlanSource, optional
        Whose stations and fixtures are named.

    Returns
    -------
    readings : CsvReadings
        Rows and problems; for :func:`~sunfleck.service.survey_writing.add_readings` where there are none.
    """
    if len(csv_text) > MAX_BYTES:
        needed = f"at most {MAX_BYTES / 1024:g} KiB"
        size = f"{len(csv_text):,} characters"
        return CsvReadings((), (Problem("csv.too-large", "the table", 1, 1, size, needed, file=file),))
    table = _Table(csv_text.removeprefix("\ufeff"), file)
    entries = entries_of(table.entries)
    survey = None
    with suppress(PlanError):
        survey = read_survey(survey_path)
    problems = [*table.problems, *problems_of(entries, survey, plan)]
    return CsvReadings(entries, tuple(sorted(problems, key=lambda p: (p.line, p.column))))


def table_text(file: Path) -> str:
    """Read a table's file.

    Raises
    ------
    EntryError
        If it cannot be read, or is not UTF-8.
    """
    try:
        with file.open("rb") as handle:
            content = handle.read(MAX_BYTES + 1)
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        needed = "UTF-8 text: in the spreadsheet, save as `CSV UTF-8`"
        wrote = f"the byte 0x{content[error.start]:02x}"
        problem = Problem("csv.encoding", "the table", line, 1, wrote, needed, file=str(file))
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        needed = f"a table that can be read ({reason})"
        problem = Problem("file.unreadable", "the table", 0, 0, str(file), needed, file=str(file))
    raise EntryError((problem,))


class _Table:
    """Rows of a text with the place of every cell."""

    def __init__(self, text: str, file: str) -> None:
        self.file = file
        self.problems: list[Problem] = []
        self.entries: list[Entry] = []
        first = next((line for line in text.splitlines() if line.strip()), "")
        # What stands most often in the header stands between its cells; units may hold a comma, names do not.
        self.separator = max(SEPARATORS, key=first.count) if any(map(first.count, SEPARATORS)) else ","
        rows = [row for row in self._rows(text) if any(cell.text.strip() for cell in row)]
        if not rows:
            self._wrong("csv.header", _Cell("nothing", 1, 1), f"a header: some of {', '.join(FIELDS)}")
            return
        header = self._header(rows[0])
        if len(rows) - 1 > MOST_ROWS:
            self._wrong("csv.too-large", rows[MOST_ROWS + 1][0], f"at most {MOST_ROWS} rows", "one row more")
            return
        for row in rows[1:]:
            self._row(header, row)

    def _rows(self, text: str) -> list[list[_Cell]]:
        """Split as RFC 4180 has it: quotes round a cell that holds separators, line ends, or doubled quotes."""
        rows: list[list[_Cell]] = [[]]
        at, line, begun, length = 0, 1, 0, len(text)
        while True:
            column, started = at - begun + 1, line
            if text[at : at + 1] == '"':
                end, parts = at + 1, []
                while True:
                    close = text.find('"', end)
                    if close < 0:
                        cell = _Cell(text[at : at + 40].split("\n", maxsplit=1)[0], started, column)
                        self._wrong("csv.quote", cell, 'the quote " that closes the cell')
                        return rows[:-1]
                    parts.append(text[end:close])
                    end = close + 1
                    if text[end : end + 1] != '"':
                        break
                    parts.append('"')
                    end += 1
                inner = text[at:end]
                if "\n" in inner:
                    line += inner.count("\n")
                    begun = at + inner.rfind("\n") + 1
                value = "".join(parts)
                at = end
                rest = self._until(text, at)
                if text[at:rest].strip():
                    cell = _Cell(text[at:rest][:40], line, at - begun + 1)
                    self._wrong("csv.quote", cell, 'nothing between a closing quote " and the next cell')
                at = rest
            else:
                rest = self._until(text, at)
                value, at = text[at:rest], rest
            rows[-1].append(_Cell(value, started, column))
            if at >= length:
                return rows
            if text[at] == self.separator:
                at += 1
                continue
            at += 2 if text[at : at + 2] == "\r\n" else 1
            rows.append([])
            line, begun = line + 1, at

    def _until(self, text: str, at: int) -> int:
        found = _END[self.separator].search(text, at)
        return found.start() if found else len(text)

    def _header(self, row: list[_Cell]) -> list[tuple[str, str] | None]:
        header: list[tuple[str, str] | None] = []
        seen: set[str] = set()
        for cell in row:
            found = _HEADER.fullmatch(cell.text)
            key, unit = (found[1].lower(), found[2] or "") if found else ("", "")
            if not cell.text.strip():
                header.append(None)
            elif key not in FIELDS:
                needed = f"one of {', '.join(FIELDS)}, with a unit in brackets where cells have none"
                self._wrong("csv.header", cell, needed, fix=nearest(key or cell.text.strip(), FIELDS))
                header.append(None)
            elif key in seen:
                self._wrong("csv.header", cell, f"each column once; `{key}` stands before it already")
                header.append(None)
            else:
                seen.add(key)
                header.append((key, self._unit(cell, key, unit)))
        for key in ("at", "with"):
            if key not in seen:
                needed = f"a column `{key}`: " + ("where it was read" if key == "at" else "the meter's name")
                self._wrong("csv.header", row[0], needed, self.separator.join(c.text for c in row)[:60])
        if seen and not seen & set(KINDS):
            self._wrong("csv.header", row[0], f"a column of readings: one or more of {', '.join(KINDS)}")
        return header

    def _unit(self, cell: _Cell, key: str, unit: str) -> str:
        if not unit:
            return ""
        if key not in KINDS:
            self._wrong("csv.header", cell, f"`{key}` without a unit", fix=key)
            return ""
        try:
            parse_quantity(f"{300 if KINDS[key] == 'temperature' else 1} {unit}", KINDS[key])
        except UnitError as error:
            fix = error.fix.split(" ", 1)[-1] if error.fix else None
            self._wrong("csv.header", cell, error.needed, fix=f"{key} [{fix}]" if fix else None)
            return ""
        return unit

    def _row(self, header: list[tuple[str, str] | None], row: list[_Cell]) -> None:
        fields: dict[str, str] = {}
        columns: dict[str, int] = {}
        for cell, column in zip(row, header, strict=False):
            if not cell.text.strip() or column is None:
                if cell.text.strip() and not self.problems:
                    self._wrong("csv.extra-cell", cell, "a header above this cell")
                continue
            key, unit = column
            fields[key] = self._value(cell, key, unit) if key in KINDS or key == "at" else cell.text
            columns[key] = cell.column
        for cell in row[len(header) :]:
            if cell.text.strip():
                needed = f"at most {len(header)} cells, as the header has"
                if self.separator == ",":
                    needed += "; with a decimal comma, semicolons stand between cells"
                self._wrong("csv.extra-cell", cell, needed)
        self.entries.append(Entry(fields, self.file, row[0].line, columns))

    def _value(self, cell: _Cell, key: str, unit: str) -> str:
        text = cell.text.strip()
        if self.separator != "," and key != "at":
            if THOUSANDS.match(text) and key in {"lux", "ppfd"}:
                plain = re.sub("[.,]", "", text, count=1)
                fix = f"{plain} or {DECIMAL_COMMA.sub('.', text).rstrip('0')}"
                self._wrong("csv.thousands", cell, "a number that can be read in one way only", fix=fix)
            text = DECIMAL_COMMA.sub(".", text)
        if unit and unit != "UVI" and NUMBER.fullmatch(text):
            text = f"{text} {unit}"
        return text

    def _wrong(
        self, rule: str, cell: _Cell, needed: str, wrote: str | None = None, fix: str | None = None
    ) -> None:
        shown = (wrote or cell.text).strip()[:60] or "nothing"
        self.problems.append(
            Problem(rule, "the table", cell.line, cell.column, shown, needed, fix, self.file)
        )


_END = {separator: re.compile(f"[{separator}\r\n]") for separator in SEPARATORS}
