"""Arguments of the fold: which fact of a root is shown, whatever the order in which facts come."""

from typing import Any

ROOT, OTHER, LATER = (f"00000000-0000-7000-8000-00000000000{n}" for n in (1, 2, 3))


def fact(id: str, made_at: str, body: Any = None, root: str = ROOT) -> dict[str, Any]:
    """A fact of a ball; a body of None withdraws it."""
    return {"id": id, "root": root, "kind": "shot", "made_at": f"2026-05-01T10:00:0{made_at}.000Z", "body": body}


FIRST, SECOND, THIRD = fact(ROOT, "1", {"n": 1}), fact(OTHER, "2", {"n": 2}), fact(LATER, "3", {"n": 3})
FOLDED: dict[str, list[dict[str, Any]]] = {
    "nothing": [],
    "one fact": [FIRST],
    "the correction made last": [FIRST, SECOND, THIRD],
    "whatever the order": [THIRD, FIRST, SECOND],
    "the larger id of two made at one moment": [FIRST, {**SECOND, "made_at": THIRD["made_at"]}, THIRD],
    "the larger id also when it comes first": [THIRD, {**SECOND, "made_at": THIRD["made_at"]}],
    "a withdrawal hides its root for good": [FIRST, fact(OTHER, "2"), THIRD],
    "a correction that comes before its root": [SECOND],
    "two roots": [FIRST, fact(OTHER, "0", {"n": 9}, OTHER)],
}


def cases() -> dict[str, tuple[dict[str, Any], dict[str, list[Any]]]]:
    """The arguments by rule and function, each with what they share."""
    return {"shot/fold": ({}, {name: [facts] for name, facts in FOLDED.items()})}
