"""`wetleaf serve`: the pages of a workspace, on this machine only until sign-in exists."""

import socket
from typing import Annotated

import typer

from wetleaf.cli.workspace import WorkspaceOption, open_to_serve
from wetleaf.trade.errors import BadInput

HOST = "127.0.0.1"
THREADS = 8


def serve(
    port: Annotated[int, typer.Option(min=1, max=65535, help="The port on this machine.")] = 8011,
    workspace: WorkspaceOption = None,
) -> None:
    """Serve the pages of a workspace on this machine; stop with Ctrl+C."""
    folder = open_to_serve(workspace)
    serve_workspace(port, f"wetleaf serves {folder}")


def serve_workspace(port: int, says: str) -> None:
    """Serve the opened workspace until stopped. Raises BadInput when the port is taken."""
    from waitress.server import create_server

    from wetleaf.site.wsgi import application

    _refuse_taken_port(port)
    server = create_server(application, host=HOST, port=port, threads=THREADS, ident=None)
    typer.echo(f"{says} at http://{HOST}:{port}/ (stop with Ctrl+C)")
    try:
        server.run()
    except KeyboardInterrupt:
        typer.echo("Stopped.")


def _refuse_taken_port(port: int) -> None:
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((HOST, port))
        except OSError as refusal:
            raise BadInput(
                f"port {port} of this machine cannot be used: {refusal.strerror}.",
                way_out="Choose another with --port.",
            ) from refusal
