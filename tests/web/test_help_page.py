"""The page of cautions: every caution that stands beside an act is on it."""

from __future__ import annotations

from html import unescape
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from sugarwright.bench import cautions as at_the_bench
from sugarwright.planning.cautions import CAUTIONS
from sugarwright.web.app import build
from sugarwright.web.shed import Shed

DEMO = Path(__file__).parents[2] / "src" / "sugarwright" / "demo" / "sugarhouse.toml"
BENCH = [text for name, text in vars(at_the_bench).items() if name.isupper()]


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> str:
    folder = tmp_path_factory.mktemp("house")
    (folder / "sugarhouse.toml").write_bytes(DEMO.read_bytes())
    with TestClient(build(Shed(str(folder), plans=False)), base_url="http://localhost") as client:
        return unescape(client.get("/help").text)


@pytest.mark.parametrize("caution", [*CAUTIONS.values(), *BENCH])
def test_every_caution_is_there(page: str, caution: str) -> None:
    assert caution in page


def test_it_defers_to_local_rules(page: str) -> None:
    assert "never replace watching the pan" in page
    assert "licensed" in page
