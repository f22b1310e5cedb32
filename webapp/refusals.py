"""The one shape of a refusal: JSON for the phone's code, a plain page for people.

Knows no feature; the code that refuses gives the sentence.
"""

from flask import Response, g, jsonify, render_template, request


def answer(status: int, code: str, message: str, **more: str) -> tuple[Response | str, int]:
    """One error as JSON under /api/, as a page elsewhere; a coach's page holds nothing of the app.

    The page goes by what this request has opened already and opens nothing itself: opening may be what failed.
    """
    g.refused_with = code
    if request.path.startswith("/api/"):
        return jsonify(error={"code": code, "message": message, "fields": {}, **more}), status
    frame = "coach_frame.html" if request.path.startswith("/w/") else "base.html"
    return render_template("error.html", frame=frame, code=code, message=message), status
