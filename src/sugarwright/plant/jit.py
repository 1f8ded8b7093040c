"""Compile plain Python functions for the simulator: one function, two lives.

Functions in ``physics/`` and in the plant's kernels are ordinary Python, callable and testable as
they stand. :func:`compiled` gives the compiled twin of one of them; everything it calls in
``physics/`` or in its own module is compiled along with it.

Numba's on-disk cache notices an edit of the compiled function itself, but not of the functions that
it calls in other files: it would go on giving yesterday's numbers. So the cache folder is named
after a hash of every source in ``physics/`` and ``plant/``: any edit there starts a fresh one.
"""

from __future__ import annotations

import contextlib
import hashlib
import importlib
import inspect
import os
import pkgutil
import shutil
import sys
from collections.abc import Callable
from pathlib import Path
from types import ModuleType
from typing import Any, TypeVar

import numba
from numba.core import types
from numba.extending import intrinsic, overload
from numba.np.arrayobj import make_array, populate_array

import sugarwright.physics
from sugarwright.plant.unowned import unowned

F = TypeVar("F", bound=Callable[..., Any])

_KEPT_CACHES = 3
_PACKAGE = Path(__file__).resolve().parent.parent


def sources_hash() -> str:
    """Return a short hash of every source file that compiled code can come from."""
    digest = hashlib.sha256(f"{numba.__version__} {sys.version}".encode())
    for folder in ("physics", "plant"):
        for source in sorted((_PACKAGE / folder).glob("*.py")):
            digest.update(source.name.encode() + b"\0" + source.read_bytes())
    return digest.hexdigest()[:16]


def _cache_root() -> Path | None:
    """Return the first of the usual cache places that can be written, or None."""
    places = []
    if "NUMBA_CACHE_DIR" in os.environ:
        places.append(Path(os.environ["NUMBA_CACHE_DIR"]))
    if "XDG_CACHE_HOME" in os.environ:
        places.append(Path(os.environ["XDG_CACHE_HOME"]) / "sugarwright" / "numba")
    with contextlib.suppress(RuntimeError):  # raised where there is no home folder at all
        places.append(Path.home() / ".cache" / "sugarwright" / "numba")
    for place in places:
        try:
            place.mkdir(parents=True, exist_ok=True)
        except OSError:
            continue
        if os.access(place, os.W_OK):
            return place
    return None


def _open_cache() -> Path | None:
    """Choose this source's cache folder, and drop those of sources long gone."""
    root = _cache_root()
    if root is None:
        return None
    folder = root / f"sources-{sources_hash()}"
    try:
        folder.mkdir(exist_ok=True)
        os.utime(folder)
        by_age = sorted(root.glob("sources-*"), key=lambda path: path.stat().st_mtime, reverse=True)
        for old in by_age[_KEPT_CACHES:]:
            shutil.rmtree(old, ignore_errors=True)
    except OSError:
        return None
    return folder


CACHE_FOLDER = _open_cache()
if CACHE_FOLDER is not None:
    numba.config.CACHE_DIR = str(CACHE_FOLDER)  # type: ignore[attr-defined]

# Large, and wanted both by itself and inside the simulator: compiled once, and called from there.
_STANDALONE = ("operating_point",)

_twins: dict[Callable[..., Any], Any] = {}
_registered: set[Callable[..., Any]] = {unowned}
_seen: set[ModuleType] = set()


def is_warm() -> bool:
    """Tell whether compiled code of these very sources waits on disk, so that starting is quick."""
    return CACHE_FOLDER is not None and any(CACHE_FOLDER.rglob("*.nbc"))


def _bare(function: Callable[..., Any]) -> Callable[..., Any]:
    """Return the formula without its range check (see ``physics.valid``)."""
    return getattr(function, "core", function)


def _twin(function: Callable[..., Any]) -> Any:
    """Compile a function, once."""
    if function not in _twins:
        compile_it: Any = numba.njit(
            cache=CACHE_FOLDER is not None, nogil=True, error_model="numpy"
        )
        _twins[function] = compile_it(_bare(function))
    return _twins[function]


def _register(function: Callable[..., Any]) -> None:
    if function in _registered:
        return
    _registered.add(function)
    if function.__name__ in _STANDALONE:
        twin = _twin(function)

        def call(*args: Any) -> Any:
            return twin(*args)

        overload(function, strict=False)(lambda *args: call)
        return
    bare = _bare(function)
    # A call passes each array as seven numbers: inlining the plant's own small functions made the
    # search eight times as fast.
    inlined = function.__module__.startswith("sugarwright.plant.")
    options: Any = {"forceinline": True} if inlined else {}
    overload(function, jit_options=options, strict=False)(lambda *args, **kwargs: bare)


@intrinsic
def _without_owner(_typing: Any, array: types.Array) -> Any:
    """Copy an array's header, leaving out who owns its memory."""

    def codegen(context: Any, builder: Any, _signature: Any, args: Any) -> Any:
        struct: Any = make_array(array)  # type: ignore[no-untyped-call]
        owned, view = struct(context, builder, args[0]), struct(context, builder)
        populate_array(  # type: ignore[no-untyped-call]
            view, owned.data, owned.shape, owned.strides, owned.itemsize, meminfo=None, parent=None
        )
        return view._getvalue()

    return array(array), codegen


def _drop_owner(array: Any) -> Any:
    return _without_owner(array)  # type: ignore[call-arg]


overload(unowned, strict=False)(lambda *args: _drop_owner)


def _register_module(module: ModuleType) -> None:
    """Make every plain function that the module defines callable from compiled code."""
    for function in list(vars(module).values()):
        if inspect.isfunction(function) and function.__module__ == module.__name__:
            _register(function)


def _register_physics() -> None:
    for info in pkgutil.iter_modules(sugarwright.physics.__path__):
        if info.name not in ("arrays", "valid"):
            _register_module(importlib.import_module(f"sugarwright.physics.{info.name}"))


def _register_with_callees(module: ModuleType) -> None:
    """Register a plant module's functions, and those of the plant modules that it imports from."""
    if module in _seen:
        return
    _seen.add(module)
    _register_module(module)
    for used in list(vars(module).values()):
        if inspect.isfunction(used) and used.__module__.startswith("sugarwright.plant."):
            _register_with_callees(sys.modules[used.__module__])


def compiled(function: F) -> F:
    """Return the compiled twin of a plain function (same arguments, same results).

    Parameters
    ----------
    function : a function of numbers, tuples and arrays that calls only ``physics/``, NumPy,
        ``math``, functions of its own module, and functions of plant modules imported by name

    Returns
    -------
    The compiled function: it releases the interpreter lock, and is kept on disk between runs where
    a cache folder can be written.
    """
    _register_physics()
    _register_with_callees(sys.modules[function.__module__])
    twin: F = _twin(function)
    return twin
