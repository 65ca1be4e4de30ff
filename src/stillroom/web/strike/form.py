"""Why a reading is struck out."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from stillroom.web.shared.fields import Form, TextField

__all__ = ["StrikeForm"]


class StrikeForm(Form):
    reason = TextField(
        label=_("What was mistyped, and how you know"),
        rows=3,
        longest=1000,
        help_text=_("For example: 12.0 typed for 0.120; the visit's sheet is at hand."),
    )
