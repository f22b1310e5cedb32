"""The way to every page that is not needed between two balls.

Knows their names and nothing of what they show.
"""

from flask import Blueprint, Flask, render_template

from .. import reader

more = Blueprint("more", __name__)
PAGES = (
    ("/trends", "What changed", "a number over visits, the cost of contact, meant against real, the year"),
    ("/visits", "Visits", "every bucket, and setting a bad day aside"),
    ("/eye-check", "Check your eye", "ten balls said by eye, then measured"),
    ("/fits/leave", "What to leave", "the distances that your card answers best"),
    ("/conditions", "Conditions", "what today’s air, wind and height do to a carry"),
    ("/round", "Card only", "the lock for a round, and course notes"),
    ("/bag", "Bag", "your wedges, their full carries, the gaps"),
    ("/settings", "Settings", "hand, units, clock, lengths of swing, limits"),
    ("/homework", "Homework", "what a coach sends you, and how far you are"),
    ("/remarks", "Remarks", "what a coach says of a number or a ball"),
    ("/links", "Coach links", "let a coach read, for a while"),
    ("/players", "Your players", "for a coach: the cards you read, kept in this browser alone"),
    ("/print", "Print", "the card on paper and labels for the shafts"),
    ("/phones", "Phones", "the recovery sheet, another phone, a lost one"),
    ("/refused", "Refused entries", "what the server did not take, put right on this phone"),
    ("/leaving", "Your data", "take it away, bring it back, delete it"),
)


def register(app: Flask) -> None:
    """Add the page."""
    app.register_blueprint(more)


@more.get("/more")
def show() -> str:
    """The list; what chooses a shot or sums up conditions is not named while the card-only lock is on."""
    shut = ("/fits/leave", "/conditions") if reader.view()["card_only"] else ()
    return render_template("more.html", pages=[page for page in PAGES if page[0] not in shut])
