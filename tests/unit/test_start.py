"""start.py: what it decides, says and runs; without the network and without a real set-up."""

import ast
import importlib.util
import json
import os
import subprocess
import sys
from pathlib import Path
from types import ModuleType

import pytest

START = Path(__file__).resolve().parents[2] / "start.py"


def load(place: Path) -> ModuleType:
    """Import the start.py that lies at a place, under a name of its own."""
    spec = importlib.util.spec_from_file_location("start_under_test", place)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture
def checkout(tmp_path: Path) -> Path:
    """Lay out a folder with start.py and the files that it reads, with nothing set up."""
    folder = tmp_path / "a check-out"
    folder.mkdir()
    (folder / "start.py").write_bytes(START.read_bytes())
    for name in ("pyproject.toml", "requirements.lock", "requirements-dev.lock"):
        (folder / name).write_text(f"# {name}\n", encoding="utf-8")
    return folder


@pytest.fixture
def start(checkout: Path) -> ModuleType:
    return load(checkout / "start.py")


@pytest.fixture
def pip(start: ModuleType, monkeypatch: pytest.MonkeyPatch) -> list[tuple[str, ...]]:
    """Stand in for all that set-up starts; return the list of what it was asked to run."""
    commands: list[tuple[str, ...]] = []

    def run_quietly(*command: str) -> None:
        commands.append(command)
        if "venv" in command:
            start.BIN.mkdir(parents=True, exist_ok=True)

    monkeypatch.setattr(start, "run_quietly", run_quietly)
    return commands


# --- any Python may try it


def test_old_pythons_can_read_it() -> None:
    # Python 3.6 is the oldest whose syntax the ast module can hold the file to.
    ast.parse(START.read_text(encoding="utf-8"), feature_version=(3, 6))


def test_old_pythons_are_told_which_one_is_needed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "version_info", (3, 9, 18, "final", 0))
    with pytest.raises(SystemExit, match=r"needs Python 3\.11 or newer, and this is Python 3\.9"):
        load(START)


