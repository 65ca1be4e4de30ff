"""The assessment: one question a file in `checks`, and the verdict."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from stillroom.assessment.result import Assessment
    from stillroom.assessment.verdict import assess

__all__ = ["Assessment", "assess"]


def __getattr__(name: str) -> Any:
    if name == "assess":
        from stillroom.assessment.verdict import assess

        return assess
    if name == "Assessment":
        from stillroom.assessment.result import Assessment

        return Assessment
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
