"""Write the tables by which a phone answers questions of the bench without the server.

    .venv/bin/python scripts/offline_tables.py

To be run after a change of physics or bench; a test compares the file with what they say now.
"""

from __future__ import annotations

import json
from pathlib import Path

from sugarwright.web.offline.bench_tables import bench_tables

FILE = Path(__file__).parent.parent / "src/sugarwright/web/static/bench-tables.json"


def main() -> None:
    """Write the file."""
    document = bench_tables()
    tables = document.pop("tables")
    lines = [f"  {json.dumps(name)}: {_packed(table)}" for name, table in tables.items()]
    head = _packed(document)[:-1]
    text = head + ',\n"tables": {\n' + ",\n".join(lines) + "\n}}\n"
    FILE.write_text(text, encoding="utf-8", newline="\n")
    print(f"{len(tables)} tables, {len(text.encode()) / 1000:.1f} kB")


def _packed(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"))


if __name__ == "__main__":
    main()
