"""A served folder, a browser, and pages at the sizes and in the schemes that are promised."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from sugarwright.answering.folder import house_in
from sugarwright.cli.demo_folder import fill_logbook
from sugarwright.planning.search import Budget
from sugarwright.web.app import build
from sugarwright.web.shed import Shed
from web_browser import FOUND, launch
from web_folder import NOW_S, write_house, write_log, write_plan
from web_serving import serving, standing_known

SIZES = {"phone": (360, 740), "desktop": (1280, 800)}


@pytest.fixture(scope="session")
def served_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the demo's house with a log and a plan; tests that write take a copy."""
    folder = tmp_path_factory.mktemp("served") / "house"
    write_house(folder)
    write_log(folder)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("sugarwright.planning.search.USUAL", Budget(population=16, rounds=2))
        write_plan(folder)
    return folder


@pytest.fixture(scope="session")
def half_season(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the demo's invented half season with its slips; who writes takes a copy."""
    folder = tmp_path_factory.mktemp("half") / "house"
    write_house(folder)
    fill_logbook(str(folder), house_in(str(folder)), int(NOW_S))
    return folder


@pytest.fixture
def folder(served_folder: Path, tmp_path: Path) -> Path:
    """Return a copy of it."""
    return Path(shutil.copytree(served_folder, tmp_path / "house"))


@pytest.fixture
def shed(folder: Path) -> Iterator[Shed]:
    """Serve the copy, its clock standing at the demo's morning; no plan is made unasked."""
    made = Shed(str(folder), lambda: NOW_S, plans=False)
    yield made
    made.close()


@pytest.fixture
def pages(shed: Shed) -> Iterator[TestClient]:
    """Ask pages as somebody at this computer."""
    with TestClient(build(shed), base_url="http://localhost") as client:
        yield client


@pytest.fixture(scope="session")
def session_shed(served_folder: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shed]:
    """Serve one copy to all browser tests of a session, with all answers there."""
    folder = shutil.copytree(served_folder, tmp_path_factory.mktemp("browser") / "house")
    made = Shed(str(folder), lambda: NOW_S, plans=False)
    standing_known(made)
    yield made
    made.close()


@pytest.fixture(scope="session")
def server(session_shed: Shed) -> Iterator[str]:
    """Return the address of the pages, served in earnest."""
    with serving(session_shed) as address:
        yield address


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    """Return the distribution's own Chromium."""
    if FOUND is None:
        if os.environ.get("SUGARWRIGHT_BROWSER") == "required":
            pytest.fail("no Chromium is installed, and SUGARWRIGHT_BROWSER=required")
        pytest.skip("no Chromium is installed (Debian: apt-get install chromium-headless-shell)")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        found = launch(playwright.chromium)
        yield found
        found.close()


@pytest.fixture(params=[f"{size}-{scheme}" for size in SIZES for scheme in ("light", "dark")])
def screen(request: pytest.FixtureRequest, browser: Any, server: str) -> Iterator[Any]:
    """Return an empty page of each size and scheme; a script's error or an outside request fails.

    ``page.goto("/")`` goes to the served pages.
    """
    size, _, scheme = request.param.partition("-")
    width, height = SIZES[size]
    context = browser.new_context(
        base_url=server,
        viewport={"width": width, "height": height},
        color_scheme=scheme,
        has_touch=size == "phone",
    )
    page = context.new_page()
    problems: list[str] = []
    page.on("pageerror", lambda error: problems.append(str(error)))
    page.on("console", lambda said: said.type == "error" and problems.append(said.text))
    page.on("request", lambda asked: problems.append(asked.url) if outside(asked.url) else None)

    def outside(address: str) -> bool:
        return not address.startswith((server, "data:", "blob:"))

    yield page
    context.close()
    assert problems == []
