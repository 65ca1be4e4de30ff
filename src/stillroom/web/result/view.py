"""The stored result of an assessment; a copy of it to change; the same computed again."""

from __future__ import annotations

import logging
from typing import Any

from django.shortcuts import redirect
from django.utils.translation import gettext as _

from stillroom.errors import StillroomError
from stillroom.records.models import Assessment, Validation
from stillroom.records.store import copy_of, digest
from stillroom.web.check.answers import rules_in_words
from stillroom.web.result.context import ResultContext
from stillroom.web.result.figures import figures
from stillroom.web.shared import core
from stillroom.web.shared.address import base_url, only_here
from stillroom.web.shared.doors import assessment_or_404, mine, page, show
from stillroom.web.shared.steps import unfinished

ORDER = {"not approved": 0, "cannot tell": 1, "approved with conditions": 2, "approved": 3}
log = logging.getLogger(__name__)


@page("GET")
def result(request, key: str):
    assessment = assessment_or_404(request, key)
    if assessment.is_draft:
        return redirect(unfinished(assessment), key=key)
    return _shown(request, assessment)


@page("POST")
def change(request, key: str):
    """A copy to change; the old result stays."""
    assessment = assessment_or_404(request, key)
    if assessment.is_draft:
        return redirect(unfinished(assessment), key=key)
    return redirect("check", key=copy_of(assessment, request.user).key)


@page("GET", "POST")
def recompute(request, key: str):
    """Compute the stored inputs again and compare; nothing is stored."""
    assessment = assessment_or_404(request, key)
    if request.method != "POST" or assessment.is_draft:
        return redirect("result", key=key)
    try:
        again = core.assess(assessment)
    except StillroomError as error:
        return _shown(
            request, assessment, _("It could not be computed again: %(reason)s") % {"reason": error}
        )
    if digest(again) == assessment.record_sha256:
        words = _("Computed again from the stored inputs: the same result, to the last digit.")
    elif again.get("versions") != assessment.versions:
        words = _(
            "Computed again with today's versions the result differs; the verdict would be: %(verdict)s. "
            "This record stays as it was made. Change a copy to make a new one."
        ) % {"verdict": again["verdict"]}
    else:
        words = _(
            "Computed again the result differs, though the versions are the same. Tell whoever runs the server."
        )
        log.error("assessment %s: the same inputs and versions gave another record", assessment.key)
    return _shown(request, assessment, words)


def _shown(request, assessment: Assessment, recomputed: str = ""):
    record = assessment.record
    drawn = figures(record)
    base = base_url(request)
    unsolved, leaving = open_conflicts(record)
    context = ResultContext(
        assessment=assessment,
        record=record,
        substances=sorted(record["substances"], key=lambda row: ORDER.get(row["verdict"], 0)),
        next_steps=next_steps(record),
        exhaust=drawn.get("exhaust"),
        clocks=drawn.get("clocks"),
        shelves=drawn.get("shelves"),
        papers=papers(),
        label_address=base if only_here(base) else "",
        changed=list(mine(request, Assessment).filter(parent=assessment).defer("record", "inputs")),
        may_write=request.membership.may_write,
        validation=mine(request, Validation).filter(assessment=assessment).first(),
        rules=rules_in_words(assessment.inputs["room"].get("rules", {})),
        recomputed=recomputed,
        unsolved=unsolved,
        leaving=leaving,
        solved=[row for row in record["conflicts"] if row["solved"]],
    )
    return show(request, "result/page.html", context)


def open_conflicts(record) -> tuple[list[dict[str, Any]], list[dict[str, Any]]]:
    """Conflicts that no plan solves: between what may stay; and those that go with what cannot."""
    out = {row["cas"] for row in record["substances"] if row["verdict"] in ("not approved", "cannot tell")}
    rows = [row for row in record["conflicts"] if not row["solved"]]
    return [row for row in rows if not out & set(row["cas"])], [row for row in rows if out & set(row["cas"])]


def papers() -> list[tuple[str, str]]:
    return [
        ("record.pdf", _("Validation record (PDF)")),
        ("label.pdf", _("Door label, A5 (PDF)")),
        ("label-a6.pdf", _("Door label, A6 (PDF)")),
        ("shelves.pdf", _("Shelf plan (PDF)")),
        ("record.json", _("The record as data (JSON)")),
    ]


def next_steps(record) -> list[str]:
    """What can be done now, where it is not approved or cannot be told."""
    if record["verdict"] in ("approved", "approved with conditions"):
        return []
    steps = []
    refused = [row["name"] for row in record["substances"] if row["verdict"] == "not approved"]
    unsure = [row["name"] for row in record["substances"] if row["verdict"] == "cannot tell"]
    unknown = [str(row["row"]) for row in record["containers"] if not row["known"]]
    if refused:
        steps.append(
            _("Take out of the inventory, or reduce: %(names)s. The reasons stand below.")
            % {"names": ", ".join(refused)}
        )
    if unknown:
        steps.append(_("Find out what is in row %(rows)s, or take it out.") % {"rows": ", ".join(unknown)})
    if unsure:
        steps.append(
            _("Find what is missing for: %(names)s; for instance a limit from the safety data sheet.")
            % {"names": ", ".join(unsure)}
        )
    if open_conflicts(record)[0]:
        steps.append(_("Part what cannot stand together; see the conflicts."))
    return [*steps, _("Then change a copy of this assessment and get a new verdict.")]
