"""The passphrases of one house, as kept in its folder: one to log, one to change the house."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal, get_args

from sugarwright.errors import GuardError
from sugarwright.web.guard.passphrase import COST, Cost, Hashed, check_strength, hashed, is_right
from sugarwright.web.guard.private_files import Watched, private_folder

Role = Literal["log", "house"]
"""What a person may do: ``log`` reads all and writes the record; ``house`` may change the house
too (its description, what was learnt)."""

ROLES: tuple[Role, ...] = get_args(Role)
FILE = "passphrases.json"
_FORM = 1
_MOST_COST = 2**24


@dataclass(frozen=True)
class Opened:
    """What a right passphrase opens.

    Parameters
    ----------
    role : what whoever has it may do
    mark : tells this passphrase from any later one, and nothing else of it
    """

    role: Role
    mark: str


class Passphrases:
    """The kept passphrases of a sugarhouse folder.

    What another process sets counts from the next look.

    Parameters
    ----------
    house_folder : with sugarhouse.toml in it
    cost : of each try, for passphrases set from now on
    """

    def __init__(self, house_folder: str | Path, cost: Cost = COST) -> None:
        self._file = Watched(private_folder(house_folder) / FILE, _parsed)
        self._cost = cost

    def marks(self) -> dict[Role, str]:
        """Return the mark of each passphrase that is set.

        Raises
        ------
        GuardError : the file cannot be read, or isn't what was written
        """
        return {role: kept.salt.hex() for role, kept in self._file.value().items()}

    def set(self, role: Role, passphrase: str) -> None:
        """Set the passphrase of a role; who came in with an older one must come in again.

        Raises
        ------
        GuardError : it is weak, or the other role's; or the file cannot be read or written
        """
        check_strength(passphrase)
        kept = self._file.value()
        if any(is_right(passphrase, kept[other]) for other in kept if other != role):
            problem = "is already set for the other kind of use"
            raise GuardError("passphrase", None, problem, fix="Choose another one")
        wanted: dict[Role, Hashed] = {**kept, role: hashed(passphrase, self._cost)}
        self._write(wanted)

    def remove(self, role: Role) -> None:
        """Let nobody in any more with the passphrase of a role."""
        left = dict(self._file.value())
        left.pop(role, None)
        self._write(left)

    def opened_by(self, passphrase: str) -> Opened | None:
        """Return what a passphrase opens; all are tried, whichever is right."""
        kept = self._file.value()
        right = [role for role in kept if is_right(passphrase, kept[role])]
        return Opened(right[0], kept[right[0]].salt.hex()) if right else None

    def _write(self, kept: dict[Role, Hashed]) -> None:
        document: dict[str, Any] = {"form": _FORM}
        document.update((role, _written(one)) for role, one in kept.items())
        self._file.write(json.dumps(document, indent=1).encode())


def _parsed(data: bytes | None) -> dict[Role, Hashed]:
    if data is None:
        return {}
    try:
        document = json.loads(data)
        if document["form"] != _FORM:
            raise ValueError
        return {role: _read(document[role]) for role in ROLES if role in document}
    except (ValueError, KeyError, TypeError, AttributeError):
        raise _damaged() from None


def _written(kept: Hashed) -> dict[str, Any]:
    cost = kept.cost
    hexes = {"salt": kept.salt.hex(), "digest": kept.digest.hex()}
    return {"method": "scrypt", "n": cost.n, "r": cost.r, "p": cost.p, **hexes}


def _read(entry: dict[str, Any]) -> Hashed:
    if entry["method"] != "scrypt":
        raise ValueError
    cost = Cost(*(int(entry[name]) for name in ("n", "r", "p")))
    kept = Hashed(cost, bytes.fromhex(entry["salt"]), bytes.fromhex(entry["digest"]))
    # An altered cost could ask for more memory than there is, an empty digest let anyone in.
    is_cost = cost.n > 1 and cost.n & (cost.n - 1) == 0 and cost.r > 0 and cost.p > 0
    if not is_cost or cost.n * cost.r * cost.p > _MOST_COST:
        raise ValueError
    if len(kept.salt) < 16 or len(kept.digest) != 32:
        raise ValueError
    return kept


def _damaged() -> GuardError:
    fix = "Move it away and set the passphrase anew with `sugarwright passphrase`"
    return GuardError("file", f"lan/{FILE}", "is damaged, so it lets nobody in", fix=fix)
