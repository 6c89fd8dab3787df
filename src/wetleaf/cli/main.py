"""The command `wetleaf`: every command by its name, and one way to refuse bad input."""

import sys

import typer

from wetleaf.cli.add import add
from wetleaf.cli.backup import backup
from wetleaf.cli.book import book
from wetleaf.cli.decide import decide
from wetleaf.cli.demo import demo
from wetleaf.cli.design import design
from wetleaf.cli.difference import difference_app
from wetleaf.cli.export import export
from wetleaf.cli.import_ import import_book
from wetleaf.cli.leaf import leaf
from wetleaf.cli.lot import lot_app
from wetleaf.cli.map import map_app
from wetleaf.cli.profile import profile
from wetleaf.cli.rank import rank_app
from wetleaf.cli.refusals import leave_quietly, refusal_of
from wetleaf.cli.serve import serve
from wetleaf.cli.template import template

app = typer.Typer(
    name="wetleaf",
    help="A bench for a specialist tea buyer: from samples to a decision for every lot.",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    add_completion=False,
)


app.command("add")(add)
app.command("backup")(backup)
app.command("book")(book)
app.command("decide")(decide)
app.command("demo")(demo)
app.command("design")(design)
app.add_typer(difference_app, name="difference")
app.command("export")(export)
app.command("import")(import_book)
app.command("leaf")(leaf)
app.add_typer(lot_app, name="lot")
app.add_typer(map_app, name="map")
app.command("profile")(profile)
app.add_typer(rank_app, name="rank")
app.command("serve")(serve)
app.command("template")(template)


@app.callback(invoke_without_command=True)
def front_door(
    version: bool = typer.Option(False, "--version", help="Print the version and leave."),
) -> None:
    """A bench for a specialist tea buyer: from samples to a decision for every lot."""
    if version:
        from wetleaf import __version__

        typer.echo(f"wetleaf {__version__}")
        raise typer.Exit


def run() -> None:
    """Run a command; bad input is one line on standard error and exit code 2, never a traceback."""
    try:
        left_with = app(standalone_mode=False)
        sys.stdout.flush()
    except BrokenPipeError:
        leave_quietly(sys.stdout)
        sys.exit(141)
    except Exception as slip:
        refusal = refusal_of(slip)
        if refusal is None:
            raise
        if str(refusal):
            typer.echo(f"wetleaf: {refusal}", err=True)
        if isinstance(slip, OSError):
            leave_quietly(sys.stdout)
        sys.exit(2)
    sys.exit(left_with if isinstance(left_with, int) else 0)


if __name__ == "__main__":
    run()
