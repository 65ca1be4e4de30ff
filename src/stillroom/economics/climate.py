"""The outdoor air of a place, month by month, as the user gives it."""

from __future__ import annotations

from dataclasses import dataclass

from stillroom.errors import InputError, Problem

__all__ = ["HOURS", "Climate", "Month", "read_climate"]

HOURS = (744, 672, 744, 720, 744, 720, 744, 744, 720, 744, 720, 744)
"""Hours of the months of a common year [h]."""


@dataclass(frozen=True, slots=True)
class Month:
    """Mean state of the outdoor air."""

    temperature: float
    """[°C]"""
    relative_humidity: float
    """[-]"""


@dataclass(frozen=True, slots=True)
class Climate:
    """Twelve months with where they come from."""

    months: tuple[Month, ...]
    source: str


def read_climate(text: str, *, file_name: str, source: str) -> Climate:
    """The climate table in CSV: a header ``month, temperature_C, relative_humidity`` and twelve rows.

    Parameters
    ----------
    text : str
        Content; comma, semicolon or tab between cells. Relative humidity as a fraction or in per cent with its sign.
    file_name : str
        For messages.
    source : str
        Where the table comes from, in the user's words.

    Raises
    ------
    InputError
        Every cell at fault, with row and column.
    """
    lines = [line for line in text.splitlines() if line.strip()]
    first = lines[0] if lines else ""
    mark = max(",;\t", key=first.count)
    head = [cell.strip().lower() for cell in first.split(mark)]
    wanted = ("month", "temperature_c", "relative_humidity")
    if sorted(head) != sorted(wanted):
        raise InputError(
            Problem(
                "the header is not month, temperature_C, relative_humidity",
                "Write exactly these three columns.",
                file=file_name,
                row=1,
                found=first[:60],
            )
        )
    problems: list[Problem] = []
    months: dict[int, Month] = {}
    for row, line in enumerate(lines[1:], start=2):
        cells = dict(zip(head, (cell.strip() for cell in line.split(mark)), strict=False))
        number = _cell(cells, "month", 1.0, 12.0, row, file_name, problems)
        temperature = _cell(cells, "temperature_c", -60.0, 60.0, row, file_name, problems)
        humidity = _cell(cells, "relative_humidity", 0.0, 1.0, row, file_name, problems)
        if number is None or temperature is None or humidity is None:
            continue
        if number != int(number) or int(number) in months:
            problems.append(
                Problem(
                    "is not a month of its own",
                    "Each month 1 … 12 once.",
                    file=file_name,
                    row=row,
                    column="month",
                )
            )
            continue
        months[int(number)] = Month(temperature, humidity)
    absent = [str(number) for number in range(1, 13) if number not in months]
    if absent and not problems:
        problems.append(Problem(f"month {', '.join(absent)} is absent", "Give all twelve.", file=file_name))
    if problems:
        raise InputError(problems)
    return Climate(tuple(months[number] for number in range(1, 13)), source)


def _cell(
    cells: dict[str, str],
    name: str,
    low: float,
    high: float,
    row: int,
    file_name: str,
    problems: list[Problem],
) -> float | None:
    written = cells.get(name, "")
    try:
        plain = written.replace(",", ".")
        value = float(plain[:-1]) / 100.0 if plain.endswith("%") else float(plain)
    except ValueError:
        value = float("nan")
    if low <= value <= high:
        return value
    problems.append(
        Problem(
            f"is no number between {low:g} and {high:g}",
            "Mend the cell; relative humidity is a fraction (0.80) or has its sign (80 %)."
            if name == "relative_humidity"
            else "Mend the cell.",
            file=file_name,
            row=row,
            column=name,
            found=written[:40],
        )
    )
    return None
