"""The command line. Each command is a file that is imported when it is called."""

from __future__ import annotations

import sys
from importlib import import_module

import click

__all__ = ["main"]

_COMMANDS = {
    "assess": "Decide what may be kept: an inventory in; verdict, record, label and shelf plan out.",
    "audit": "The trail of everything that was written: verify.",
    "backup": "Everything that is stored, in one file: make, check, drill.",
    "capacity": "The retention listing: what a medium's layers hold of each substance.",
    "bed": "What comes through a bed of carbon, and when.",
    "demo": "The demo scenario, end to end, in seconds.",
    "doctor": "Is the database set up as it must be?",
    "due": "What is due over all cabinets: list, calendar, table.",
    "fleet": "Many cabinets at once: assess a folder, make an invented one.",
    "keys": "The keys that sign: list, rotate.",
    "limits": "Lists of exposure limits: list, show, load your own.",
    "media": "Filter media: list, show; fit to measured points, predict.",
    "place": "The shelf plan alone.",
    "recheck": "Which validations would come out differently today?",
    "restore": "Put a backup back into an empty database.",
    "savings": "Energy and money saved against a ducted cabinet of the same flow.",
    "serve": "The web application, on SQLite unless DATABASE_URL says otherwise.",
    "substance": "What is known of a chemical, by CAS number or name.",
}


class _Lazy(click.Group):
    """Knows every command's name and one line; imports its file only to run it."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return sorted(_COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in _COMMANDS:
            return None
        command: click.Command = import_module(f"stillroom.cli.commands.{cmd_name}").command
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl(sorted(_COMMANDS.items()))

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        try:
            return super().resolve_command(ctx, args)
        except click.UsageError as error:
            from difflib import get_close_matches

            near = get_close_matches(args[0], _COMMANDS, 1)
            if near:
                raise click.UsageError(f"{error.message} Did you mean “{near[0]}”?", ctx) from None
            raise


@click.group(cls=_Lazy, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="stillroom", prog_name="stillroom")
def _stillroom() -> None:
    """What may be kept in a recirculating filtered storage cabinet, for how long, and the proof.

    A decision aid: local codes, the manufacturer's tests and licensed or competent persons prevail.

    \b
    Start here:
      stillroom demo
      stillroom assess inventory.csv --cabinet full-height --room room.toml --out out

    Exit status: 0 done · 1 not approved · 2 the input is wrong · 3 cannot tell
    """


def main() -> None:
    """Run; errors that Stillroom raises on purpose become a message and an exit status, never a traceback."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    from stillroom.errors import StillroomError

    try:
        status = _stillroom.main(prog_name="stillroom", standalone_mode=False)
    except click.exceptions.Exit as stop:
        sys.exit(stop.exit_code)
    except click.ClickException as error:
        error.show()
        sys.exit(2)
    except click.Abort:
        sys.exit(130)
    except StillroomError as error:
        click.echo(f"stillroom: {error}", err=True)
        sys.exit(error.exit_status)
    except BrokenPipeError:
        sys.exit(0)
    else:
        sys.exit(
            status if isinstance(status, int) else 0
        )  # without standalone mode an exit status is returned
