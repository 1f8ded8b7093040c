"""A house on a network whose line can break, over plain HTTP and over HTTPS, and phones there."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from web_phones import House, Phones


@pytest.fixture(params=["http", "https"])
def scheme(request: pytest.FixtureRequest) -> str:
    return str(request.param)


@pytest.fixture
def house(tmp_path: Path, scheme: str) -> Iterator[House]:
    made = House(tmp_path, scheme)
    yield made
    made.close()


@pytest.fixture
def phones(
    browser: Any, house: House, scheme: str, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Phones]:
    made = Phones(browser, house, scheme, tmp_path_factory.mktemp("home"))
    yield made
    made.close()
