"""The numbers of the running server, for this machine alone or for whoever holds the owner's word.

Knows who may ask; what is counted is in measures.py.
"""

import hmac
import ipaddress

from flask import Blueprint, Flask, Response, current_app, request

from .. import doors, measures, present

metrics = Blueprint("metrics", __name__)


def register(app: Flask) -> None:
    """Add the address and begin to count."""
    app.register_blueprint(metrics)
    measures.register(app)


@metrics.get("/metrics")
def show() -> Response:
    """Every number; to others the address does not exist."""
    if not _may_ask():
        raise doors.Refused(404, "not_found", "There is nothing at this address. Your book is as it was.")
    response = Response(measures.as_text(present.now()), mimetype="text/plain")
    response.headers["Cache-Control"] = "no-store"
    return response


def _may_ask() -> bool:
    word = current_app.config["METRICS_TOKEN"]
    told = request.headers.get("Authorization", "").removeprefix("Bearer ")
    if word and hmac.compare_digest(told.encode(), word.encode()):
        return True
    # A proxy on this machine asks for everybody, so a request that came through one is not this machine's own.
    if "X-Forwarded-For" in request.headers:
        return False
    try:
        return ipaddress.ip_address(request.remote_addr or "").is_loopback
    except ValueError:
        return False
