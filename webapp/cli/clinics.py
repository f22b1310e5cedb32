"""The commands about a clinic's codes: clinic, clinics.

Knows no table; what a code is good for is said in store/clinics.py.
"""

from pathlib import Path
from urllib.parse import urlsplit

import click

from ..codes import CLINIC_LENGTH, in_groups, new_code
from ..moments import moved
from .options import now, opened_directory, service_options

MOST_STARTS, MOST_HOURS = 500, 24 * 14


def _plain(_: click.Context, __: click.Parameter, text: str | None) -> str | None:
    """What is printed again must be free of signs that steer a terminal or end a line of the list."""
    if text and not text.isprintable():
        raise click.BadParameter("it holds signs that cannot be printed.")
    return text


def _address(context: click.Context, parameter: click.Parameter, url: str | None) -> str | None:
    told = urlsplit(_plain(context, parameter, url) or "")
    if url and (told.scheme not in ("http", "https") or not told.hostname):
        raise click.BadParameter(f"{url!r} is no http or https address.")
    return url


@click.command()
@click.option("--starts", required=True, type=click.IntRange(1, MOST_STARTS), help="How many books it may start.")
@click.option("--hours", default=12, show_default=True, type=click.IntRange(1, MOST_HOURS), help="How long it is good.")
@click.option("--for", "label", default="", callback=_plain, help="What it is for, to know it again in the list.")
@click.option(
    "--url", callback=_address, help="The address phones use, such as https://range.example/, to give the code with it."
)
@service_options
def clinic(starts: int, hours: int, label: str, url: str | None, data: Path) -> None:
    """Make a code with which the players of a clinic start their books; it is shown once.

    It stands for the word of a private server, and for the limit on how many books one address may start.
    """
    code, made_at = new_code(CLINIC_LENGTH), now()
    ends_at = moved(made_at, hours=hours)
    with opened_directory(data, make=True) as directory:
        number = directory.new_clinic(code, label, starts, made_at, ends_at)
    click.echo(f"Clinic {number}: {in_groups(code)} starts {starts} books until {_minute(ends_at)}.")
    click.echo(f"Players open {url.rstrip('/')}/clinic#{code}" if url else "Players type it at /clinic.")


@click.command()
@click.option("--end", type=int, help="End the code of this number at once.")
@service_options
def clinics(end: int | None, data: Path) -> None:
    """List the codes of clinics: number, what for, books started of how many, until when."""
    with opened_directory(data) as directory:
        if end is not None:
            if not directory.end_clinic(end):
                raise click.ClickException(f"Nothing was ended: there is no clinic of the number {end}.")
            click.echo(f"Clinic {end} is ended. The books that were started stay.")
        for one in directory.clinics():
            click.echo(f"{one.number}\t{one.label or '-'}\t{one.used} of {one.starts}\tuntil {_minute(one.ends_at)}")


def _minute(moment: str) -> str:
    return f"{moment[:16].replace('T', ' ')} UTC"
