"""Pages from templates: what every one of them finds in its context."""

from __future__ import annotations

import dataclasses
import hashlib
import time
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, cast

from fastapi import Request
from jinja2 import Environment, FileSystemLoader, StrictUndefined
from starlette.responses import HTMLResponse

from sugarwright import units
from sugarwright.answering.invented import is_invented
from sugarwright.saying.standing import departure_text, doubt_text, machine_texts
from sugarwright.saying.words import Words, ago, bare, in_ten, sentence, until
from sugarwright.web.shed import Shed

HERE = Path(__file__).resolve().parent
STATIC = HERE / "static"
_KINDS = {name: getattr(units, name) for name in units.__all__ if name.isupper()}


@dataclass(frozen=True)
class Tab:
    """A screen as the bar and the rail name it.

    Parameters
    ----------
    path : where it is
    name : on the bar
    icon : name of its drawing in ``icons.html``
    on_bar : on a phone's bottom bar; else behind "More"
    """

    path: str
    name: str
    icon: str
    on_bar: bool = False


@cache
def environment() -> Environment:
    """Return what makes pages; everything put into them is escaped."""
    made = Environment(
        loader=FileSystemLoader(HERE / "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.filters.update(bare=bare, in_ten=in_ten, ago=ago, until=until)
    made.filters.update(plain=dataclasses.asdict, sentence=sentence)
    made.policies["json.dumps_kwargs"] = {"separators": (",", ":"), "sort_keys": False}
    made.globals.update(kinds=_KINDS, static=static_address)
    made.globals.update(
        departure_text=departure_text, doubt_text=doubt_text, machine_texts=machine_texts
    )
    return made


@cache
def static_address(name: str) -> str:
    """Return where a static file is; its content is in the address, so that browsers keep it."""
    digest = hashlib.sha256((STATIC / name).read_bytes()).hexdigest()[:10]
    return f"/static/{name}?{digest}"


def shed_of(request: Request) -> Shed:
    """Return the folder that is served."""
    return cast(Shed, request.app.state.shed)


def words_of(shed: Shed) -> Words:
    """Return how the house reads times and quantities."""
    site = shed.house().site
    return Words(site.timezone, site.units, site.currency)


def page(request: Request, name: str, status: int = 200, **context: Any) -> HTMLResponse:
    """Return a page.

    Parameters
    ----------
    request : that asks for it
    name : of its template, which extends ``base.html``
    status : of the answer
    context : what the template wants besides ``say`` (:class:`Words`), ``house``, ``now_s``,
        ``revision``, ``is_invented``, ``tabs``, ``here`` and ``visitor``
    """
    shed = shed_of(request)
    usual = {**_frame(request), "house": shed.house(), "say": words_of(shed)}
    text = environment().get_template(name).render(**(usual | context))
    return HTMLResponse(text, status)


def bare_page(request: Request, name: str, status: int = 200, **context: Any) -> HTMLResponse:
    """Return a page that stands on nothing but its frame: also where no house is described yet."""
    text = environment().get_template(name).render(**(_frame(request) | context))
    return HTMLResponse(text, status)


def problem_page(request: Request, status: int, words: str) -> HTMLResponse:
    """Return a page that tells what is wrong; it stands on nothing that may be wrong itself."""
    return bare_page(request, "problem.html", status, words=words)


def _frame(request: Request) -> dict[str, Any]:
    """Return what the frame about every page wants."""
    state = request.app.state
    shed: Shed | None = getattr(state, "shed", None)  # None: no house is described yet
    tabs: Sequence[Tab] = getattr(state, "tabs", ())
    return {
        "house": None,
        "now_s": time.time() if shed is None else shed.now_s(),
        "revision": 0 if shed is None else shed.revision,
        "is_invented": shed is not None and is_invented(shed.folder),
        "tabs": tabs,
        "here": request.url.path,
        "visitor": getattr(request.state, "visitor", None),
    }
