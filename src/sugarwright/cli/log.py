"""``sugarwright log``: the logbook."""

from __future__ import annotations

from typing import Any

from sugarwright.cli.lazy import LazyCommands, command_group

_WORDS = "words"
_TAKE_ANY_WORD = (_WORDS, "correct")


class LogCommands(LazyCommands):
    """The commands of the logbook; what is none of them is what happened."""

    table = {  # noqa: RUF012  the base class declares it
        _WORDS: "sugarwright.cli.log_words:words",
        "show": "sugarwright.cli.log_show:show",
        "correct": "sugarwright.cli.log_correct:correct",
        "undo": "sugarwright.cli.log_correct:undo",
        "import": "sugarwright.cli.log_import:import_",
        "export": "sugarwright.cli.log_export:export",
        "paper": "sugarwright.cli.log_export:paper",
        "check": "sugarwright.cli.log_keeping:check",
        "backup": "sugarwright.cli.log_keeping:backup",
        "restore": "sugarwright.cli.log_keeping:restore",
    }

    def list_commands(self, ctx: Any) -> list[str]:
        """Return the names of the commands; that of plain words is never typed."""
        return [name for name in self.table if name != _WORDS]

    def get_command(self, ctx: Any, cmd_name: str) -> Any:
        """Return a command; "-2C" is a word where words are taken, and no option."""
        command = super().get_command(ctx, cmd_name)
        if cmd_name in _TAKE_ANY_WORD:
            command.context_settings["ignore_unknown_options"] = True
        return command

    def resolve_command(self, ctx: Any, args: list[str]) -> Any:
        """Find the command; words that begin with none are what happened."""
        known = self.list_commands(ctx)
        at = next((i for i, word in enumerate(args) if not word.startswith("-")), None)
        if at is not None and args[at] in known:
            return super().resolve_command(ctx, [args[at], *args[:at], *args[at + 1 :]])
        return _WORDS, self.get_command(ctx, _WORDS), args


app = command_group(
    LogCommands,
    "log",
    """What happened? Write it down in a few words, as you would say it.

No quotes are needed. What it was understood as is said at once, and `log undo` takes it back.
Add `at 6:30`, `yesterday 18:00` or `by Ann` where it was not now or not you; --folder where you
do not stand in the folder; --sure where a value is odd but so. docs/log.md has every form of words.

\b
Examples:
  sugarwright log sap 14in 1.9
  sugarwright log gather north 120 gal 1.8 ice at 6:30
  sugarwright log draw 1.5 gal 66.8, fire out
  sugarwright log note filter press leaks
""",
    ignore_unknown_options=True,
)
