"""The one shape of a refusal: JSON for the phone's code, a plain page for people.

Knows no feature; the sentences come from whoever refuses.
"""

from flask import Response, jsonify, render_template, request


def answer(status: int, code: str, message: str, **more: str) -> tuple[Response | str, int]:
    """One error as JSON under /api/, as a page elsewhere."""
    if request.path.startswith("/api/"):
        return jsonify(error={"code": code, "message": message, "fields": {}, **more}), status
    return render_template("error.html", code=code, message=message, status=status), status
