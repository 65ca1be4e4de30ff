"""One question over many cabinets: which there are, what was answered already, and the table of answers."""

from stillroom.fleet.folder import Job, find
from stillroom.fleet.journal import Journal
from stillroom.fleet.run import Mapper, Progress, in_turn, run
from stillroom.fleet.synthetic import make
from stillroom.fleet.table import COLUMNS, WRONG, as_csv, summary

__all__ = [
    "COLUMNS",
    "WRONG",
    "Job",
    "Journal",
    "Mapper",
    "Progress",
    "as_csv",
    "find",
    "in_turn",
    "make",
    "run",
    "summary",
]
