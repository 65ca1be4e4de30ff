"""Compiled kernels: numba's njit, kept on disk where that is possible, and never stale."""

from __future__ import annotations

from collections.abc import Callable
from types import FunctionType, ModuleType
from typing import Any, TypeVar, cast

from numba import njit
from numba.core.dispatcher import Dispatcher

__all__ = ["kernel"]

Function = TypeVar("Function", bound=Callable[..., Any])


def kernel(function: Function) -> Function:
    """Compile at the first call for its types; a division by zero gives inf or nan, as numpy's does; other threads run on.

    Notes
    -----
    Machine code is kept beside the source, else in the user's cache folder, else (both read-only) not at all.
    numba takes kept code for fresh while the file of the function itself is unchanged, though the code of the
    kernels that it calls is inside it: here their files count too. Called kernels must be decorated before,
    and named in the caller's globals, by themselves or through their module.
    """
    compiled: Any = njit(error_model="numpy", nogil=True)(function)
    try:
        compiled.enable_caching()
    except RuntimeError:  # no folder that can be written to
        return cast(Function, compiled)
    kept = compiled._cache._cache_file
    kept._source_stamp = (kept._source_stamp, *(_stamp(called) for called in _called(function)))
    return cast(Function, compiled)


def _called(function: Any) -> list[Any]:
    """The kernels that a function names, in the order of their names."""
    assert isinstance(function, FunctionType)
    names = sorted(function.__code__.co_names)
    found = [function.__globals__.get(name) for name in names]
    modules = [value for value in found if isinstance(value, ModuleType)]
    found += [getattr(module, name, None) for module in modules for name in names]
    return [value for value in found if isinstance(value, Dispatcher)]


def _stamp(compiled: Any) -> Any:
    """What a kept kernel hangs on; None for one that is not kept."""
    file = getattr(compiled._cache, "_cache_file", None)
    return getattr(file, "_source_stamp", None)
