"""`wetleaf template`: an empty workbook to fill in, with heads, drop-downs and a sheet that explains them."""

from pathlib import Path
from typing import Annotated

import typer

from wetleaf.trade.errors import BadInput


def template(
    out: Annotated[
        Path, typer.Argument(help="The workbook to write, as in season.xlsx.", show_default=False)
    ],
) -> None:
    """Write an empty workbook for a season; `wetleaf import` reads it without a question."""
    from wetleaf.lots.workbooks.writing import write_template

    if out.suffix.lower() != ".xlsx":
        raise BadInput(f"{out} does not end in .xlsx.", way_out="Name a workbook, as in season.xlsx.")
    if out.exists():
        raise BadInput(f"{out} is there already.", way_out="Choose another name, or delete it.")
    try:
        write_template(out)
    except OSError as refusal:
        raise BadInput(
            f"{out} cannot be written: {refusal.strerror}.", way_out="Choose another."
        ) from refusal
    typer.echo(f"{out} is written. Its sheet 'How to fill in' says what each column means.")
