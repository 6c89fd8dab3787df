"""`wetleaf template`: an empty workbook to fill in, with heads, drop-downs and a sheet that explains them."""

import io
from pathlib import Path
from typing import Annotated

import typer

from wetleaf.cli.writing import write_whole
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
    workbook = io.BytesIO()
    write_template(workbook)
    write_whole(out, workbook.getvalue())
    typer.echo(f"{out} is written. Its sheet 'How to fill in' says what each column means.")
