"""``stillroom substance``."""

from __future__ import annotations

import json
from dataclasses import asdict

import click

__all__ = ["command"]


@click.command("substance")
@click.argument("which")
@click.option("--temperature", default=22.0, show_default=True, help="[°C]")
@click.option(
    "--json", "as_json", is_flag=True, help="One JSON document on standard output and nothing else."
)
@click.pass_context
def command(ctx: click.Context, which: str, temperature: float, as_json: bool) -> None:
    """What is known of WHICH, a CAS number or a name: identity, properties, limits by list, hazards."""
    from stillroom.cli.find import find
    from stillroom.errors import InputError, Problem
    from stillroom.sources import Sourced
    from stillroom.substances import limits
    from stillroom.substances.hazards import hazards
    from stillroom.substances.properties import properties

    if not -50.0 <= temperature <= 80.0:
        mend = "Choose one between -50 and 80 °C."
        raise InputError(Problem("the temperature is out of range", mend, found=str(temperature)))
    found = find(which)
    assert found.substance is not None
    substance = found.substance
    known = properties(substance.cas, temperature=temperature + 273.15)
    every = [limit for entry in limits.lists() for limit in limits.of(substance.cas, entry.key)]
    of_hazards = hazards(substance.cas)
    values = {
        name: getattr(known, name)
        for name in known.__dataclass_fields__
        if name not in ("cas", "temperature", "phase")
    }
    if as_json:
        document = {
            "substance": asdict(substance),
            "temperature_C": temperature,
            "phase": known.phase,
            "properties": {name: asdict(value) for name, value in values.items()},
            "limits": [asdict(limit) for limit in every],
            "hazards": asdict(of_hazards),
        }
        click.echo(json.dumps(document, ensure_ascii=False, indent=1, default=str))
        return
    click.echo(f"{substance.name}  CAS {substance.cas}  {substance.formula}")
    if found.reason:
        click.echo(f"note: {found.reason}", err=True)
    click.echo(f"\nProperties at {temperature:g} °C ({known.phase})")
    for name, value in values.items():
        label = name.replace("_", " ")
        if isinstance(value, Sourced):
            click.echo(f"  {label}: {value.value:.4g} {value.unit}  [{value.source}, {value.origin}]")
        else:
            click.echo(f"  {label}: not known: {value.reason}")
    click.echo("\nLimits")
    for limit in every:
        what = f" as {limit.measured_as}" if limit.measured_as else ""
        marks = f"  {', '.join(limit.notations)}" if limit.notations else ""
        click.echo(
            f"  {limit.list}: {limit.basis} {limit.value:g} {limit.unit}{what}{marks}  ({limit.locator})"
        )
    if not every:
        click.echo("  none in the shipped lists")
    click.echo(f"\nIn such a cabinet: {of_hazards.admission}")
    for reason in of_hazards.admission_reasons:
        click.echo(f"  {reason}")
