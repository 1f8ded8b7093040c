"""Put what the demo prints today into the README, between its marks.

    python scripts/readme_example.py

The cautions below the plan and the hints for typing are left out: the page has a part on safety.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path

README = Path(__file__).resolve().parent.parent / "README.md"
BEGIN, END = "<!-- plan example -->\n", "<!-- /plan example -->"


def demo_plan() -> str:
    """Return the plan of the demo, from its date to the line that compares it with the habit."""
    with tempfile.TemporaryDirectory() as folder:
        words = [sys.executable, "-c", "from sugarwright.cli.main import run; run()"]
        done = subprocess.run(
            [*words, "demo", "demo-sugarhouse"],
            cwd=folder,
            capture_output=True,
            encoding="utf-8",
            check=True,
        )
    plan = done.stdout[done.stdout.index("Thursday ") :]
    return plan[: plan.index("\n\n!  ")] + "\n"


def main() -> None:
    """Rewrite the example in place."""
    text = README.read_text(encoding="utf-8")
    before, rest = text.split(BEGIN)
    _, after = rest.split(END)
    README.write_text(f"{before}{BEGIN}```text\n{demo_plan()}```\n{END}{after}", encoding="utf-8")


if __name__ == "__main__":
    main()
