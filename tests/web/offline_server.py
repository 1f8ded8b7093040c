"""A server of a folder for tests of the outbox, as a process that can be killed."""

from __future__ import annotations

import sys
from importlib.resources import files
from types import SimpleNamespace

import uvicorn
from fastapi import FastAPI
from fastapi.responses import HTMLResponse
from fastapi.staticfiles import StaticFiles

from sugarwright.web.offline.routes import router

PAGE = (
    '<!doctype html><html lang="en"><meta charset="utf-8"><title>{title}</title>'
    '<script type="module" src="/static/offline.js"></script><body><h1>{title}</h1></body></html>'
)


def build(folder: str) -> FastAPI:
    app = FastAPI()
    app.state.shed = SimpleNamespace(folder=folder)
    app.include_router(router)
    app.mount("/static", StaticFiles(directory=str(files("sugarwright") / "web/static")))

    @app.get("/")
    def today() -> HTMLResponse:
        return HTMLResponse(PAGE.format(title="Today"))

    return app


if __name__ == "__main__":
    folder, port, *tls = sys.argv[1:]
    keys = {"ssl_certfile": tls[0], "ssl_keyfile": tls[1]} if tls else {}
    uvicorn.run(build(folder), host="127.0.0.1", port=int(port), log_level="warning", **keys)
