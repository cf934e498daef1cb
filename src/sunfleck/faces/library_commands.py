"""Commands about the library: search it, show an entry, compare entries, check files of one's own, print a sheet."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from sunfleck.faces.printing import AS_JSON, print_json, refusals

PLAN_FOLDER = click.option(
    "--plan",
    "plan_folder",
    type=click.Path(path_type=Path, file_okay=False),
    help="Folder of a plan: its own entries count too.",
)
UNITS = click.option("--units", type=click.Choice(["metric", "us"]), default="metric", show_default=True)


@click.group(name="library")
def library_group() -> None:
    """Look into the library: animals, lamps, plants, materials, each value with its source.

    Entries of your own stand in a folder `library` beside a plan, or in the folder that `sunfleck library where` names.
    """


@library_group.command()
@click.argument("words", nargs=-1)
@PLAN_FOLDER
@AS_JSON
def search(words: tuple[str, ...], plan_folder: Path | None, as_json: bool) -> None:
    """List the entries in which all WORDS stand, in an id, a name, a value, a source or a note."""
    from sunfleck.library import browse  # noqa: PLC0415  # --help must stay light
    from sunfleck.outputs.library_words import list_text  # noqa: PLC0415  # --help must stay light

    with refusals(as_json):
        found = browse.search(" ".join(words), plan_folder)
        if as_json:
            print_json({"schema": 1, "entries": [one.to_dict() for one in found]})
        else:
            click.echo(list_text(found), nl=False)
        sys.exit(0 if found else 3)


@library_group.command()
@click.argument("entry_id")
@PLAN_FOLDER
@UNITS
@AS_JSON
def show(entry_id: str, plan_folder: Path | None, units: str, as_json: bool) -> None:
    """Show one entry: every value with its range, how well it is known, who says so, and what speaks against it."""
    from sunfleck.library import browse  # noqa: PLC0415  # --help must stay light
    from sunfleck.outputs.library_words import entry_text  # noqa: PLC0415  # --help must stay light

    with refusals(as_json):
        found = browse.show(entry_id, plan_folder)
        if as_json:
            print_json({"schema": 1, **found.to_dict()})
        else:
            click.echo(entry_text(found, "us" if units == "us" else "metric"), nl=False)


@library_group.command()
@click.argument("entry_ids", nargs=-1, required=True)
@PLAN_FOLDER
@UNITS
@AS_JSON
def compare(entry_ids: tuple[str, ...], plan_folder: Path | None, units: str, as_json: bool) -> None:
    """Put entries of one kind side by side; what differs is marked."""
    from sunfleck.library import browse  # noqa: PLC0415  # --help must stay light
    from sunfleck.outputs.library_words import compared_text  # noqa: PLC0415  # --help must stay light

    with refusals(as_json):
        found = browse.compare(entry_ids, plan_folder)
        if as_json:
            print_json({"schema": 1, "entries": [one.to_dict() for one in found]})
        else:
            click.echo(compared_text(found, "us" if units == "us" else "metric"), nl=False)


@library_group.command()
@click.argument("folder", type=click.Path(path_type=Path))
@AS_JSON
def check(folder: Path, as_json: bool) -> None:
    """Check a FOLDER of your own entries: every value needs a unit, a source and how well it is known."""
    from sunfleck.library import browse  # noqa: PLC0415  # --help must stay light

    with refusals(as_json):
        faults = browse.faults_in(folder)
        if as_json:
            print_json({"schema": 1, "exit_code": 2 if faults else 0, "faults": list(faults)})
        else:
            for fault in faults:
                click.echo(fault, err=True)
            click.echo(
                f"{len(faults)} fault(s) in {folder}." if faults else f"{folder} is sound.", err=bool(faults)
            )
        sys.exit(2 if faults else 0)


@library_group.command()
def where() -> None:
    """Print the folder in which entries of your own serve all your plans."""
    from sunfleck.library.folders import user_folder  # noqa: PLC0415  # --help must stay light

    click.echo(str(user_folder()))


@library_group.command()
@click.argument("entry_id")
@click.option("--out", type=click.Path(path_type=Path), help="File to write. [default: ENTRY_ID.pdf]")
@PLAN_FOLDER
@UNITS
def sheet(entry_id: str, out: Path | None, plan_folder: Path | None, units: str) -> None:
    """Write a data sheet of one entry to print: all values with sources, on A4 or letter paper."""
    from sunfleck.service.sheets import write_sheet  # noqa: PLC0415  # --help must stay light

    with refusals(as_json=False):
        file = write_sheet(entry_id, out, plan_folder, "us" if units == "us" else "metric")
        click.echo(f"Wrote {file}")
