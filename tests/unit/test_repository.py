"""Promises that the repository makes about itself: locks, the README's commands, imports, sizes."""

import ast
import importlib
import importlib.metadata
import inspect
import operator
import re
import statistics
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest
from importlinter.cli import lint_imports

ROOT = Path(__file__).resolve().parents[2]
SOURCES = sorted((ROOT / "src").rglob("*.py"))
LOCKS = ("requirements.lock", "requirements-dev.lock")
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
Function = ast.FunctionDef | ast.AsyncFunctionDef


def text_of(name: str) -> str:
    return (ROOT / name).read_text(encoding="utf-8")


def own_text_files() -> Iterator[tuple[str, str]]:
    """Yield the name and the text of every file that people write here."""
    folders = ("src", "tests", "docs", "scripts", "benchmarks", ".ci")
    paths = [path for path in ROOT.iterdir() if path.suffix in {".md", ".toml", ".py", ".lock"}]
    paths += [path for folder in folders for path in (ROOT / folder).rglob("*")]
    for path in paths:
        if path.is_file() and "__pycache__" not in path.parts:
            try:
                yield str(path.relative_to(ROOT)), path.read_text(encoding="utf-8")
            except UnicodeDecodeError:
                continue  # a picture or the like


def functions_of(tree: ast.AST, owner: str = "") -> Iterator[tuple[str, Function]]:
    """Yield the functions of a module and the methods of its classes, not what is inside them."""
    for node in ast.iter_child_nodes(tree):
        if isinstance(node, Function):
            yield owner + node.name, node
        elif isinstance(node, ast.ClassDef):
            yield from functions_of(node, f"{owner}{node.name}.")


def public_functions() -> Iterator[tuple[str, str, Function]]:
    """Yield module, name and definition of each public function and method."""
    for path in SOURCES:
        parts = path.relative_to(ROOT / "src").with_suffix("").parts
        module = ".".join(part for part in parts if part != "__init__")
        for name, function in functions_of(ast.parse(path.read_text(encoding="utf-8"))):
            if not function.name.startswith("_"):
                yield module, name, function


def body_lines(function: Function) -> int:
    """Count the lines of a function from ``def`` to its end, less its docstring."""
    lines = (function.end_lineno or function.lineno) - function.lineno + 1
    first = function.body[0]
    if ast.get_docstring(function, clean=False) is not None and first.end_lineno:
        lines -= first.end_lineno - first.lineno + 1
    return lines


# --- locks


def locked(name: str) -> dict[str, list[str]]:
    """Read a lock: each "package==version ; marker", and the hashes that its files may have."""
    entries = text_of(name).replace("\\\n", "").splitlines()
    packages = [entry.split(" --hash=") for entry in entries if entry and entry[0] != "-"]
    return {package.strip(): [text.strip() for text in hashes] for package, *hashes in packages}


@pytest.mark.parametrize("name", LOCKS)
def test_locks_hold_no_address_and_no_path(name: str) -> None:
    assert "://" not in text_of(name)
    assert " @ " not in text_of(name)
    assert "file:" not in text_of(name)


@pytest.mark.parametrize("name", LOCKS)
def test_locks_pin_every_package_with_hashes(name: str) -> None:
    packages = locked(name)
    assert len(packages) > 10
    for package, hashes in packages.items():
        assert re.match(r"^[a-z0-9-]+==[0-9][\w.+]*( ;|$)", package), package
        assert hashes, package
        assert all(re.fullmatch(r"sha256:[0-9a-f]{64}", text) for text in hashes), package


@pytest.mark.parametrize("name", LOCKS)
def test_locks_ask_for_no_compiler(name: str) -> None:
    assert text_of(name).startswith("--only-binary :all:\n")


def test_development_lock_holds_all_of_the_runtime_lock() -> None:
    # start.py counts on it: after `test`, `demo` has nothing left to install.
    development = {}
    for package, hashes in locked(LOCKS[1]).items():
        name, _, marker = package.partition(" ; ")
        development[name] = marker, hashes
    for package, hashes in locked(LOCKS[0]).items():
        name, _, marker = package.partition(" ; ")
        wider, same = development[name]
        assert set(wider.split(" and ")) - {""} <= set(marker.split(" and ")), package
        assert hashes == same, package


def test_locks_serve_every_declared_dependency() -> None:
    def names(requirements: list[str]) -> set[str]:
        found = (re.match(r"[\w-]+", requirement) for requirement in requirements)
        return {match[0].lower().replace("_", "-") for match in found if match}

    runtime, development = ({package.split("==")[0] for package in locked(n)} for n in LOCKS)
    project = PROJECT["project"]
    build_tools = names([*PROJECT["build-system"]["requires"], "editables"])
    assert names(project["dependencies"]) | build_tools <= runtime
    assert names(project["optional-dependencies"]["dev"]) <= development


# --- the two commands


