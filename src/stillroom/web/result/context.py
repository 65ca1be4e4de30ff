from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from django.utils.safestring import SafeString

from stillroom.records.models import Assessment, Validation


@dataclass(frozen=True)
class Figure:
    """A drawing with its caption."""

    title: str
    svg: SafeString
    caption: str


@dataclass(frozen=True)
class ResultContext:
    assessment: Assessment
    record: dict[str, Any]
    substances: Sequence[dict[str, Any]]
    """what is refused first"""
    next_steps: Sequence[str]
    """what to do now, where the answer is no or cannot be told"""
    exhaust: Figure | None
    clocks: Figure | None
    shelves: Figure | None
    papers: Sequence[tuple[str, str]]
    """file name, words"""
    label_address: str
    """where the code on the label leads, if no other computer can follow it; else empty"""
    changed: Sequence[Assessment]
    """copies of this one"""
    may_write: bool
    validation: Validation | None
    """where it is signed"""
    rules: Sequence[tuple[str, str]]
    """the site's rules, in words"""
    recomputed: str
    """the answer of “compute again”, empty where it was not asked"""
    unsolved: Sequence[dict[str, Any]] = field(default=())
    """conflicts between what may stay, which no plan solves"""
    leaving: Sequence[dict[str, Any]] = field(default=())
    """conflicts that go with what cannot stay"""
    solved: Sequence[dict[str, Any]] = field(default=())
