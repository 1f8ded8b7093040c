"""Remake the two lock files from pyproject.toml; needs uv (``pip install uv``) and the network.

    python scripts/lock.py             keeps the versions that still fit
    python scripts/lock.py --upgrade   takes the newest that fit

One set of versions serves every Python and system, so that all compute the same. Wheels only: no
user needs a compiler. The locks hold hashes and no address, so that each user's own package index
serves them. The runtime lock also holds what ``pip install -e .`` builds with.
"""

from __future__ import annotations

import subprocess
import sys
import tomllib
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
UV_COMPILE = (sys.executable, "-m", "uv", "pip", "compile")
OPTIONS = (
    *("--universal", "--python-version", "3.11", "--fork-strategy", "fewest"),
    *("--only-binary", ":all:", "--emit-build-options", "--generate-hashes"),
    *("--no-header", "--no-annotate", "--no-emit-index-url", "--quiet"),
)


def compile_lock(output: str, *words: str) -> None:
    """Resolve pyproject.toml together with its build tools into one lock file."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    build_tools = [*project["build-system"]["requires"], "editables"]
    subprocess.run(
        [*UV_COMPILE, "pyproject.toml", "-", *OPTIONS, "--output-file", output, *words],
        input="\n".join(build_tools),
        text=True,
        cwd=ROOT,
        check=True,
    )


if __name__ == "__main__":
    compile_lock("requirements-dev.lock", "--extra", "dev", *sys.argv[1:])
    # The larger one decides: what runs is what was tested.
    compile_lock("requirements.lock", "--constraint", "requirements-dev.lock", *sys.argv[1:])
