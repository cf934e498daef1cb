"""Run the benchmarks and print one table."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import click

from benchmarks import (
    checking,
    climate,
    direct,
    dragging,
    field,
    meter,
    passage,
    reflections,
    scan,
    workbench,
)
from benchmarks.table import Row, machine, machine_line, table_text, write_json

SUBJECTS = {
    "direct": direct.rows,
    "field": field.rows,
    "dragging": dragging.rows,
    "scan": scan.rows,
    "reflections": reflections.rows,
    "climate": climate.rows,
    "meter": meter.rows,
    "passage": passage.rows,
    "checking": checking.rows,
    "workbench": workbench.rows,
}


@click.command()
@click.option("--json", "file", type=click.Path(path_type=Path), help="Write the table to this file as well.")
@click.option(
    "--only", type=click.Choice(list(SUBJECTS)), multiple=True, help="This subject only; may be repeated."
)
@click.option("--tiny", is_flag=True, help="Sizes so small that the numbers mean nothing: does it run?")
def main(file: Path | None, only: tuple[str, ...], tiny: bool) -> None:
    """Time the program against its targets, and against Radiance in the same run."""
    found = machine()
    click.echo(machine_line(found))
    rows: list[Row] = []
    for subject in only or SUBJECTS:
        click.echo(f"... {subject}", err=True)
        found_rows = SUBJECTS[subject](tiny=tiny)
        # Targets are for the full sizes only.
        rows += (replace(row, target=None) for row in found_rows) if tiny else found_rows
    click.echo(table_text(rows))
    if file is not None:
        write_json(file, found, rows)


if __name__ == "__main__":
    main()
