"""The command that takes over what a crew recorded: the lines that lie."""

from __future__ import annotations

from pathlib import Path

import click

from ..inputs.buyers_workbook import BuyersWorkbook, NotKeptError
from ..inputs.laying_record import with_laid
from ..inputs.template import write_template
from ..whole_file import write_whole
from ..words.grammar import counted as number_of
from .terms import beside, faults_told, force, quoted, read_and_warn, refuse_target


@click.command("laid")
@click.argument("laying", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.argument("workbook", type=click.Path(exists=True, path_type=Path))
@click.option(
    "-o",
    "--output",
    type=click.Path(path_type=Path),
    help="The farm's workbook with the lines laid. [default: '<WORKBOOK's name> laid.xlsx' in the "
    "current folder]",
)
@click.option(
    "--accepted",
    metavar="LINE=NAME",
    multiple=True,
    help="The engineer who accepts that a line does not stand by the basis of today, such as "
    "'MA-W1/3=A. N. Engineer': it goes under Accepted by. For each such line once.",
)
@force
def laid_command(
    laying: Path, workbook: Path, output: Path | None, accepted: tuple[str, ...], force: bool
) -> None:
    """Take over what was laid from a laying plan that was filled in on board.

    LAYING is a laying plan (or the order that holds it) with blanks filled in: where the anchor
    lies, the pull that held, the drag, date and signature. Where a line was built otherwise, say
    so in its cells of anchor, chain and rope. WORKBOOK, the farm, is written again with those lines
    on its Laid sheet: priced again they stay as they are and cost nothing more, and their pulls
    count as tests.

    \b
    Example:
      moorledger laid "farm order.xlsx" farm.xlsx -o "farm 2.xlsx"
    """
    output = output or beside(workbook, "laid")
    with faults_told():
        refuse_target(output, workbook, force)
        refuse_target(output, laying, force)
        before = read_and_warn(workbook)
        by_tag = dict(_accepted(one) for one in accepted)
        farm, new = with_laid(before, laying, by_tag)
        try:
            kept = BuyersWorkbook(workbook, before, farm)
            write_whole(output, kept.content(), overwrite=force)
            how = kept.how
        except NotKeptError as why:
            write_template(output, farm, overwrite=force)
            how = why.how
    told = [f"{tag}: accepted by {name}, as Laid says.\n" for tag, name in by_tag.items()]
    lying, lines = len(farm.laid), farm.leg_count
    click.echo(
        f"{number_of(new, 'line')} taken over: {lying} of {lines} lie.\n"
        f"{how}\n{''.join(told)}"
        f"Farm: {output}; next: moorledger price {quoted(output)} --after ORDER, the order that "
        "it was laid by"
    )


def _accepted(given: str) -> tuple[str, str]:
    """Return the tag of a line and who accepts it."""
    tag, _, name = (part.strip() for part in given.partition("="))
    if not tag or not name:
        raise click.UsageError(f"--accepted '{given}': needs LINE=NAME, such as 'MA-W1/3=A. N.'")
    return tag, name
