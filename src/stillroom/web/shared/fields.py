"""Form fields that read what people write, and say what to write instead."""

from __future__ import annotations

import re
import unicodedata
from typing import Any

from django import forms
from django.utils.functional import lazy
from django.utils.text import format_lazy
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from stillroom.errors import InputError
from stillroom.units import QuantityError, parse_number, show

__all__ = ["Form", "NumberField", "SubstanceField", "TextField", "WordField", "YesNoField", "tidy"]


def tidy(text: str) -> str:
    """Without invisible characters, with plain spaces and hyphens."""
    text = re.sub(r"[\u200b-\u200f\u2060\ufeff]", "", text)
    text = re.sub(r"[\u2010-\u2015\u2212]", "-", text)
    return " ".join(unicodedata.normalize("NFC", text).split())


class Form(forms.Form):
    """A form whose server is the judge: no `required` in the page, an error summary on top."""

    use_required_attribute = False
    legend_fields: tuple[str, ...] = ()

    def summary(self) -> list[tuple[str, str]]:
        """Pairs of the id to jump to and the message, in the order of the page."""
        found = [("", str(error)) for error in self.non_field_errors()]
        for field in self:
            target = field.id_for_label or field.auto_id
            if isinstance(field.field.widget, forms.RadioSelect):
                target = f"{field.auto_id}_0"
            found += [(target, str(error)) for error in field.errors]
        return found

    def add_problems(self, error: InputError, *, field: str | None = None) -> None:
        """Each problem of the core as one message."""
        for problem in error.problems:
            self.add_error(field, str(problem).strip())


def _attributes(**extra: Any) -> dict[str, Any]:
    return {key: value for key, value in extra.items() if value not in ("", None)}


class WordField(forms.CharField):
    """One line of text; `label` begins the messages."""

    def __init__(
        self, *, label: str, longest: int = 200, optional: bool = False, code: bool = False, **more: Any
    ):
        enter = more.pop("enter", None) or _enter(label)
        attributes = {"spellcheck": "false", "autocapitalize": "off"} if code else {}
        if "autocomplete" in more:
            attributes["autocomplete"] = more.pop("autocomplete")
        more.setdefault("widget", forms.TextInput(attrs=attributes))
        self.longest = longest
        required = more.pop("required", not optional)
        label_shown = _optional(label) if optional else label
        super().__init__(label=label_shown, required=required, error_messages={"required": enter}, **more)
        self.plain_label = label

    def to_python(self, value: Any) -> str:
        return tidy(super().to_python(value) or "")

    def validate(self, value: str) -> None:
        super().validate(value)
        if len(value) > self.longest:
            raise forms.ValidationError(
                _("%(label)s must be %(n)d characters or less")
                % {"label": self.plain_label, "n": self.longest}
            )


class TextField(WordField):
    """Several lines, kept as they are."""

    def __init__(self, *, label: str, rows: int = 8, longest: int = 1_000_000, **more: Any):
        widget = forms.Textarea(attrs={"rows": rows, "spellcheck": "false", "wrap": "off"})
        super().__init__(label=label, longest=longest, widget=widget, strip=False, **more)

    def to_python(self, value: Any) -> str:
        return forms.CharField.to_python(self, value) or ""

    def validate(self, value: str) -> None:
        super().validate(value)
        if self.required and not value.strip():
            raise forms.ValidationError(self.error_messages["required"])


class NumberField(forms.Field):
    """A number in one unit. Takes a decimal comma and the unit typed after the number."""

    def __init__(
        self,
        *,
        label: str,
        unit: str = "",
        unit_words: str = "",
        low: float | None = None,
        high: float | None = None,
        optional: bool = False,
        whole: bool = False,
        **more: Any,
    ):
        self.unit, self.low, self.high, self.whole, self.plain_label = unit, low, high, whole, label
        full = format_lazy("{}, {}", label, unit_words) if unit_words else label
        enter = more.pop("enter", None) or _enter(label)
        required = more.pop("required", not optional)
        plain = low is not None and low < 0
        more.setdefault(
            "widget",
            forms.TextInput(
                attrs=_attributes(
                    inputmode="text" if plain else "numeric" if whole else "decimal",
                    autocomplete="off",
                    spellcheck="false",
                    **{"class": "number"},
                )
            ),
        )
        label_shown = _optional(full) if optional else full
        super().__init__(label=label_shown, required=required, error_messages={"required": enter}, **more)

    def prepare_value(self, value: Any) -> Any:
        return f"{value:.12g}" if isinstance(value, int | float) and not isinstance(value, bool) else value

    def to_python(self, value: Any) -> float | None:
        text = tidy(str(value)) if value not in (None, "") else ""
        if not text:
            return None
        unit = str(self.unit)
        if unit and text.lower().replace(" ", "").endswith(unit.lower().replace(" ", "")):
            text = text[: len(text) - len(unit)].strip() or text
        try:
            number = parse_number(text)
        except QuantityError as error:
            if "may be" in str(error):
                raise forms.ValidationError(f"{self.plain_label}: {error}") from None
            example = "30" if self.whole else "2.5"
            raise forms.ValidationError(
                _("%(label)s must be a number, like %(example)s")
                % {"label": self.plain_label, "example": example}
            ) from None
        self._range(number)
        return number

    def _range(self, number: float) -> None:
        if self.whole and number != int(number):
            raise forms.ValidationError(_("%(label)s must be a whole number") % {"label": self.plain_label})
        too_low = self.low is not None and number < self.low
        if too_low or (self.high is not None and number > self.high):
            low, high = show(self.low or 0.0, 4), show(self.high or 0.0, 4)
            raise forms.ValidationError(
                _("%(label)s must be between %(low)s and %(high)s")
                % {"label": self.plain_label, "low": low, "high": high}
            )


class YesNoField(forms.TypedChoiceField):
    """Two radio buttons."""

    def __init__(self, *, label: str, **more: Any):
        super().__init__(
            label=label,
            choices=[("yes", _("Yes")), ("no", _("No"))],
            coerce=lambda value: value == "yes",
            widget=forms.RadioSelect,
            error_messages={"required": _("Choose yes or no"), "invalid_choice": _("Choose yes or no")},
            **more,
        )

    def prepare_value(self, value: Any) -> Any:
        return {True: "yes", False: "no"}.get(value, value) if isinstance(value, bool) else value


class SubstanceField(WordField):
    """A CAS number or a name; gives the `Substance` (or None where left empty)."""

    def __init__(self, *, label: str, **more: Any):
        super().__init__(label=label, code=True, **more)

    def clean(self, value: Any) -> Any:
        from stillroom.substances import resolve

        text = super().clean(value)
        if not text:
            return None
        is_number = bool(re.fullmatch(r"[\d-]+", text))
        found = resolve(cas=text) if is_number else resolve(name=text)
        if found.substance is None:
            near = _(" Near: %(near)s.") % {"near": ", ".join(found.near)} if found.near else ""
            raise forms.ValidationError(
                _("%(label)s: %(reason)s.%(near)s")
                % {"label": self.plain_label, "reason": found.reason.rstrip("."), "near": near}
            )
        return found.substance


def _small(label: str) -> str:
    """The label inside a sentence: its first letter small, unless it begins with an abbreviation."""
    return label if label[:2].isupper() else label[:1].lower() + label[1:]


_lower = lazy(lambda label: _small(str(label)), str)


def _enter(label: Any) -> Any:
    return format_lazy(gettext_lazy("Enter {label}"), label=_lower(label))


def _optional(label: Any) -> Any:
    return format_lazy(gettext_lazy("{label} (optional)"), label=label)
