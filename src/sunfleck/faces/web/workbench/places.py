"""Where in a plan something is, for people who never see its file."""

from __future__ import annotations

import re


def place_words(where: str) -> str:
    """Return a problem's place without brackets and dots.

    Parameters
    ----------
    where : str
        As :class:`sunfleck.document.problem.Problem` has it: ``fixtures[0].hangs.at[2] ('uv tube')``.

    Returns
    -------
    words : str
        ``uv tube, hangs, at (3)``; without a name of its own the group and its number: ``fixtures 1, lamp``.
    """
    path, named, name = where.partition(" ('")
    steps: list[str] = []
    for step in path.split("."):
        word, bracket, index = step.partition("[")
        words = word.replace("_", " ")
        numbers = [int(number) + 1 for number in re.findall(r"\d+", bracket + index)]
        if not steps and numbers and named:
            words = name.removesuffix("')")
        elif not steps or not numbers:
            words += "".join(f" {number}" for number in numbers)
        else:
            words += "".join(f" ({number})" for number in numbers)
        steps.append(words)
    return ", ".join(steps)
