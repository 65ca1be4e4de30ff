"""One verb a file: the only place where records, physics and paper meet."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from stillroom.services.assess import assess
    from stillroom.services.papers import papers

__all__ = ["assess", "papers"]


def __getattr__(name: str) -> Any:
    if name in __all__:
        from importlib import import_module

        # importing a submodule binds its name here to the module: put the function in its place
        function = getattr(import_module(f"stillroom.services.{name}"), name)
        globals()[name] = function
        return function
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
