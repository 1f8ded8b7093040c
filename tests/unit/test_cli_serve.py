"""``serve`` on a folder without a description: the questions, then the pages, ended by Ctrl-C."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path
from urllib.error import URLError
from urllib.parse import urlencode
from urllib.request import urlopen

import pytest

from command_line import refused
from house_files import ANSWERS

PATIENCE_S = 60.0


def free_port() -> int:
    with socket.create_server(("127.0.0.1", 0)) as one:
        return int(one.getsockname()[1])


def asked(address: str, sent: dict[str, str] | None = None) -> str:
    """Return a page, asked for until somebody answers."""
    end_s = time.monotonic() + PATIENCE_S
    while True:
        try:
            data = None if sent is None else urlencode(sent).encode()
            with urlopen(address, data=data) as answer:
                return str(answer.read().decode())
        except URLError:
            assert time.monotonic() < end_s
            time.sleep(0.1)


@pytest.mark.skipif(os.name != "posix", reason="ends it by a signal of POSIX")
def test_an_empty_folder_becomes_a_sugarhouse_on_one_address(tmp_path: Path) -> None:
    folder, port = tmp_path / "hill-house", free_port()
    code = "from sugarwright.cli.main import run; run()"
    words = ["serve", str(folder), "--no-open", "--port", str(port)]
    log = tmp_path / "out.txt"
    with log.open("w") as out:
        served = subprocess.Popen(
            [sys.executable, "-c", code, *words], stdout=out, stderr=subprocess.STDOUT
        )
        try:
            address = f"http://localhost:{port}/"
            assert "A new sugarhouse" in asked(address)
            assert not folder.exists()
            assert "written down" in asked(address, {"site.units": "us", **ANSWERS})
            assert "Invented house" in asked(address)
        finally:
            served.send_signal(signal.SIGINT)
            code_at_end = served.wait(PATIENCE_S)
    said = log.read_text()
    assert code_at_end == 0
    assert "Traceback" not in said
    assert "There is no sugarhouse in" in said
    assert (folder / "sugarhouse.toml").exists()


def test_what_needs_a_described_house_says_so(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    assert "is a file" in refused("serve", "--no-open", tmp_path / "file")
    for words in (("--lan",), ("--at", "2026-03-19 05:10"), ("--broker", "mqtt://localhost:1883")):
        assert "sugarwright new" in refused("serve", "--no-open", *words, tmp_path / "none")
    assert "cannot be" in refused("serve", "--no-open", "a" * 5000)
