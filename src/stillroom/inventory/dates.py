"""CAS numbers that a spreadsheet has turned into dates or plain numbers."""

from __future__ import annotations

import datetime as dt
import re

from stillroom.substances import check_digit

__all__ = ["date_fault"]

_MONTHS = (
    r"jan|feb|mar|mrz|mär|apr|avr|may|mai|jun|jui|jul|aug|aoû|sep|oct|okt|nov|dec|dez|déc|ene|abr|ago|dic"
)
_DATES = (
    r"\d{1,2}[/.]\d{1,2}[/.]\d{2,4}",
    r"\d{4}[-/.]\d{1,2}[-/.]\d{1,2}(?:[T ]\d.*)?",
    rf"\d{{1,2}}[-. ](?:{_MONTHS})\w*\.?[-. ]\d{{2,4}}",
    rf"(?:{_MONTHS})\w*\.?[-. ]\d{{2,4}}",
)
_FORMAT = "Format the column as text and write the CAS number again"


def date_fault(text: str) -> tuple[str, str] | None:
    """What is wrong with a CAS number that is a date or a plain number, and the mend; None where it is neither.

    Examples
    --------
    >>> date_fault("7/1/1967")[0]
    'the spreadsheet turned the CAS number into a date'
    """
    if re.fullmatch(r"\d{2,7}-\d\d-\d", text) and not re.fullmatch(r"(?:19|20)\d\d-\d\d-\d", text):
        return None
    if re.fullmatch(r"(?:19|20)\d\d-\d\d-\d", text) and check_digit(text):
        return None
    if any(re.fullmatch(pattern, text, re.IGNORECASE) for pattern in _DATES):
        return "the spreadsheet turned the CAS number into a date", _FORMAT + _original(text)
    if match := re.fullmatch(r"(\d{4,10})(?:[.,]0+)?", text):
        return _plain_number(match[1])
    return None


def _original(text: str) -> str:
    """The number that such a date can come from (1967-01-07 from 1967-01-7), if its check digit agrees."""
    match = re.match(r"(\d{4})-(\d\d)-0(\d)", text)
    cas = f"{match[1]}-{match[2]}-{match[3]}" if match else ""
    return f" (perhaps {cas})" if cas and check_digit(cas) else ""


def _plain_number(digits: str) -> tuple[str, str]:
    hyphened = f"{digits[:-3]}-{digits[-3:-1]}-{digits[-1]}"
    if check_digit(hyphened):
        return "the CAS number has lost its hyphens", f"Write it with its hyphens (perhaps {hyphened})"
    if len(digits) <= 6:
        day = dt.date(1899, 12, 30) + dt.timedelta(days=int(digits))
        return (
            f"the spreadsheet turned the CAS number into a date (the day number of {day.isoformat()})",
            _FORMAT + _original(day.isoformat()),
        )
    return "this is a plain number and no CAS number", _FORMAT
