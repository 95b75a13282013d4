"""The command line: one lazily loaded command per file in `commands/`, and one place where errors end."""

from __future__ import annotations

import importlib
import sys

import click

# name: (module in forkwright.commands, one line of help). Kept here so that --help imports nothing heavy.
COMMANDS: dict[str, tuple[str, str]] = {
    "check": ("check", "Is the file sound, and what is out of range."),
    "spring": ("spring", "Spring force, chamber pressures and friction over the travel."),
    "sag": ("sag", "Where the unit rests under a load, as a band."),
    "chassis": ("chassis", "Bushing loads, their friction and fore-aft stiffness over the travel."),
    "hose": ("hose", "What connecting a pump takes from each chamber."),
    "compare": ("compare", "Two units side by side for one rider, with bands and nearest settings."),
    "shims": ("shims", "Opening and stress of a shim stack against pressure."),
    "damper": ("damper", "Damping force, chamber pressures and cavitation margin against speed."),
    "dyno": ("dyno", "Sine and step tests on the virtual dynamometer."),
    "revalve": ("revalve", "Stacks from the shims in the drawer that come nearest to target forces."),
    "course": ("course", "Look at a course file, or import a measured profile."),
    "ride": ("ride", "Ride one setting over a course and score it."),
    "sweep": ("sweep", "Score a table of settings over courses."),
    "match": ("match", "Settings of B that come nearest to the feel of A."),
    "recommend": ("recommend", "Settings for a rider, a bike, courses and wishes, with reasons."),
    "stages": ("stages", "One build for the race, the best outside adjusters per stage."),
    "uncertainty": ("uncertainty", "Bands from the tolerances, and which measurement to repeat."),
    "balance": ("balance", "Front and rear together: sag, frequencies, damping, and what to change."),
    "fit": ("fit", "Fit a unit's values to bench traces."),
    "log": ("log", "Read ride logs: travel, speed, sag, bottom-outs, comparisons."),
    "leakdown": ("leakdown", "Leak rate of a chamber from pressures over hours."),
    "trial": ("trial", "Plan, ride and open a blind test."),
    "job": ("job", "Workshop jobs from intake to hand-over."),
    "shop": ("shop", "The workshop store: back up, restore, verify, export, import."),
    "sheet": ("sheet", "Set-up card, report and spreadsheet as files."),
    "serve": ("serve", "Open the workbench in the browser, on this machine."),
    "demo": ("demo", "Compare the two demonstration forks and write the report."),
}


class LazyGroup(click.Group):
    """A command group that imports a command only when it is run."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002 - click's signature
        """Return the command names in the order of the work."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:  # noqa: ARG002 - click's
        """Import the module of one command and return what it calls `command`."""
        if cmd_name not in COMMANDS:
            return None
        module = importlib.import_module(f"forkwright.commands.{COMMANDS[cmd_name][0]}")
        command: click.Command = module.command
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the list of commands from the table, without importing them."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, COMMANDS[name][1]) for name in self.list_commands(ctx)])


@click.group(cls=LazyGroup, context_settings={"help_option_names": ["-h", "--help"]})
@click.option(
    "--units", metavar="LIST", help='Units to read in tables, for example "bar,in,kgf"; JSON is always SI.'
)
@click.version_option(package_name="forkwright")
@click.pass_context
def group(ctx: click.Context, units: str | None) -> None:
    """Measure, understand, compare, tune, test and hand over mountain-bike suspension.

    Quantities are text with a unit, for example "85 psi" or "7.6 ± 0.1 ml". Pressures are gauge.
    """
    ctx.obj = units


def main(arguments: list[str] | None = None) -> None:
    """Run the command line; wrong input ends with one message on standard error and exit status 2."""
    try:
        group.main(args=arguments, prog_name="forkwright", standalone_mode=False)
    except click.exceptions.Exit as end:
        sys.exit(end.exit_code)
    except click.Abort:
        _say("stopped")
        sys.exit(130)
    except click.ClickException as fault:
        fault.show()
        sys.exit(2)
    except BrokenPipeError:
        sys.stderr.close()
        sys.exit(1)
    except Exception as fault:
        from forkwright.physics import Unphysical
        from forkwright.units import InputError

        if isinstance(fault, InputError | Unphysical):
            _say(str(fault))
            sys.exit(2)
        raise


def _say(message: str) -> None:
    click.echo(f"forkwright: {message}", err=True)


if __name__ == "__main__":
    main()
