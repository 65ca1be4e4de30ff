"""``stillroom savings``."""

from __future__ import annotations

import json
from pathlib import Path

import click

__all__ = ["command"]


@click.command("savings")
@click.argument("case", type=click.Path(path_type=Path))
@click.option("--seed", type=int, default=1, show_default=True, help="Same case and seed, same answer.")
@click.option(
    "--json", "as_json", is_flag=True, help="One JSON document on standard output and nothing else."
)
def command(case: Path, seed: int, as_json: bool) -> None:
    """What the recirculating cabinet of CASE (a TOML file) saves in a year against a ducted one of the same flow."""
    from stillroom.cli.show import table
    from stillroom.economics import load_case
    from stillroom.services.savings import savings
    from stillroom.units import show

    answer = savings(load_case(case), seed=seed)
    if as_json:
        click.echo(json.dumps(answer, ensure_ascii=False, indent=1))
        return
    money = answer["currency"]

    def row(words: str, span: dict[str, float], unit: str) -> tuple[str, ...]:
        return (words, *(show(span[end], 3) for end in ("p05", "p50", "p95")), unit)

    rows = [
        row("heat taken from make-up air", answer["cooling_kWh"], "kWh/year"),
        row("heat given to make-up air", answer["heating_kWh"], "kWh/year"),
        row("electricity saved", answer["electricity_saved_kWh"], "kWh/year"),
        row("heat saved", answer["heat_saved_kWh"], "kWh/year"),
        *(row(name, part, f"{money}/year") for name, part in answer["parts"].items()),
        row("ducted, a year", answer["ducted_per_year"], f"{money}/year"),
        row("filtered, a year", answer["filtered_per_year"], f"{money}/year"),
        row("SAVED", answer["saved_per_year"], f"{money}/year"),
    ]
    click.echo(f"{answer['name']}" + (" · invented data" if answer["invented"] else ""))
    click.echo("\n" + table(("what", "5 %", "middle", "95 %", "unit"), rows))
    click.echo(f"\nIt saves money in {100.0 * answer['chance_that_it_saves']:.0f} % of the draws.")
    click.echo("\nAssumptions:")
    for words in answer["assumptions"]:
        click.echo(f"  - {words}")
