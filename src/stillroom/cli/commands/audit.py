"""``stillroom audit``."""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING

import click

from stillroom.cli.stored import data_option, open_database
from stillroom.errors import InputError, Problem

if TYPE_CHECKING:
    from stillroom.services.audit import Finding, Paper, Report

__all__ = ["command"]

_SHOWN = 40
"""Findings that are printed; --json gives all."""
_SLOWEST = 20_000
"""Events a second that a check must reach [1/s]: 200 000 in 10 s."""


@click.group("audit")
def command() -> None:
    """The trail of everything that was written."""


@command.command("verify")
@click.option("--selftest", is_flag=True, help="Tamper with a copy in six ways: each must be found.")
@click.option(
    "--checkpoint", "checkpoints", multiple=True, type=click.Path(exists=True, dir_okay=False, path_type=Path),
    help="A checkpoint kept elsewhere; may be given several times.",
)  # fmt: skip
@click.option("--pdf-head", default="", help="Head of the trail as printed on a paper; with --seq.")
@click.option("--seq", type=click.IntRange(min=1), help="Number of the event as printed beside that head.")
@click.option(
    "--bench", type=click.IntRange(min=1), help="Time the check of so many invented events instead."
)
@click.option(
    "--json", "as_json", is_flag=True, help="One JSON document on standard output and nothing else."
)
@data_option
def _verify(
    selftest: bool,
    checkpoints: Sequence[Path],
    pdf_head: str,
    seq: int | None,
    bench: int | None,
    as_json: bool,
    data: Path,
) -> int:
    """Is the chain of events whole, does every stored row agree with it, does every signature hold?

    Exit status 0: whole · 1: not whole, and the places are named.
    """
    if bench:
        return _bench(bench)
    papers = _papers(pdf_head, seq)
    open_database(data)
    from stillroom.records.notes import parse
    from stillroom.services.audit import verify

    kept = [parse(file.read_text("utf-8", "replace"), file=str(file)) for file in checkpoints]
    if selftest:
        return _selftest(as_json)
    report = verify(kept=kept, papers=papers)
    if as_json:
        click.echo(json.dumps(asdict(report) | {"whole": report.whole}, ensure_ascii=False, indent=1))
    else:
        _say(report)
    return int(not report.whole)


_BREAKS = re.compile("[\u00ad\u200b-\u200d\u2060\ufeff]")
"""What a head copied from a PDF carries where its line may break; nobody sees it."""


def _papers(pdf_head: str, seq: int | None) -> list[Paper]:
    from stillroom.services.audit import Paper

    head = "".join(_BREAKS.sub("", pdf_head).lower().split())
    if bool(head) != bool(seq):
        raise click.UsageError("Give both --pdf-head and --seq, as they stand on the paper.")
    if not head or seq is None:
        return []
    if not 32 <= len(head) <= 64 or set(head) - set("0123456789abcdef"):
        raise InputError(
            Problem(
                "this is no head of a trail", "Type all 32 digits (0–9, a–f) of the paper.", found=pdf_head
            )
        )
    return [Paper(seq, head)]


def _say(report: Report) -> None:
    for log in report.logs:
        click.echo(f"log {log.name:14} {log.size:8} events   head {log.head[:32]}")
    click.echo(
        f"{report.checkpoints} checkpoints, {report.rows} rows, {report.validations} validations looked at."
    )
    _list(report.findings)
    click.echo("Whole." if report.whole else f"NOT whole: {len(report.findings)} finding(s).")


def _list(findings: Sequence[Finding]) -> None:
    for finding in findings[:_SHOWN]:
        click.echo(f"  {finding}")
    if len(findings) > _SHOWN:
        click.echo(f"  … and {len(findings) - _SHOWN} more; --json gives all")


def _selftest(as_json: bool) -> int:
    from stillroom.records.keys import own_key, public_keys
    from stillroom.services.audit import Database
    from stillroom.services.audit_trial import ATTACKS, selftest

    key = own_key()
    before, trials = selftest(Database(), keys=public_keys(), key=key)
    found = sum(bool(trial.findings) for trial in trials)
    if as_json:
        click.echo(
            json.dumps(
                {"before": asdict(before), "trials": [trial._asdict() for trial in trials]},
                ensure_ascii=False,
            )
        )
    elif not before.whole:
        click.echo("The trail is not whole as it is; nothing was tried on it.")
        _list(before.findings)
    else:
        for trial in trials:
            first = str(trial.findings[0]) if trial.findings else ""
            click.echo(f"{trial.name:26} {'found' if first else 'NOT FOUND':10} {first}")
        click.echo(f"{found} of {len(ATTACKS)} found.")
    return int(not before.whole or found < len(ATTACKS))


def _bench(count: int) -> int:
    from stillroom.services.audit_trial import bench

    report, seconds = bench(count)
    click.echo(f"{count} events checked in {seconds:.2f} s ({count / seconds:.0f} a second)")
    return int(not report.whole or count / seconds < _SLOWEST)
