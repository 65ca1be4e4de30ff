"""Papers: a finished record in, bytes out. No query, no clock, no text of a user read as source."""

from stillroom.documents import charts
from stillroom.documents.label import label_pdf
from stillroom.documents.record import record_pdf
from stillroom.documents.shelves import shelves_pdf

__all__ = ["charts", "label_pdf", "record_pdf", "shelves_pdf"]
