"""What every page stands on: who is let in, what is shipped, the worker, changes."""

from __future__ import annotations

import hashlib
import os
import re
import time
from pathlib import Path

import pytest
from starlette.testclient import TestClient

import sugarwright.web
from sugarwright.answering.folder import house_in
from sugarwright.logbook.book import Logbook
from sugarwright.logbook.words import understand
from sugarwright.web.shed import Shed
from sugarwright.web.worker import Worker, WorkError
from web_folder import NOW_S

WEB = Path(sugarwright.web.__file__).parent
VENDOR = WEB / "static" / "vendor"


def test_what_is_not_ours_is_as_published_and_has_its_licence() -> None:
    rows = re.findall(
        r"^\| `(\S+)` \|.*\| (\S+), `(\S+)` \| `([0-9a-f]{64})` \|$",
        (VENDOR / "README.md").read_text(encoding="utf-8"),
        re.MULTILINE,
    )
    named = {name for name, *_ in rows} | {licence for _, _, licence, _ in rows}
    assert named | {"README.md"} == {path.name for path in VENDOR.iterdir()}
    for name, _, licence, digest in rows:
        assert hashlib.sha256((VENDOR / name).read_bytes()).hexdigest() == digest
        assert (VENDOR / licence).stat().st_size > 100


def test_no_page_names_an_outside_address() -> None:
    ours = [p for p in (WEB / "static").iterdir() if p.suffix in {".js", ".css"}]
    for path in [*ours, *(WEB / "templates").rglob("*.html")]:
        text = path.read_text(encoding="utf-8")
        assert not re.search(r"(?:src|href|url\(|import|fetch\()\W{0,3}(?:https?:)?//", text), path


def test_templates_have_no_inline_script_or_style() -> None:
    for path in (WEB / "templates").rglob("*.html"):
        text = path.read_text(encoding="utf-8")
        assert not re.search(r"<[^>]*\s(style|on\w+)=", text), path
        assert "<style" not in text
        for tag in re.findall(r"<script[^>]*>", text):
            assert "src=" in tag or 'type="application/json"' in tag, path


@pytest.mark.parametrize("host", ["evil.test", "localhost.evil.test", "192.0.2.7:8470", ""])
def test_another_name_for_this_computer_is_refused(pages: TestClient, host: str) -> None:
    answer = pages.get("/", headers={"host": host})
    assert answer.status_code in (400, 403, 421)
    assert "Tamarack" not in answer.text


def test_another_site_s_form_is_refused(pages: TestClient) -> None:
    answer = pages.post("/plan", headers={"origin": "http://evil.test"}, follow_redirects=False)
    assert answer.status_code == 403


def test_pages_allow_no_script_but_ours(pages: TestClient) -> None:
    policy = pages.get("/more").headers["content-security-policy"]
    assert "default-src 'self'" in policy
    assert "unsafe" not in policy


def test_what_is_not_there_is_told_in_the_form_asked_for(pages: TestClient) -> None:
    page = pages.get("/nothing", headers={"accept": "text/html"})
    assert (page.status_code, "There is no such page." in page.text) == (404, True)
    assert pages.get("/nothing").json() == {"problem": "There is no such page."}


# --- the worker


def test_the_worker_answers_elsewhere_refuses_in_words_and_comes_back() -> None:
    worker = Worker()
    try:
        process = worker.ask(os.getpid).result(60)
        assert process != os.getpid()
        with pytest.raises(WorkError, match="is not there"):
            worker.ask(house_in, "no-such-folder").result(60)
        assert worker.ask(os.getpid).result(60) == process
        with pytest.raises(WorkError, match="stopped"):
            worker.ask(os._exit, 1).result(60)
        assert worker.ask(os.getpid).result(60) not in (process, os.getpid())
    finally:
        worker.close()


# --- changes


def test_what_a_command_writes_is_seen(shed: Shed, folder: Path) -> None:
    before = shed.revision
    with Logbook.open(folder) as book:
        book.add(understand("stock 33 gal", shed.house(), NOW_S).entries)
    end_s = time.monotonic() + 10.0
    while shed.revision == before and time.monotonic() < end_s:
        time.sleep(0.05)
    assert shed.revision > before


def test_what_the_twin_keeps_is_no_change(shed: Shed, folder: Path) -> None:
    mark = shed.changes.mark
    with Logbook.open(folder) as book:
        book.keep_state("tests", NOW_S, b"state", NOW_S)
    shed.changes.look()
    assert shed.changes.mark == mark
