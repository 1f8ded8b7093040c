"""``sugarwright ledger``: where the sugar went."""

from __future__ import annotations

from typing import Any

from sugarwright.cli.lazy import LazyCommands, command_group


class LedgerCommands(LazyCommands):
    """The ledger of the folder, unless something else is asked for by name."""

    table = {  # noqa: RUF012  the base class declares it
        "season": "sugarwright.cli.ledger_season:season",
        "claim": "sugarwright.cli.ledger_claim:claim",
    }

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:
        """Read the words; without the name of a command the season is meant."""
        named = bool(args) and args[0] in (*self.table, "--help", "-h")
        read: list[str] = super().parse_args(ctx, args if named else ["season", *args])
        return read


app = command_group(
    LedgerCommands,
    "ledger",
    """Where did the sugar go? Makes the readings of the logbook agree.

Volume and strength of all that moved are balanced, water and sugar together, each reading as
sure as its instrument. A reading that can't be right is named, with the likely slip. `ledger`
alone is `ledger season`.

\b
Examples:
  sugarwright ledger
  sugarwright ledger --from 2027-03-10 --to 2027-03-20
  sugarwright ledger claim "420 gal at 1.9 Brix made 9.5 gal, 40 to 1"
""",
    alone_is_help=False,
)
