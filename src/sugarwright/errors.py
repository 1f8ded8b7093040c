"""One family of errors: each says what was found, where, why it cannot be, and what to do.

    SugarwrightError
    └── InputError            something a person wrote or typed
        ├── QuantityError     a text that is no quantity: "500 galons"
        ├── RangeError        a number outside the range in which it means something
        ├── HouseFileError    sugarhouse.toml, with its line
        ├── WeatherFileError  a weather file, with its line and column
        ├── ServiceError      a weather service that was not reached, or answered nonsense
        ├── GuardError        a passphrase, or a file of keys that guards the pages
        └── LogbookError      the logbook, which cannot be read or written as asked
            └── KeyTakenError     an entry whose key another, different entry has

Faces print ``str(error)`` and leave with exit code 2; nothing else of the program does.
"""

from __future__ import annotations


class SugarwrightError(Exception):
    """Anything that Sugarwright itself refuses or cannot do."""


class InputError(SugarwrightError):
    """A value that a person gave cannot be used.

    Parameters
    ----------
    field : name of the field as the person knows it (``tank.sap.volume``)
    value : the value as it was given; quoted in the message
    problem : why it cannot be, in a clause ("is below absolute zero")
    allowed : what would be accepted ("1 gal to 50,000 gal")
    fix : what to do, as an instruction; may be empty when ``allowed`` says it all
    place : where it stands ("sugarhouse.toml line 14"); may be empty
    """

    def __init__(
        self,
        field: str,
        value: object,
        problem: str,
        allowed: str = "",
        fix: str = "",
        place: str = "",
    ) -> None:
        self.field = field
        self.value = value
        self.problem = problem
        self.allowed = allowed
        self.fix = fix
        self.place = place
        super().__init__(str(self))

    def __str__(self) -> str:
        where = f"{self.place}: " if self.place else ""
        shown = "" if self.value is None else f" = {_quoted(self.value)}"
        text = f"{where}{self.field}{shown}: {self.problem}"
        if self.allowed:
            text += f"; allowed: {self.allowed}"
        if self.fix:
            text += f". {self.fix}"
        return text if text.endswith((".", "?", "!")) else text + "."

    def at(self, field: str, place: str = "") -> InputError:
        """Return the same error, told of the field (and place) that only the caller knows."""
        return type(self)(
            field, self.value, self.problem, self.allowed, self.fix, place or self.place
        )


class QuantityError(InputError):
    """A text that cannot be read as a quantity of the kind wanted."""


class RangeError(InputError, ValueError):
    """A number outside the range in which a formula or a field means something."""


class HouseFileError(InputError):
    """Something in a house description cannot be used."""


class WeatherFileError(InputError):
    """Something in a weather file cannot be used."""


class ServiceError(InputError):
    """A weather service was not reached, refuses, or answered what cannot be used."""


class GuardError(InputError):
    """A passphrase, or a file of passphrases, sessions or keys of the pages, cannot be used."""


class LogbookError(InputError):
    """The logbook cannot be read or written as asked; the message says what is safe."""


class KeyTakenError(LogbookError):
    """An entry comes with the key of another, different one: neither is dropped in silence."""


def _quoted(value: object) -> str:
    text = repr(value) if not isinstance(value, str) else f'"{value}"'
    # Both ends are kept: a path is told by its last part.
    return text if len(text) <= 80 else f"{text[:40]} ... {text[-35:]}"
