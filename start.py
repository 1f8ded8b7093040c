#!/usr/bin/env python3
"""Set Sugarwright up in this folder and run it. Needs Python 3.11 or newer, nothing else.

    python3 start.py demo          plan a day of the invented demo sugarhouse
    python3 start.py test          run every check of the project
    python3 start.py WORDS...      any other command, as in: python3 start.py new my-sugarhouse

The first run makes .venv here and installs what the lock file names, each download checked against
its hash. Later runs start at once, until a lock file or the Python changes. Nothing is installed
outside this folder, and no step needs an administrator.
"""

import hashlib
import importlib.util
import json
import os
import platform
import re
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from pathlib import Path
from typing import IO

# Older Pythons must be able to read this file (not to run it): they get this line, not a traceback.
if sys.version_info < (3, 11):  # noqa: UP036
    sys.exit(
        "start.py: Sugarwright needs Python 3.11 or newer, and this is Python {}.{}. "
        "If a newer one is installed, name it: python3.11 start.py demo".format(*sys.version_info)
    )

ROOT = Path(__file__).resolve().parent
VENV = ROOT / ".venv"
STAMP = VENV / "start.json"  # what a finished set-up was made from
TURN = ROOT / ".venv.turn"  # locked by the one start.py that may change .venv
BIN = VENV / ("Scripts" if os.name == "nt" else "bin")
PYTHON = BIN / "python"

# What start.py starts may write byte-compiled files: without them every start is slow.
CHILD_ENVIRONMENT = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}

RUNTIME = ("requirements.lock",)
DEVELOPMENT = ("requirements.lock", "requirements-dev.lock")  # the second holds all of the first

CAUSES = {  # what pip's last lines show, and what it means
    "DO NOT MATCH THE HASHES": (
        "A download is not the file that the lock names: damaged on its way, or altered. It was "
        "not installed. Try again; if it stays so, empty pip's cache: pip cache purge"
    ),
    "No space left|not enough space": "The disk is full; set-up needs about 1 GB.",
    "NewConnectionError|NameResolution|Connect|Timeout|SSLError|ProxyError": (
        "pip cannot reach its package index. Connect this computer to the network (only set-up "
        "needs it), or correct pip's settings of proxy and index, then run this again."
    ),
    "No matching distribution found": (
        "The package index has no ready-made build of a package for this Python and this kind of "
        "computer. Try another Python, 3.11 to 3.13, as in: python3.12 start.py demo"
    ),
}


class SetupError(Exception):
    """Set-up cannot go on; the text says why and what to do."""


def main(words: list[str]) -> int:
    """Do what the words ask for and return the exit code."""
    if not words:
        print(__doc__)
        return 0
    if words[0] == "test":
        prepare(DEVELOPMENT)
        return run_checks(words[1:])
    prepare(RUNTIME)
    return run_sugarwright(words)


def prepare(locks: tuple[str, ...]) -> None:
    """Bring .venv to the state that the locks, pyproject.toml and this Python ask for."""
    if is_ready(locks):
        return
    with one_at_a_time():
        if is_ready(locks):  # another start.py did it while this one waited
            return
        started = time.monotonic()
        if is_ready(()):  # this Python, this folder, but other packages
            say("bringing .venv up to date")
        else:
            say("setting up in .venv, the first time only; about a minute")
            make_venv()
        STAMP.unlink(missing_ok=True)  # so that an interrupted set-up is made afresh
        say(f"installing the packages of {locks[-1]}")
        pip_install("--require-hashes", "-r", locks[-1])
        pip_install("--no-build-isolation", "--no-deps", "-e", ".")
        write_stamp(wanted_stamp(locks))
        say(f"set-up done in {time.monotonic() - started:.0f} s")


def wanted_stamp(locks: tuple[str, ...]) -> dict[str, str]:
    """Return what decides whether .venv fits: this Python, this folder, the locks' contents."""
    stamp = {"python": f"{sys.version} {platform.machine()} {ROOT}"}
    project = (ROOT / "pyproject.toml").read_bytes()
    for lock in locks:
        stamp[lock] = hashlib.sha256((ROOT / lock).read_bytes() + project).hexdigest()
    return stamp


