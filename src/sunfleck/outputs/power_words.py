"""Where lamps' power ends, as text."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from sunfleck.studies.channels import LABELS
from sunfleck.studies.watts import PowerBalance

# Parts smaller than this share of a lamp's output are told together.
SMALL = 0.005
UNITS = {"uvi": "UVI m2", "lux": "lm", "ppfd": "umol/s", "radiant": "W"}
BASIS = (
    "As dimmed in the plan, every uncertain factor at its middle; light is followed through reflections to its\n"
    "end. A pane keeps what it absorbs or mirrors; what it lets through is out of the box."
)


def power_text(balances: Sequence[PowerBalance]) -> str:
    """Return a table for each lamp, largest share first.

    Parameters
    ----------
    balances : sequence of PowerBalance
        Of one channel.

    Returns
    -------
    text : str
        Ends with a line break.
    """
    if not balances:
        return "No lamp of the plan gives light of this kind.\n"
    return "\n".join(line for balance in balances for line in _lines(balance)) + f"\n{BASIS}\n"


def _lines(balance: PowerBalance) -> Iterator[str]:
    unit = UNITS[balance.channel]
    yield f"{balance.fixture}: {balance.output:.3g} {unit} of {LABELS[balance.channel]}"
    parts = [(power, name) for name, power in balance.taken_up.items()]
    parts += [(power, f"kept by the {name}") for name, power in balance.kept_by_sheets.items()]
    parts += [(balance.on_lamps, "on the other lamps"), (balance.outside, "out of the box")]
    rest = 0.0
    for power, name in sorted(parts, key=lambda part: -part[0]):
        if power < SMALL * balance.output:
            rest += power
        else:
            yield _line(power, balance, name)
    if rest > 0:
        yield _line(rest, balance, "everything else together")
    yield ""


def _line(power: float, balance: PowerBalance, name: str) -> str:
    return f"  {power:8.3g} {UNITS[balance.channel]}  {power / balance.output:4.0%}  {name}"
