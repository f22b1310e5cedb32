"""The command `clockyard`: what it can be asked to do, its options, its answers and its exit statuses.

Knows no table and no page; every command hands over to the module that does the work, loaded only when asked for.
"""

from pathlib import Path

import click

data_option = click.option(
    "--data",
    type=click.Path(path_type=Path, file_okay=False),
    default=Path(".data"),
    show_default=True,
    envvar="CLOCKYARD_DATA",
    help="The folder that holds the books.",
)


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="clockyard")
def main() -> None:
    """Know how far each wedge carries at each length of swing, and how far to trust the number."""


@main.command()
@click.option("--host", default="127.0.0.1", show_default=True, help="The address to answer on.")
@click.option("--port", default=8000, show_default=True, type=click.IntRange(1, 65535))
@data_option
@click.option("--demo", is_flag=True, help="Load the demo book and offer it on the start page.")
@click.option("--plain-http", is_flag=True, help="Answer other machines without HTTPS.")
def serve(host: str, port: int, data: Path, demo: bool, plain_http: bool) -> None:
    """Serve the pages until stopped; requests in flight are finished first."""
    from .serving import serve_until_stopped

    serve_until_stopped(host, port, data, demo, plain_http)


if __name__ == "__main__":
    main()
