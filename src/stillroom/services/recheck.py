"""Recheck what was validated: which validations would come out differently today, and by how much."""

from __future__ import annotations

import datetime
import json
import re
from collections import OrderedDict
from collections.abc import Callable, Iterable, Mapping
from typing import Any

import stillroom
from stillroom import media
from stillroom.errors import StillroomError
from stillroom.records.models import Organisation, Validation
from stillroom.services.assess_case import assess_case
from stillroom.services.compare import compare, lines
from stillroom.services.in_place import APPROVING
from stillroom.services.record import MODEL_VERSION
from stillroom.substances import limits

__all__ = ["changed_since", "exit_status", "in_force", "known", "look", "recheck"]

GONE = "not there any more"
_SHIPPED = re.compile(r"\+[0-9a-f]{12}$")
"""How the version of a shipped medium ends: `media.versions`."""
_KEPT = 512
"""Answers that are kept in memory; the same validation under the same versions gives the same answer."""
_answers: OrderedDict[tuple[str, str], dict[str, Any]] = OrderedDict()

Progress = Callable[[dict[str, Any]], None]


def in_force(organisation: Organisation | None = None) -> list[Validation]:
    """For each cabinet in use the newest approving validation that is neither superseded nor withdrawn.

    Parameters
    ----------
    organisation : Organisation, optional
        All of them where none is given.

    Notes
    -----
    One that is past its date is among them: it does not stand any more, and that is to be said.
    """
    rows = Validation.objects.filter(
        meaning=Validation.Meaning.APPROVED,
        assessment__verdict__in=APPROVING,
        superseded_by=None,
        withdrawal=None,
        cabinet__retired=None,
    )
    if organisation is not None:
        rows = rows.filter(organisation=organisation)
    newest: dict[int, Validation] = {}
    rows = rows.select_related("cabinet", "organisation", "assessment")
    rows = rows.defer(
        "record_text", "assessment__record", "assessment__inputs"
    )  # large; read where one is computed
    for row in rows.order_by("organisation__name", "cabinet__site", "cabinet__name", "-version"):
        newest.setdefault(row.cabinet_id, row)
    return list(newest.values())


def changed_since(versions: Mapping[str, str]) -> list[dict[str, str]]:
    """What of a record's `versions` is another today: ``what``, ``then``, ``now``.

    Parameters
    ----------
    versions : mapping
        Of a record: the program, the model, each list of limits with its digest, each medium with its.

    Notes
    -----
    A medium of the user's own lies in the case itself and cannot change there; one that carries the digest of a shipped
    file and is not shipped any more is gone.
    """
    now = {"stillroom": stillroom.__version__, "model": MODEL_VERSION}
    now |= {f"medium {name}": words for name, words in media.versions().items()}
    lists = {f"limits {key}": words for key, words in limits.versions().items()}
    found = []
    for name, then in versions.items():
        from_us = name.startswith("limits ") or _SHIPPED.search(then)
        today = (now | lists).get(name, GONE if from_us else then)
        if today != then:
            found.append({"what": name, "then": then, "now": today})
    return found


def look(validation: Validation, today: datetime.date) -> dict[str, Any]:
    """One validation without computing: whether it is past its date, and what has changed since it was made."""
    ends = validation.valid_until
    past = ends is not None and ends < today
    cabinet = validation.cabinet
    return {
        "organisation": validation.organisation.name,
        "cabinet": {name: getattr(cabinet, name) for name in ("key", "name", "site", "room", "place")},
        "validation": {
            "key": validation.key,
            "number": validation.number,
            "version": validation.version,
            "assessment": validation.assessment.key,
            "signed_by": validation.signer_name,
            "signed_at": validation.signed_at.isoformat(),
            "valid_until": ends.isoformat() if ends else None,
            "verdict": validation.assessment.verdict,
        },
        "past": past,
        "days_past": (today - ends).days if past and ends else 0,
        "changed": changed_since(validation.assessment.versions),
    }


def recheck(
    validations: Iterable[Validation],
    *,
    today: datetime.date,
    everything: bool = False,
    progress: Progress | None = None,
) -> list[dict[str, Any]]:
    """Each validation, with what it would be today.

    Parameters
    ----------
    validations : iterable of Validation
        See `in_force`.
    today : datetime.date
        Against which dates are held; the clock is never asked.
    everything : bool
        Compute those too since which nothing changed.
    progress : callable, optional
        Called with each answer as it comes.

    Returns
    -------
    list of dict
        What `look` tells, and ``computed``; where that is true ``verdict_now``, ``differs`` (None where it could not be
        computed, with ``fault``), ``difference`` (see `services.compare`) and ``moved`` in words.

    Notes
    -----
    The stored inputs are computed again with today's program, media and lists, at the date of the assessment: what differs is
    what these changed. Nothing is written.
    """
    found = []
    for validation in validations:
        row = look(validation, today)
        if row["changed"] or everything:
            row |= _answer(validation)
        else:
            row |= known(validation) or {"computed": False}
        found.append(row)
        if progress is not None:
            progress(row)
    return found


def exit_status(rows: Iterable[Mapping[str, Any]]) -> int:
    """0: all hold; 1: some are past their date or would come out differently; 3: neither, and some could not be computed."""
    told = [True if row["past"] else row.get("differs", False) for row in rows]
    return 1 if True in told else 3 if None in told else 0


def known(validation: Validation) -> dict[str, Any] | None:
    """The answer if it was computed under today's versions already."""
    return _answers.get(_key(validation))


def _key(validation: Validation) -> tuple[str, str]:
    today = {"program": stillroom.__version__, "model": MODEL_VERSION}
    return validation.record_sha256, json.dumps([today, media.versions(), limits.versions()], sort_keys=True)


def _answer(validation: Validation) -> dict[str, Any]:
    key = _key(validation)
    if key not in _answers:
        answer = _computed(validation)
        if key != _key(validation):
            return answer  # a list was loaded meanwhile: good for this once, not to be kept
        _answers[key] = answer
        while len(_answers) > _KEPT:
            _answers.popitem(last=False)
    return _answers[key]


def _computed(validation: Validation) -> dict[str, Any]:
    before = json.loads(validation.record_text)
    try:
        after = assess_case(validation.assessment)
    except StillroomError as error:
        nothing = dict.fromkeys(("verdict_now", "differs", "difference"))
        return {"computed": True, "fault": str(error), "moved": [], **nothing}
    difference = compare(before, after)
    return {
        "computed": True,
        "fault": "",
        "verdict_now": after["verdict"],
        "differs": difference["differs"],
        "difference": difference,
        "moved": lines(difference),
    }