def read_stamp() -> dict[str, str]:
    """Return what .venv was made from; nothing if its set-up never finished."""
    try:
        stamp = json.loads(STAMP.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return stamp if isinstance(stamp, dict) else {}


def write_stamp(stamp: dict[str, str]) -> None:
    """Record a finished set-up in one step, so that no half-written record can be read."""
    draft = STAMP.with_suffix(".new")
    draft.write_text(json.dumps(stamp, indent=1), encoding="utf-8")
    draft.replace(STAMP)


def is_ready(locks: tuple[str, ...]) -> bool:
    """Tell whether .venv was made from exactly these locks, by this Python, in this folder."""
    return wanted_stamp(locks).items() <= read_stamp().items()


@contextmanager
def one_at_a_time() -> Iterator[None]:
    """Let one start.py at a time change .venv; the lock ends with its process, however it ends."""
    try:
        turn = TURN.open("ab")
    except OSError as problem:
        raise SetupError(
            f"cannot write in {ROOT} ({problem.strerror}). Copy the folder to a place of your own "
            "and run start.py there."
        ) from problem
    with turn:
        if not take_turn(turn):
            say("another start.py is setting up here: waiting for it")
            while not take_turn(turn):
                time.sleep(0.2)
        yield


def take_turn(turn: IO[bytes]) -> bool:
    """Lock the open file if nobody else holds it; closing it unlocks it."""
    try:
        if sys.platform == "win32":
            import msvcrt

            turn.seek(0)
            msvcrt.locking(turn.fileno(), msvcrt.LK_NBLCK, 1)
        else:
            import fcntl

            fcntl.flock(turn, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True


def make_venv() -> None:
    """Make .venv anew, from the Python that runs this (or from its base, if that is a venv's)."""
    if any(importlib.util.find_spec(module) is None for module in ("venv", "ensurepip")):
        raise SetupError(
            "this Python comes without venv, which set-up needs. On Debian or Ubuntu: "
            "sudo apt install python3-venv"
        )
    base = getattr(sys, "_base_executable", None) or sys.executable
    run_quietly(base, "-m", "venv", "--clear", str(VENV))


def pip_install(*words: str) -> None:
    """Install into .venv, with the user's own settings of pip (index, proxy, cache) in force."""
    options = ("--quiet", "--no-input", "--disable-pip-version-check")
    run_quietly(str(PYTHON), "-m", "pip", "install", *options, *words)


def run_quietly(*command: str) -> None:
    """Run a step of set-up; only if it fails, show what it said last and what that means."""
    done = subprocess.run(
        command,
        cwd=ROOT,
        env=CHILD_ENVIRONMENT,
        capture_output=True,
        encoding="utf-8",
        errors="replace",
        check=False,
    )
    if done.returncode:
        raise SetupError(explain(done.stdout + done.stderr))


def explain(output: str) -> str:
    """Say in plain words why a step of set-up failed, below the last lines that it printed."""
    lines = [line for line in output.splitlines() if not re.match(r"\s*(Expected +or |$)", line)]
    said = "".join(f"\n    {line}" for line in lines[-8:])
    for signs, meaning in CAUSES.items():
        if re.search(signs, output):
            return f"set-up failed.{said}\n{meaning}"
    return f"set-up failed; the last lines say why. The next run makes it afresh.{said}"


def run_sugarwright(words: list[str]) -> int:
    """Run the ``sugarwright`` command in the folder where the user stands."""
    command = [str(BIN / "sugarwright"), *words]
    python = "python3" if os.name == "posix" else "python"
    called_as = {"SUGARWRIGHT_CALLED_AS": f"{python} {sys.argv[0]}"}  # for hints that can be typed
    environment = CHILD_ENVIRONMENT | called_as
    if os.name == "posix":  # become the command, so that signals and the terminal reach it
        os.execve(command[0], command, environment)
    return subprocess.run(command, env=environment, check=False).returncode


def run_checks(pytest_words: list[str]) -> int:
    """Run every check, whatever the others find, and sum up; 0 only if all passed."""
    python = str(PYTHON)
    # The demo compiles the simulator for all tests: each worker of pytest would do so by itself.
    with tempfile.TemporaryDirectory() as folder:
        first = {
            "demo": [str(BIN / "sugarwright"), "demo", f"{folder}/demo", "--no-serve"],
            "ruff check": [python, "-m", "ruff", "check", "."],
            "ruff format": [python, "-m", "ruff", "format", "--check", "."],
            "mypy": [python, "-m", "mypy"],
            "import directions": [str(BIN / "lint-imports"), "--no-logo"],
        }
        print(f"\n--- {', '.join(first)}", flush=True)
        with ThreadPoolExecutor(2) as two_at_once:
            results = dict(zip(first, two_at_once.map(check_quietly, first.values()), strict=True))
    # Three workers for two cores: a test of a page mostly waits for the browser.
    workers = str(max(1, 3 * (os.cpu_count() or 1) // 2))
    print("\n--- pytest", flush=True)
    pytest = [python, "-m", "pytest", "-n", workers, "--dist", "worksteal"]  # files stay together
    results["pytest"] = check([*pytest, *pytest_words])
    print("\n--- summary", *(f"{name:<20}{result}" for name, result in results.items()), sep="\n")
    return int(any("FAILED" in result for result in results.values()))


def check(command: list[str], output: int | None = None) -> str:
    """Run one check, and say how it went and how long it took; what it has to say when it fails."""
    started = time.monotonic()
    done = subprocess.run(
        command, cwd=ROOT, env=CHILD_ENVIRONMENT, check=False, stdout=output, stderr=output,
        text=True, errors="replace",
    )  # fmt: skip
    if done.returncode and output is not None:
        print(f"\n--- {' '.join(command)}\n{done.stdout}{done.stderr}", flush=True)
    word = "ok" if done.returncode == 0 else f"FAILED (exit code {done.returncode})"
    return f"{word:<8} {time.monotonic() - started:5.0f} s"


def check_quietly(command: list[str]) -> str:
    """Run one check whose output is worth reading only when it fails."""
    return check(command, subprocess.PIPE)


def say(text: str) -> None:
    """Tell the user what goes on; on stderr, since stdout belongs to the command."""
    print(f"start.py: {text}", file=sys.stderr, flush=True)


if __name__ == "__main__":
    try:
        sys.exit(main(sys.argv[1:]))
    except SetupError as problem:
        say(str(problem))
        sys.exit(1)
    except KeyboardInterrupt:
        say("stopped")
        sys.exit(130)
