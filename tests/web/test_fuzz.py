"""The described addresses (OpenAPI) under requests that nobody thought of."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from typing import Any
from urllib.parse import urlencode

import pytest
import schemathesis
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from hypothesis.errors import Unsatisfiable
from schemathesis import GenerationMode

from sugarwright.logbook.checking import check_logbook
from web_network import HELPER, HOUSE, NAME, Lan, token_in

TRIES = 10
FORMS = ("/login", "/logout", "/plan", "/house/change", "/log", "/log/undo")
KINDS = (
    "application/x-www-form-urlencoded",
    "multipart/form-data; boundary=b",
    "application/json",
    "text/plain",
    "",
)


@pytest.fixture(scope="module")
def lan(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Lan]:
    served = Lan(tmp_path_factory.mktemp("fuzzed"))
    yield served
    served.stop()


def operations(lan: Lan) -> list[Any]:
    """Return what the application describes, asked for as one who is in."""
    document = lan.phone(HOUSE).get("/openapi.json").json()
    schema = schemathesis.openapi.from_dict(document)
    return [found.ok() for found in schema.get_all_operations()]


def each_request(operation: Any) -> Any:
    """Return a decorator: tries a function with requests as described, and with wrong ones."""

    def tried(check: Any) -> None:
        for mode in GenerationMode:

            @FEW
            @given(case=operation.as_strategy(generation_mode=mode))
            def one(case: Any) -> None:
                check(case)

            with contextlib.suppress(Unsatisfiable):  # nothing there that could be wrong
                one()

    return tried


FEW = settings(
    max_examples=TRIES,
    deadline=None,
    derandomize=True,
    database=None,
    phases=[Phase.generate],
    suppress_health_check=list(HealthCheck),
)


def sent(client: Any, case: Any, **headers: str) -> Any:
    wanted = case.as_transport_kwargs(base_url=f"http://{NAME}:8470")
    wanted["headers"] = {**dict(wanted.get("headers") or {}), **headers}
    names = ("method", "url", "headers", "params", "json", "data", "content")
    return client.request(**{name: wanted[name] for name in names if name in wanted})


def test_there_is_something_to_ask(lan: Lan) -> None:
    found = {(each.method.upper(), each.path) for each in operations(lan)}
    assert ("POST", "/entries") in found


def test_nothing_is_reached_without_a_passphrase(lan: Lan) -> None:
    stranger = lan.phone()
    for operation in operations(lan):
        if operation.path.startswith("/sensors/"):  # which have a token of their own
            continue

        @each_request(operation)
        def check(case: Any) -> None:
            answer = sent(stranger, case)
            assert answer.status_code in (303, 401, 403, 411, 413, 421), case
            if answer.status_code == 303:
                assert answer.headers["location"].startswith("/login?")


@pytest.mark.parametrize("passphrase", [HOUSE, HELPER])
def test_no_request_breaks_the_program(lan: Lan, passphrase: str) -> None:
    phone = lan.phone(passphrase)
    token = token_in(phone)
    for operation in operations(lan):
        if operation.path == "/events":  # which never ends
            continue

        @each_request(operation)
        def check(case: Any) -> None:
            # The client raises what the application does: a traceback fails here with its place.
            answer = sent(phone, case, **{"x-csrf-token": token})
            assert answer.status_code < 500, (case, answer.text)


@pytest.mark.parametrize("path", FORMS)
def test_no_form_breaks_the_program(lan: Lan, path: str) -> None:
    lan.clock.now_s += 4000.0  # the wrong tries of the test before are forgotten
    maker = lan.phone(HOUSE)
    keys = st.sampled_from(["passphrase", "next", "token", "text", "began_from", "do", "everyone"])
    bodies = st.one_of(
        st.binary(max_size=200),
        st.dictionaries(keys, st.text(max_size=40)).map(lambda each: urlencode(each).encode()),
    )

    @FEW
    @given(body=bodies, kind=st.sampled_from(KINDS), right=st.booleans())
    def check(body: bytes, kind: str, right: bool) -> None:
        if maker.get("/session").status_code != 200:  # it has signed itself out
            lan.clock.now_s += 4000.0
            maker.post("/login", data={"passphrase": HOUSE})
        headers = {"content-type": kind, "x-csrf-token": token_in(maker) if right else "no"}
        answer = maker.post(path, content=body, headers=headers)
        assert answer.status_code < 500, (body, kind, answer.text)

    check()


def test_the_record_is_sound_afterwards(lan: Lan) -> None:
    assert check_logbook(lan.folder).problems == ()
