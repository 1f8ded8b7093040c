"""The reference page of ``sugarhouse.toml``, made from the keys themselves.

python -m sugarwright.plant.house_reference > docs/sugarhouse.md
"""

from __future__ import annotations

import sys

from sugarwright.plant.fields import Key, Nested, about, keys_of
from sugarwright.plant.house import House
from sugarwright.plant.specs import REQUIRED, toml

HEAD = """\
# sugarhouse.toml

Every key of the file that describes a sugarhouse. `sugarwright new` writes the file with comments,
`sugarwright check` reads it and says what is wrong, each problem with its line.

Quantities are texts with a unit: `"400 gal"`, `"1.5 m3"`, `"25 gal/h"`. Any unit of the kind may be
written whatever the house shows; `gal` is the US gallon. A key with a default may be left out, and
so may a section in which every key has one. The figures are starting values, not advice; the
source of each stands beside it.

This page is made from the program:
`python -m sugarwright.plant.house_reference > docs/sugarhouse.md`.
"""


def reference_page() -> str:
    """Return the page as Markdown."""
    written: dict[type, str] = {}
    parts = [HEAD]
    for key in keys_of(House):
        parts += _section(key, ".".join(key.path), written)
    return "\n".join(parts)


def _section(key: Key, path: str, written: dict[type, str]) -> list[str]:
    assert isinstance(key.spec, Nested)
    cls, many = key.spec.section, key.spec.many
    of = about(cls)
    header = f"[[{path}]]" if many else f"[{path}]"
    lines = [f"## `{header}` {(key.spec.title or of.title).lower()}", ""]
    lines += [f"{key.spec.help}\n"] if key.spec.help else []
    if key.spec.optional:
        lines.append("May be left out.\n")
    if cls in written:
        return [*lines, f"Keys: those of `[{written[cls]}]`.\n"]
    written[cls] = path
    lines += [f"{of.teaches}\n", *([f"**Caution.** {of.caution}\n"] if of.caution else [])]
    lines += ["| key | what | allowed | default |", "|---|---|---|---|"]
    lines += [_row(one) for one in keys_of(cls) if not isinstance(one.spec, Nested)]
    lines.append("")
    for one in keys_of(cls):
        if isinstance(one.spec, Nested):
            lines += _section(one, f"{path}.{one.path[0]}", written)
    return lines


def _row(key: Key) -> str:
    spec = key.spec
    if spec.default is REQUIRED:
        default = "none: must be given"
    else:
        default = "not given" if spec.default is None else f"`{toml(spec.default)}`"
    source = f" ({spec.source})" if spec.source else ""
    cells = (f"`{key.path[0]}`", spec.help, f"{spec.sort}: {spec.allowed()}", default + source)
    return "| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |"


if __name__ == "__main__":
    sys.stdout.write(reference_page())