def test_readme_first_screen_has_exactly_the_two_commands() -> None:
    first_screen = text_of("README.md").split("\n## ")[0]
    blocks = re.findall(r"```sh\n(.*?)```", first_screen, flags=re.DOTALL)
    commands = [line.split("#")[0].strip() for block in blocks for line in block.splitlines()]
    assert commands == ["python3 start.py demo", "python3 start.py test"]
    assert len(first_screen.splitlines()) <= 50


def test_continuous_integration_runs_the_readme_test_command() -> None:
    lines = text_of(".ci/run").splitlines()
    assert lines[-1] == "python3 start.py test"
    assert "unset PYTHONDONTWRITEBYTECODE" in lines
    assert "set -euo pipefail" in lines


def test_links_in_documents_lead_somewhere() -> None:
    documents = [ROOT / "README.md", ROOT / "CONTRIBUTING.md", ROOT / "CHANGELOG.md"]
    documents += (ROOT / "docs").rglob("*.md")
    for document in documents:
        for target in re.findall(r"\]\(([^)#]+)", document.read_text(encoding="utf-8")):
            if "://" not in target:
                assert (document.parent / target).exists(), f"{document.name}: {target}"


def test_version_has_one_source() -> None:
    version = PROJECT["project"]["version"]
    assert importlib.metadata.version("sugarwright") == version
    assert f"\n## {version}" in text_of("CHANGELOG.md")
    for path in SOURCES:
        assert f'"{version}"' not in path.read_text(encoding="utf-8"), path


# --- the code


def test_imports_point_down_and_physics_needs_math_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)
    assert lint_imports(str(ROOT / "pyproject.toml"), no_cache=True) == 0


def test_physics_imports_nothing_that_computes_but_math() -> None:
    # Numba compiles these modules, and a command that needs one number must not load NumPy.
    free = {"valid.py", "arrays.py"}  # the range check and the array form; never compiled
    shaping = {"__future__", "typing", "collections"}  # annotations and named tuples
    for path in (ROOT / "src/sugarwright/physics").glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                modules = [alias.name for alias in node.names]
            elif isinstance(node, ast.ImportFrom):
                modules = [node.module or ""]
            else:
                continue
            for module in modules:
                own = module.startswith("sugarwright.physics")
                known = module.split(".")[0] in shaping | {"math"}
                assert own or known or path.name in free, f"{path.name} imports {module}"


def inherited_doc(module: str, name: str) -> str | None:
    """Return what ``help`` shows for a method that states nothing itself: the word of its base."""
    return inspect.getdoc(operator.attrgetter(name)(importlib.import_module(module)))


def test_public_functions_have_docstrings() -> None:
    bare = [
        f"{module}.{name}"
        for module, name, function in public_functions()
        if not ast.get_docstring(function) and not inherited_doc(module, name)
    ]
    assert bare == []


def test_public_functions_are_annotated() -> None:
    for module, name, function in public_functions():
        given = function.args
        parameters = [*given.posonlyargs, *given.args, *given.kwonlyargs]
        parameters += [extra for extra in (given.vararg, given.kwarg) if extra]
        bare = [p.arg for p in parameters if p.annotation is None and p.arg not in ("self", "cls")]
        assert bare == [], f"{module}.{name}"
        assert function.returns is not None, f"{module}.{name}"


def test_modules_say_what_they_are() -> None:
    for path in SOURCES:
        text = path.read_text(encoding="utf-8")
        assert not text.strip() or ast.get_docstring(ast.parse(text)), path


def test_files_stay_small() -> None:
    lengths = {path: len(path.read_text(encoding="utf-8").splitlines()) for path in SOURCES}
    assert {path.name: length for path, length in lengths.items() if length > 500} == {}
    assert statistics.median(lengths.values()) < 250


def test_functions_stay_small() -> None:
    lengths = sorted(
        body_lines(node)
        for path in SOURCES
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, Function)
    )
    assert sum(length > 60 for length in lengths) <= 0.02 * len(lengths)
    assert lengths[int(0.9 * len(lengths))] <= 30


def test_body_lines_leave_the_docstring_out() -> None:
    source = 'def f(x):\n    """One.\n\n    Two.\n    """\n    y = x\n    return y\n'
    ((_, function),) = functions_of(ast.parse(source))
    assert body_lines(function) == 3


# --- traces of the workshop


def test_no_path_of_one_machine() -> None:
    pattern = re.compile(r"(?<![\w.~}])/(?:home|root|work|tmp|Users)/|[A-Z]:\\\\?Users")
    found = [name for name, text in own_text_files() if pattern.search(text)]
    assert found == []


def test_nothing_is_marked_as_unfinished() -> None:
    pattern = re.compile(r"\b(?:TO[D]O|FIX[M]E|XX[X]|HA[C]K)\b")
    found = [name for name, text in own_text_files() if pattern.search(text)]
    assert found == []
