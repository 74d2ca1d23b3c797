"""The command line: `moorledger`, its commands, what they say and their exit codes."""

from __future__ import annotations

import click

from .break_even import breakeven
from .checking import check, holding, template
from .comparing import compare
from .exit_codes import AT_FAULT
from .laid import laid_command
from .offers import offers
from .papers import papers_command
from .pricing import price_command
from .quotes import quotes

EPILOG = (
    "Exit codes: 0 done; 1 the workbook or the farm is at fault, or a file cannot be written; 2 "
    "the command line is at fault; 3 no plan within the time limit; 4 the solver failed; "
    "5 the finished plan failed its own checks, nothing written; 130 stopped by Ctrl-C; 143 "
    "stopped by the system (SIGTERM)."
)


@click.group(epilog=EPILOG, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="moorledger")
def main() -> None:
    """Price an aquaculture farm's seabed moorings: the least-cost order that holds, and its
    proof.

    WORKBOOK is an .xlsx file, or a folder of CSV files, one a sheet. It is never changed.
    """


def run() -> int:
    """Run the command of `sys.argv` and return its exit code; Ctrl-C raises KeyboardInterrupt."""
    try:
        # click makes a KeyboardInterrupt an Abort, whether or not it is to end by itself.
        code = main.main(standalone_mode=False)
    except click.exceptions.Abort:
        raise KeyboardInterrupt from None
    except click.ClickException as error:
        error.show()
        return error.exit_code
    except SystemExit as ended:
        code = ended.code
    except OSError as error:
        click.echo(f"moorledger: {error}", err=True)  # such as standard output on a full disk
        return AT_FAULT
    return code if isinstance(code, int) else 0


COMMANDS = (
    template, check, holding, price_command, papers_command, laid_command, compare, breakeven,
    offers, quotes,
)  # fmt: skip

for command in COMMANDS:
    main.add_command(command)
