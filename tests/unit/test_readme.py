"""The README's commands run as they are written, and its example is what the demo prints."""

from __future__ import annotations

import re
import runpy
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

from house_files import ANSWERS

ROOT = Path(__file__).resolve().parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
COMMANDS = [
    line.split("#")[0].removeprefix("python3 start.py ").strip()
    for line in README.splitlines()
    if line.startswith("python3 start.py ")
]
DEMO = ROOT / "src" / "sugarwright" / "demo"


def test_there_are_commands_to_run() -> None:
    assert {line.split()[0] for line in COMMANDS} >= {"demo", "new", "check", "plan", "simulate"}


def run(folder: Path, words: list[str], typed: str = "") -> str:
    """Run a command as start.py would, in a folder, and return what it printed."""
    command = [sys.executable, "-c", "from sugarwright.cli.main import run; run()", *words]
    done = subprocess.run(
        command, cwd=folder, input=typed, capture_output=True, encoding="utf-8", check=False
    )
    assert done.returncode == 0, f"{words}\n{done.stdout}\n{done.stderr}"
    return done.stdout


@pytest.fixture(scope="module")
def outputs(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """Return what every command of the README prints, run in the order in which it stands there.

    The weather files that a maker would have are the demo's; `test`, which runs this, is left out.
    """
    folder = tmp_path_factory.mktemp("maker")
    weather = (DEMO / "weather.csv").read_text(encoding="utf-8")
    for name in ("forecast.csv", "spring.csv"):
        (folder / name).write_text(weather, encoding="utf-8")
    found = {}
    for line in COMMANDS:
        words = shlex.split(line)
        if words[0] == "test":
            continue
        if words[0] == "new":  # what is typed at the prompts is tested with the command
            words += [w for key, text in ANSWERS.items() for w in ("--set", f"{key}={text}")]
            words += ["--set", "trees.tapped=2026-03-01", "--yes"]
        if words[0] == "plan" and "--now" not in words:
            words += ["--now", "2026-03-19 05:10"]  # "now" of the demo's forecast
        found[line] = run(folder, words)
    return found


def test_every_command_says_something(outputs: dict[str, str]) -> None:
    for line, text in outputs.items():
        assert len(text.splitlines()) > 3, line


def shape(plan: str) -> list[str]:
    """Return what a plan is made of: its actions, and the labels of its other lines."""
    kinds = r" +\d+  \d\d:\d\d  (membrane on again|\w+ \w+)"
    labels = r"(today|watch|if|habit|weather)\b"
    found = [re.match(rf"(?:{kinds}|{labels})", line) for line in plan.splitlines()]
    return [match[1] or match[2] for match in found if match]


def test_example_is_what_the_demo_prints(outputs: dict[str, str]) -> None:
    tools = runpy.run_path(str(ROOT / "scripts" / "readme_example.py"))
    example = README.split(tools["BEGIN"])[1].split(tools["END"])[0]
    (printed,) = [text for line, text in outputs.items() if line.startswith("demo")]
    printed = printed[printed.index("Thursday ") : printed.index("\n\n!  ")]
    assert len(shape(printed)) > 6
    assert shape(example) == shape(printed), "run scripts/readme_example.py"
