"""``/trust``: the way to HTTPS on a phone, and back; ``/phone``: the addresses to open there."""

from __future__ import annotations

from fastapi import APIRouter, Request
from markupsafe import Markup
from starlette.responses import Response

from sugarwright.web.guard.addresses import own_addresses
from sugarwright.web.guard.network import network_of
from sugarwright.web.guard.qr import as_svg
from sugarwright.web.rendering import page

router = APIRouter(include_in_schema=False)


@router.get("/trust")
def trust(request: Request) -> Response:
    """Walk a phone through trusting the house's authority, and through removing it again."""
    network = network_of(request)
    return page(
        request,
        "trust.html",
        house=None,
        tabs=(),
        fingerprint=network.authority.fingerprint,
        names=network.authority.names,
        secure_address=f"https://{request.url.hostname}:{network.ports.secure}/",
    )


@router.get("/trust.crt")
def trust_file(request: Request) -> Response:
    """Give the authority's certificate, as phones take it in; it holds no secret."""
    headers = {"content-disposition": 'attachment; filename="sugarwright-house.crt"'}
    der = network_of(request).authority.der
    return Response(der, media_type="application/x-x509-ca-cert", headers=headers)


@router.get("/phone")
def phone(request: Request) -> Response:
    """Show where another phone opens these pages."""
    network = network_of(request)
    hosts = [*own_addresses(), *network.names]
    shown = [f"http://{host}:{network.ports.plain}/" for host in hosts]
    secure = [f"https://{host}:{network.ports.secure}/" for host in hosts]
    code = Markup(as_svg(shown[0])) if shown else ""
    return page(request, "phone.html", addresses=shown, secure_addresses=secure, code=code)
