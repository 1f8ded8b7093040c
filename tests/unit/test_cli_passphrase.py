"""``passphrase`` and ``serve --lan``, as a maker and a script use them."""

from __future__ import annotations

import os
import re
import shutil
import signal
import ssl
import subprocess
import sys
import time
from pathlib import Path
from urllib.request import urlopen

import pytest

from command_line import run
from sugarwright.web.guard.passphrases import Opened, Passphrases
from sugarwright.web.guard.sessions import Sessions
from web_network import DEMO, HELPER, HOUSE

PATIENCE_S = 60.0


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    made = tmp_path / "invented"
    made.mkdir()
    for name in ("sugarhouse.toml", "weather.csv"):
        shutil.copy(DEMO.parent / name, made / name)
    return made


def test_a_script_sets_it_from_standard_input(folder: Path) -> None:
    ran = run("passphrase", folder, "--from-input", "--json", typed=f"{HOUSE}\n")
    assert ran.document == {"role": "house", "done": "set"}
    assert HOUSE not in ran.out + ran.err
    opened = Passphrases(folder).opened_by(HOUSE)
    assert opened is not None
    assert opened.role == "house"


def test_helpers_get_one_and_lose_it_again(folder: Path) -> None:
    run("passphrase", folder, "--from-input", typed=HOUSE)
    run("passphrase", folder, "--log-only", "--from-input", typed=HELPER)
    assert set(Passphrases(folder).marks()) == {"house", "log"}
    assert run("passphrase", folder, "--log-only", "--remove").code == 0
    assert set(Passphrases(folder).marks()) == {"house"}
    refused = run("passphrase", folder, "--remove")
    assert refused.code == 2
    assert set(Passphrases(folder).marks()) == {"house"}


def test_all_phones_are_signed_out(folder: Path) -> None:
    secret = Sessions(folder).begin(Opened("house", "00" * 16))
    assert run("passphrase", folder, "--sign-out").code == 0
    assert Sessions(folder).find(secret) is None


@pytest.mark.parametrize("typed", ["", "\n", "short\n", "aaaaaaaaaaaaaaaa\n"])
def test_a_weak_one_is_refused_and_nothing_is_kept(folder: Path, typed: str) -> None:
    ran = run("passphrase", folder, "--from-input", typed=typed)
    assert ran.code == 2
    assert Passphrases(folder).marks() == {}


@pytest.mark.parametrize("words", [("passphrase",), ("serve", "--lan", "--no-open")])
def test_nobody_to_ask_is_told(folder: Path, words: tuple[str, ...]) -> None:
    ran = run(words[0], folder, *words[1:])
    assert ran.code == 2
    assert "--from-input" in ran.err


def free_ports() -> tuple[int, int]:
    import socket

    with socket.create_server(("127.0.0.1", 0)) as one, socket.create_server(("", 0)) as other:
        return one.getsockname()[1], other.getsockname()[1]


@pytest.mark.skipif(os.name != "posix", reason="ends it by a signal of POSIX")
def test_serve_opens_both_doors_and_ends_in_good_order(folder: Path) -> None:
    run("passphrase", folder, "--from-input", typed=HOUSE)
    plain, secure = free_ports()
    code = "from sugarwright.cli.main import run; run()"
    words = ["serve", str(folder), "--lan", "--no-open", "--name", "invented.test"]
    ports = ["--port", str(plain), "--secure-port", str(secure)]
    log = folder.parent / "out.txt"
    with log.open("w") as out:
        served = subprocess.Popen(
            [sys.executable, "-c", code, *words, *ports], stdout=out, stderr=subprocess.STDOUT
        )
        try:
            trusted = wait_for(folder / "lan" / "authority.crt")
            assert "Sign in" in asked(f"http://127.0.0.1:{plain}/login", None)
            context = ssl.create_default_context(cafile=str(trusted))
            for host in ("localhost", "127.0.0.1"):
                assert "Sign in" in asked(f"https://{host}:{secure}/login", context)
        finally:
            served.send_signal(signal.SIGINT)
            code_at_end = served.wait(PATIENCE_S)
    said = log.read_text()
    assert code_at_end == 0
    assert "Traceback" not in said
    assert f"https://invented.test:{secure}/" in said
    assert len(re.findall(r"\b[0-9A-F]{2}\b(?= |$)", said, re.MULTILINE)) >= 32  # the fingerprint
    assert HOUSE not in said


def wait_for(path: Path) -> Path:
    end_s = time.monotonic() + PATIENCE_S
    while not path.exists():
        assert time.monotonic() < end_s
        time.sleep(0.1)
    return path


def asked(address: str, context: ssl.SSLContext | None) -> str:
    """Return a page, asked for until somebody answers."""
    end_s = time.monotonic() + PATIENCE_S
    while True:
        try:
            with urlopen(address, context=context) as answer:
                return str(answer.read().decode())
        except ConnectionError:
            pass
        except OSError as problem:
            if not isinstance(getattr(problem, "reason", None), ConnectionError):
                raise
        assert time.monotonic() < end_s
        time.sleep(0.1)
