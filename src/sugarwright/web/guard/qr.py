"""An address as a code that a phone's camera reads; there is no secret in it."""

from __future__ import annotations

import io

import segno


def as_svg(address: str) -> str:
    """Return the code as an SVG element without styles, dark on light in every scheme."""
    code = segno.make(address, error="m", micro=False)
    size = code.symbol_size(border=4)[0]
    path = "".join(
        f"M{x} {y}h1v1h-1z"
        for y, row in enumerate(code.matrix_iter(border=4))
        for x, dark in enumerate(row)
        if dark
    )
    return (
        f'<svg class="code" viewBox="0 0 {size} {size}" width="264" height="264" role="img" '
        f'aria-label="Code for the camera: {address}" shape-rendering="crispEdges">'
        f'<rect width="{size}" height="{size}" fill="#ffffff"/>'
        f'<path d="{path}" fill="#000000"/></svg>'
    )


def as_text(address: str) -> str:
    """Return the code for a terminal."""
    out = io.StringIO()
    segno.make(address, error="m", micro=False).terminal(out, border=2, compact=True)
    return out.getvalue()
