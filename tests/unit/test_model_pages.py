"""The pages of docs/models: charts as the program draws them today, and nothing left out."""

from __future__ import annotations

import importlib
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
FOLDER = ROOT / "docs" / "models"
PAGES = sorted(page for page in FOLDER.glob("*.md") if page.name != "README.md")
NUMBER = re.compile(r"-?\d+\.\d+")


@pytest.fixture(scope="module")
def made() -> dict[str, str]:
    with pytest.MonkeyPatch.context() as patch:
        patch.syspath_prepend(str(ROOT / "scripts"))
        return importlib.import_module("plot_models").made()  # type: ignore[no-any-return]


def test_charts_are_of_today(made: dict[str, str]) -> None:
    assert len(made) > 20
    for name, text in made.items():
        kept = (FOLDER / name).read_text(encoding="utf-8")
        again = "run python scripts/plot_models.py"
        assert NUMBER.split(kept) == NUMBER.split(text), f"{name} is old: {again}"
        # a tenth of a pixel may round the other way on another machine's mathematics
        old, new = ([float(n) for n in NUMBER.findall(each)] for each in (kept, text))
        assert new == pytest.approx(old, abs=0.11), f"{name} is old: {again}"


def test_no_chart_is_left_over(made: dict[str, str]) -> None:
    assert {path.name for path in FOLDER.glob("*.svg")} == {n for n in made if n.endswith("svg")}


def test_every_chart_stands_on_a_page() -> None:
    shown = re.findall(r"\]\(([\w-]+\.svg)\)", "".join(p.read_text("utf-8") for p in PAGES))
    assert sorted(set(shown)) == sorted(path.name for path in FOLDER.glob("*.svg"))


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.stem)
def test_a_page_has_its_parts(page: Path) -> None:
    text = page.read_text(encoding="utf-8")
    if "Made by" in text:
        return
    for heading in ("## Equation", "## Source", "## Against the world", "## Where it fails"):
        assert heading in text, heading
    assert f"({page.name})" in (FOLDER / "README.md").read_text(encoding="utf-8")
