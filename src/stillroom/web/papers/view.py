"""The papers of a result, to download; those of a signed one are made from what was signed."""

import re

from django.http import Http404, HttpResponse
from django.shortcuts import redirect

from stillroom.errors import StillroomError
from stillroom.records.models import Validation
from stillroom.web.shared import core, errors
from stillroom.web.shared.address import base_url
from stillroom.web.shared.doors import assessment_or_404, mine, page

KINDS = {
    "record.pdf": "application/pdf",
    "label.pdf": "application/pdf",
    "label-a6.pdf": "application/pdf",
    "shelves.pdf": "application/pdf",
    "record.json": "application/json",
    "review.json": "application/json",
}


@page("GET")
def paper(request, key: str, name: str):
    assessment = assessment_or_404(request, key)
    if name not in KINDS or assessment.record is None:
        raise Http404
    signed = mine(request, Validation).filter(assessment=assessment).only("key").first()
    if signed:
        return redirect("signed-paper", key=signed.key, name=name)
    try:
        files = core.papers(assessment.record, base_url(request))
    except StillroomError as error:  # an address too long for the code on a label
        return errors.no_paper(request, error)
    if name not in files:
        raise Http404
    number = re.sub(r"[^A-Za-z0-9-]", "", str(assessment.record.get("number", "")))[:40] or "record"
    response = HttpResponse(files[name], content_type=KINDS[name])
    response["Content-Disposition"] = f'attachment; filename="{number}-{name}"'
    response["Content-Security-Policy"] = "default-src 'none'; frame-ancestors 'none'; sandbox"
    return response
