"""A table of containers, filled in by hand; rows are added without a script."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass, field, replace

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from stillroom.errors import InputError, Problem
from stillroom.inventory import Container
from stillroom.web.shared import core

__all__ = ["COLUMNS", "NAME", "Cell", "Table"]

COLUMNS = {
    "name": gettext_lazy("Name"),
    "cas": gettext_lazy("CAS number"),
    "amount": gettext_lazy("Size of one"),
    "unit": gettext_lazy("Unit"),
    "count": gettext_lazy("Count"),
    "concentration": gettext_lazy("Strength"),
    "closure": gettext_lazy("Closure"),
    "opened_per_week": gettext_lazy("Opened a week"),
    "state": gettext_lazy("State"),
    "container": gettext_lazy("Made of"),
    "note": gettext_lazy("Note"),
}
CLOSURES = (
    "screw cap with liner",
    "screw cap without liner",
    "ground-glass stopper",
    "snap cap",
    "septum cap",
    "vented cap",
    "metal can",
    "sealed ampoule",
    "open",
)
LARGEST = 300
NAME = "table.csv"


def _said(content: bytes, name: str) -> list[Container]:
    """What a file says, whatever the numbers of its rows; nothing where it cannot be read."""
    try:
        read = core.read_inventory(content, name)
    except InputError:
        return []
    return [replace(row, row=0, key="") for row in read.containers]


@dataclass(frozen=True)
class Cell:
    """One entry: its name in the form, its label for those who cannot see the column, its value and faults."""

    name: str
    column: str
    label: str
    value: str
    messages: tuple[str, ...] = ()
    choices: tuple[str, ...] = field(default=())


@dataclass
class Table:
    """The rows as typed; row 1 is the line of headings, as in a spreadsheet."""

    rows: list[dict[str, str]]
    problems: tuple[Problem, ...] = ()

    @classmethod
    def from_post(cls, data) -> Table:
        count = min(sum(1 for name in data if name.startswith("name_")), LARGEST)
        return cls(
            [
                {column: data.get(f"{column}_{row}", "").strip() for column in COLUMNS}
                for row in range(2, count + 2)
            ]
        )

    @classmethod
    def from_file(cls, content: bytes, name: str) -> Table | None:
        """A kept inventory as rows to go on from; none where the rows here would not say the same."""
        rows, said = core.rows_written(content, name), _said(content, name)
        if len(rows) != len(said) or not 0 < len(rows) <= LARGEST:
            return None
        table = cls([{column: row.get(column, "") for column in COLUMNS} for row in rows])
        for row, container in zip(table.rows, said, strict=True):
            row["closure"] = "" if container.closure == "not stated" else container.closure
        return table if _said(table.content(), NAME) == said else None

    def add(self, more: int) -> None:
        room = max(LARGEST - len(self.rows), 0)
        self.rows += [dict.fromkeys(COLUMNS, "") for _ in range(min(more, room))]

    def content(self) -> bytes:
        """The filled rows as a CSV file."""
        filled = [number for number, row in enumerate(self.rows, 1) if any(row.values())]
        out = io.StringIO()
        writer = csv.DictWriter(out, list(COLUMNS), lineterminator="\n")
        writer.writeheader()
        writer.writerows(self.rows[: max(filled, default=0)])
        return out.getvalue().encode("utf-8")

    def check(self) -> bool:
        """Whether the rows can be read; `problems` says what cannot."""
        if not any(any(row.values()) for row in self.rows):
            self.problems = (
                Problem(_("no row is filled in"), _("Fill in one at least."), row=2, column="name"),
            )
            return False
        try:
            core.read_inventory(self.content(), NAME)
        except InputError as error:
            self.problems = error.problems
        return not self.problems

    def lines(self) -> list[tuple[int, list[Cell]]]:
        """Row numbers and cells, for the page."""
        return [(number, [self._cell(number, column, row) for column in COLUMNS])
                for number, row in enumerate(self.rows, 2)]  # fmt: skip

    def first_empty(self) -> str:
        """The id of the name in the first empty row below those that are filled in; empty where there is none above it."""
        filled = [number for number, row in enumerate(self.rows, 2) if any(row.values())]
        last = max(filled, default=0)
        return f"name_{last + 1}" if filled and last + 1 < len(self.rows) + 2 else ""

    def summary(self) -> list[tuple[str, str]]:
        """Pairs of the id to jump to and the message, the same text as beside the entry."""
        cells = [
            (cell.name, message) for _row, line in self.lines() for cell in line for message in cell.messages
        ]
        rows = range(2, len(self.rows) + 2)
        rest = [
            problem for problem in self.problems if problem.row not in rows or problem.column not in COLUMNS
        ]
        return cells + [("", f"{problem.what}. {problem.mend}") for problem in rest]

    def _cell(self, number: int, column: str, row: dict[str, str]) -> Cell:
        label = _("%(column)s, row %(row)d") % {"column": COLUMNS[column], "row": number}
        messages = tuple(
            f"{label}: {problem.what}. {problem.mend}"
            for problem in self.problems
            if problem.row == number and problem.column == column
        )
        choices = ("", *CLOSURES) if column == "closure" else ()
        return Cell(f"{column}_{number}", column, label, row[column], messages, choices)