def test_needs_the_standard_library_alone() -> None:
    for node in ast.walk(ast.parse(START.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            assert all(alias.name.split(".")[0] in sys.stdlib_module_names for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert (node.module or "").split(".")[0] in sys.stdlib_module_names


def test_without_words_it_says_how_to_use_it_and_sets_nothing_up(checkout: Path) -> None:
    done = subprocess.run(
        [sys.executable, "start.py"], cwd=checkout, capture_output=True, text=True, check=True
    )
    assert "python3 start.py demo" in done.stdout
    assert not (checkout / ".venv").exists()


# --- when it sets up


def test_sets_up_once(start: ModuleType, pip: list[tuple[str, ...]]) -> None:
    start.prepare(start.RUNTIME)
    makes, installs, itself = pip
    assert makes[1:4] == ("-m", "venv", "--clear")
    assert {"--require-hashes", "requirements.lock"} <= set(installs)
    assert {"--no-build-isolation", "--no-deps", "-e", "."} <= set(itself)
    pip.clear()
    start.prepare(start.RUNTIME)
    assert pip == []


def test_the_development_set_serves_the_runtime_too(
    start: ModuleType, pip: list[tuple[str, ...]]
) -> None:
    start.prepare(start.RUNTIME)
    assert not start.is_ready(start.DEVELOPMENT)
    start.prepare(start.DEVELOPMENT)
    pip.clear()
    start.prepare(start.RUNTIME)
    assert pip == []


@pytest.mark.parametrize("name", ["requirements.lock", "pyproject.toml"])
def test_a_change_updates_what_is_there(
    start: ModuleType, pip: list[tuple[str, ...]], checkout: Path, name: str
) -> None:
    start.prepare(start.RUNTIME)
    pip.clear()
    (checkout / name).write_text("# changed\n", encoding="utf-8")
    start.prepare(start.RUNTIME)
    assert len(pip) == 2
    assert not any("venv" in command for command in pip)


def test_a_runtime_update_leaves_the_development_set_unproven(
    start: ModuleType, pip: list[tuple[str, ...]], checkout: Path
) -> None:
    # Back on the old lock, what the update replaced must not pass for the old development set.
    old = (checkout / "requirements.lock").read_bytes()
    start.prepare(start.DEVELOPMENT)
    (checkout / "requirements.lock").write_text("# changed\n", encoding="utf-8")
    start.prepare(start.RUNTIME)
    (checkout / "requirements.lock").write_bytes(old)
    assert not start.is_ready(start.DEVELOPMENT)


def test_another_python_makes_it_anew(
    start: ModuleType, pip: list[tuple[str, ...]], monkeypatch: pytest.MonkeyPatch
) -> None:
    start.prepare(start.RUNTIME)
    pip.clear()
    monkeypatch.setattr(sys, "version", "3.99.0 (another)")
    start.prepare(start.RUNTIME)
    assert "--clear" in pip[0]


def test_a_moved_folder_makes_it_anew(
    start: ModuleType, pip: list[tuple[str, ...]], checkout: Path
) -> None:
    # The programs in .venv name it by its full path, so a copy of it runs the original.
    start.prepare(start.RUNTIME)
    moved = checkout.rename(checkout.with_name("moved"))
    assert not load(moved / "start.py").is_ready(start.RUNTIME)


@pytest.mark.parametrize("left", ["", "{", "[]", "null"])
def test_a_damaged_record_counts_as_none(
    start: ModuleType, pip: list[tuple[str, ...]], left: str
) -> None:
    start.prepare(start.RUNTIME)
    start.STAMP.write_text(left, encoding="utf-8")
    assert not start.is_ready(start.RUNTIME)


def test_an_interrupted_set_up_is_made_afresh(
    start: ModuleType, pip: list[tuple[str, ...]], monkeypatch: pytest.MonkeyPatch, checkout: Path
) -> None:
    start.prepare(start.RUNTIME)
    (checkout / "requirements.lock").write_text("# changed\n", encoding="utf-8")
    with monkeypatch.context() as patch:

        def interrupt(*words: str) -> None:
            raise KeyboardInterrupt

        patch.setattr(start, "pip_install", interrupt)
        with pytest.raises(KeyboardInterrupt):
            start.prepare(start.RUNTIME)
    pip.clear()
    start.prepare(start.RUNTIME)
    assert "--clear" in pip[0]
    assert start.is_ready(start.RUNTIME)


# --- one at a time


def test_a_second_run_waits_for_the_first_and_then_has_nothing_to_do(checkout: Path) -> None:
    # The first holds its turn until the second says that it waits; both count what they install.
    program = """
import sys
import start

def run_quietly(*command):
    start.BIN.mkdir(parents=True, exist_ok=True)
    print("ran", flush=True)
    if sys.argv[1] == "first":
        sys.stdin.readline()

start.run_quietly = run_quietly
start.prepare(start.RUNTIME)
"""
    (checkout / "try.py").write_text(program, encoding="utf-8")

    def run(name: str) -> subprocess.Popen[str]:
        return subprocess.Popen(
            [sys.executable, "try.py", name],
            cwd=checkout,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )

    with run("first") as first:
        assert first.stdout is not None
        assert first.stdout.readline() == "ran\n"  # it is in the middle of its set-up
        with run("second") as second:
            assert second.stderr is not None
            assert "waiting" in second.stderr.readline()
            first_rest, _ = first.communicate("\n\n\n")
            second_all, _ = second.communicate()
    assert (first.returncode, second.returncode) == (0, 0)
    assert first_rest.count("ran") == 2
    assert second_all == ""


# --- what it says when something is in the way


@pytest.mark.parametrize(
    ("output", "meaning"),
    [
        ("ERROR: THESE PACKAGES DO NOT MATCH THE HASHES FROM THE FILE", "damaged on its way"),
        (
            "WARNING: Retrying ... NewConnectionError('Failed to establish a new connection')\n"
            "ERROR: No matching distribution found for numpy==2.4.6",
            "cannot reach its package index",
        ),
        ("ERROR: No matching distribution found for numba==0.68.1", "Try another Python"),
        ("OSError: [Errno 28] No space left on device", "disk is full"),
        ("something else", "the last lines say why"),
    ],
)
def test_failures_of_pip_are_explained(start: ModuleType, output: str, meaning: str) -> None:
    told = start.explain(output)
    assert meaning in told
    assert output.splitlines()[-1] in told


def test_a_wrong_hash_names_the_package_however_many_hashes_it_may_have(start: ModuleType) -> None:
    # pip prints the package first, then each hash that would do: dozens of lines.
    output = "DO NOT MATCH THE HASHES\n  numpy==2.4.6 from (address):\n    Expected sha256 1\n"
    output += "    Expected     or 2\n" * 70 + "         Got        3\n\n"
    assert "numpy==2.4.6" in start.explain(output)


def test_a_failing_step_is_a_message(start: ModuleType) -> None:
    with pytest.raises(start.SetupError, match=r"    the index is on fire"):
        start.run_quietly(sys.executable, "-c", "print('the index is on fire'); exit(3)")


def test_a_missing_venv_module_names_the_debian_package(
    start: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    find = importlib.util.find_spec
    monkeypatch.setattr(
        importlib.util, "find_spec", lambda name: None if name == "ensurepip" else find(name)
    )
    with pytest.raises(start.SetupError, match="sudo apt install python3-venv"):
        start.make_venv()


def test_a_folder_that_cannot_be_written_is_a_message(start: ModuleType, checkout: Path) -> None:
    start.TURN.mkdir()  # no file can be opened there, whoever asks (root may write anywhere)
    done = subprocess.run(
        [sys.executable, "start.py", "demo"],
        cwd=checkout,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 1
    assert "Copy the folder to a place of your own" in done.stderr
    assert "Traceback" not in done.stderr


# --- what it runs


@pytest.mark.skipif(os.name != "posix", reason="the stand-in command is a shell script")
def test_words_reach_the_command_in_the_folder_of_the_user(
    start: ModuleType, pip: list[tuple[str, ...]], checkout: Path, tmp_path: Path
) -> None:
    start.prepare(start.RUNTIME)
    command = start.BIN / "sugarwright"
    command.write_text('#!/bin/sh\npwd; printf "[%s]" "$@"; exit 7\n', encoding="utf-8")
    command.chmod(0o755)
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    done = subprocess.run(
        [sys.executable, str(checkout / "start.py"), "plan", "my house", "--json"],
        cwd=elsewhere,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.stdout == f"{elsewhere}\n[plan][my house][--json]"
    assert done.stderr == ""
    assert done.returncode == 7


@pytest.mark.parametrize("failing", [None, "demo", "ruff check", "pytest"])
def test_every_check_runs_and_one_failure_fails_all(
    start: ModuleType,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    failing: str | None,
) -> None:
    ran: list[list[str]] = []

    def run(command: list[str], **_: object) -> subprocess.CompletedProcess[str]:
        ran.append(command)
        fails = failing is not None and failing in " ".join(command[1:])
        return subprocess.CompletedProcess(command, int(fails), "what is wrong", "")

    monkeypatch.setattr(subprocess, "run", run)
    assert start.run_checks(["-k", "membrane"]) == (0 if failing is None else 1)
    assert len(ran) == 6
    assert ran[-1][-2:] == ["-k", "membrane"]
    said = capsys.readouterr().out
    assert said.count("FAILED") == (0 if failing is None else 1)
    assert said.count("what is wrong") == (1 if failing in ("demo", "ruff check") else 0)


def test_children_may_write_byte_code_and_keep_the_settings_of_pip(
    checkout: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PYTHONDONTWRITEBYTECODE", "1")
    monkeypatch.setenv("PIP_INDEX_URL", "their-own")
    environment = load(checkout / "start.py").CHILD_ENVIRONMENT
    assert "PYTHONDONTWRITEBYTECODE" not in environment
    assert environment["PIP_INDEX_URL"] == "their-own"


def test_the_record_says_what_it_was_made_from(
    start: ModuleType, pip: list[tuple[str, ...]]
) -> None:
    start.prepare(start.DEVELOPMENT)
    record = json.loads(start.STAMP.read_text(encoding="utf-8"))
    assert set(record) == {"python", "requirements.lock", "requirements-dev.lock"}
