"""A calibration."""

from __future__ import annotations

from django.utils.translation import gettext_lazy

from stillroom.web.shared.fields import Form, WordField
from stillroom.web.shared.when import DateField

__all__ = ["CalibrationForm"]


class CalibrationForm(Form):
    on = DateField(label=gettext_lazy("Date of the calibration"), latest_today=True)
    due = DateField(label=gettext_lazy("Due again on"))
    by = WordField(label=gettext_lazy("Calibrated by"))
    gas = WordField(
        label=gettext_lazy("Calibration gas"),
        optional=True,
        help_text=gettext_lazy("Such as isobutylene, 10 ppm in air"),
    )
    certificate = WordField(label=gettext_lazy("Certificate"), optional=True, code=True)
