"""The commands that serve: serve, demo.

Knows no page; how the app stands behind a web server is in serving.py.
"""

from pathlib import Path

import click

from .options import environment, folder_options, now, opened_directory


@click.command()
@click.option("--host", default="127.0.0.1", show_default=True, help="The address to answer on.")
@click.option("--port", default=8000, show_default=True, type=click.IntRange(1, 65535))
@folder_options
@click.option("--demo", is_flag=True, help="Load the demo book and offer it on the start page.")
@click.option("--plain-http", is_flag=True, help="Answer other machines without HTTPS.")
def serve(host: str, port: int, data: Path, demo: bool, plain_http: bool) -> None:
    """Serve the pages until stopped; requests in flight are finished first."""
    from ..serving import serve_until_stopped

    serve_until_stopped(host, port, data, environment(), demo, plain_http)


@click.command()
@folder_options
def demo(data: Path) -> None:
    """Load the demo book, named "demo", unless it is there."""
    from ..books.demo import load_demo

    with opened_directory(data, make=True) as directory:
        click.echo(f"The demo book is there: {load_demo(directory, now())}")
