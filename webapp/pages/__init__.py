"""The pages, one file each; this one lists them. A page never imports another page."""

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from flask import Flask

PAGES = (
    "errors", "metrics", "shell", "start", "bag", "settings", "bucket", "card", "fits", "leave", "round",
    "conditions", "delivery", "more", "links", "phones", "refused", "leaving", "table", "jobs", "coach",
    "coach_homework", "coach_remark", "players", "tablet", "homework", "remarks", "practice", "trends", "periods",
    "year", "visits", "eye_check", "api", "kept_pages",
)  # fmt: skip


def register(app: "Flask") -> None:
    """Let every page add itself to the application."""
    for name in PAGES:
        import_module(f".{name}", __name__).register(app)
