"""The demo's pages say on each of them that it is invented; a house of one's own does not."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from sugarwright.answering.folder import HOUSE_FILE
from sugarwright.answering.invented import is_invented
from sugarwright.web.app import SCREENS, build
from sugarwright.web.shed import Shed
from web_folder import write_house

LINE = re.compile(r'<p class="invented">.*?</p>', re.DOTALL)
PATHS = [*(tab.path for tab in SCREENS.values()), "/house/change", "/no-such-page"]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    write_house(tmp_path)
    return tmp_path


@pytest.fixture
def own_folder(folder: Path) -> Path:
    """Return one whose description no longer says that it is the demo's."""
    path = folder / HOUSE_FILE
    lines = path.read_text(encoding="utf-8").splitlines(keepends=True)
    path.write_text("".join(lines[1:]), encoding="utf-8")
    return folder


def pages_of(folder: Path) -> Iterator[TestClient]:
    with TestClient(build(Shed(str(folder), plans=False)), base_url="http://localhost") as client:
        client.headers["accept"] = "text/html"
        yield client


def test_every_page_of_the_demo_says_that_it_is_invented(folder: Path) -> None:
    for client in pages_of(folder):
        for path in PATHS:
            page = client.get(path).text
            found = LINE.search(page)
            assert found, path
            assert "not a real sugarhouse" in found[0]
            assert page.index(found[0]) < page.index("<main")


def test_no_page_of_a_house_of_ones_own_does(own_folder: Path) -> None:
    for client in pages_of(own_folder):
        assert not [path for path in PATHS if LINE.search(client.get(path).text)]
        assert client.get("/invented").status_code == 404


def test_it_is_told_what_to_delete_and_nothing_here_deletes_it(folder: Path) -> None:
    for client in pages_of(folder):
        page = client.get("/invented").text
        assert str(folder) in page
        assert "<form" not in page
        assert client.post("/invented").status_code == 405
    assert (folder / HOUSE_FILE).exists()


def test_a_folder_that_cannot_be_read_says_nothing(tmp_path: Path) -> None:
    assert not is_invented(str(tmp_path))
    (tmp_path / HOUSE_FILE).write_bytes(b"\xff\xfe# inv\x00ented\n")
    assert not is_invented(str(tmp_path))
    assert not is_invented("no\x00such")
