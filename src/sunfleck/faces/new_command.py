"""`sunfleck new`: a plan to start from, an example or one made from answers."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import click

from sunfleck.faces.arguments import refuse_idle
from sunfleck.faces.printing import AS_JSON, print_json, refusals

# Option by answer; the words of help are a keeper's. What can be answered, `options` of the service says.
ANSWERS = {
    "species": ("--animal", 'Its scientific name: "Pogona vitticeps".'),
    "size": ("--size", 'Inside, width x depth x height: "160 cm x 70 cm x 100 cm" or "4 ft x 2 ft x 2 ft".'),
    "who": ("--who", 'Sex and age: "adult female".'),
    "doors": ("--doors", 'Kind and side: "sliding front".'),
    "built_of": ("--built-of", 'Board and finish: "plywood-birch/plywood-sealed"; or a pane: "glass-float".'),
    "room_winter": ("--room-winter", 'The room by day in winter: "20 degC".'),
    "room_summer": ("--room-summer", 'The room by day in summer: "26 degC".'),
    "night_drop": ("--night-drop", 'How much cooler the room is by night: "3 K".'),
    "latitude": ("--latitude", "In degrees, north positive."),
    "show_units": ("--units", '"metric" or "us": how the plan is written.'),
    "name": ("--name", "What the enclosure is called."),
    "keeper": ("--keeper", "Who stands for the animal's targets as the library has them."),
}


def _with_answers(command: Any) -> Any:
    for field, (option, words) in reversed(ANSWERS.items()):
        command = click.option(option, field, default=None, help=words)(command)
    return command


@click.command()
@click.argument("folder", type=click.Path(path_type=Path))
@click.option(
    "--example",
    type=click.Choice(["tall-planted", "arid"]),
    default="tall-planted",
    show_default=True,
    help="Which plan to start from, where no animal is named.",
)
@_with_answers
@click.option("--refine", is_flag=True, help="Look half a minute longer for what does not meet yet.")
@AS_JSON
def new(folder: Path, example: str, refine: bool, as_json: bool, **answers: str | None) -> None:
    """Write a plan to start from into FOLDER: an example, or with --animal and --size one made for them.

    A made plan says of everything in it why it is there.
    """
    from sunfleck.service.starting import STARTERS, write_new_plan  # noqa: PLC0415  # --help must stay light

    with refusals(as_json):
        if answers["species"] is None and answers["size"] is None:
            idle = {option: field for field, (option, _) in ANSWERS.items()} | {"--refine": "refine"}
            refuse_idle(
                idle,
                "without --animal and --size",
                'name both: --animal "Pogona vitticeps" --size "4 ft x 2 ft x 2 ft"',
            )
            file = write_new_plan(folder, example)
            if as_json:
                print_json({"schema": 1, "file": str(file)})
                return
            click.echo(f"Wrote {file}: {STARTERS[example]}.")
            click.echo(f"Next: edit it, then  sunfleck check {folder}")
            return
        refuse_idle({"--example": "example"}, "where a plan is made from answers", "leave it out")
        _made(folder, {k: v for k, v in answers.items() if v is not None}, refine=refine, as_json=as_json)


def _made(folder: Path, given: dict[str, str], *, refine: bool, as_json: bool) -> None:
    from sunfleck.outputs.first_plan_words import first_plan_text  # noqa: PLC0415  # --help must stay light
    from sunfleck.service.first_plan import Answers, first_plan, refined  # noqa: PLC0415  # --help must stay light
    from sunfleck.service.starting import refuse_a_plan_there, write_plan  # noqa: PLC0415  # --help must stay light

    refuse_a_plan_there(folder)
    wanted: dict[str, Any] = {"species": "", "size": "", **given}
    first = first_plan(Answers(**wanted))
    if refine:
        show = None if as_json or not sys.stderr.isatty() else _progress
        first = refined(first, show)
        if show:
            click.echo("", err=True)
    file = write_plan(folder, first.text)
    if as_json:
        print_json(
            {
                "schema": 1,
                "file": str(file),
                "verdicts": [{"id": s.id, "title": s.title, "state": s.state} for s in first.standings],
                "reasons": [
                    {"path": r.path, "title": r.title, "reason": r.reason, "basis": r.basis}
                    for r in first.reasons
                ],
                "left_open": [
                    {"title": o.title, "reason": o.reason, "verdict": o.verdict} for o in first.left_open
                ],
            }
        )
        return
    click.echo(f"Wrote {file}: a first plan for {first.answers.species}.")
    click.echo(first_plan_text(first.reasons, first.left_open, [s.state for s in first.standings]), nl=False)
    click.echo(f"Next: read it, change what you like, then  sunfleck check {folder}")


def _progress(share: float, words: str) -> None:
    click.echo(f"\r{100 * share:3.0f} %  {words:40.40s}", nl=False, err=True)
