"""Makers of facts for tests: sound ones, each with what a test wants to differ.

Knows no file and no page.
"""

from collections.abc import Sequence
from typing import Any
from uuid import UUID, uuid4

from webapp.moments import moved
from webapp.units import YARD_M

NOW = "2025-05-01T09:30:00.000Z"
Raw = dict[str, Any]

# Full carries of the demo set, yards, by club name; lofts are the names.
FULL_CARRIES_YD = {"46": 112, "51": 99, "56": 85, "60": 72}


def raw(kind: str, body: Raw | None, made_at: str = NOW, root: str | None = None, id: str | None = None) -> Raw:
    """A fact as it goes over the wire; with `root` a correction, and with a body of None a void."""
    own = id or str(uuid4())
    return {"id": own, "root": root or own, "kind": kind, "made_at": made_at, "body": body}


def numbered(number: int) -> str:
    """An id that is the same in every run, larger for a larger number."""
    return str(UUID(int=number))


def a_club(name: str = "56", loft_deg: float | None = None, made_at: str = NOW, **more: Any) -> Raw:
    """A wedge; its loft is its name unless another is given."""
    return raw("club", {"name": name, "loft_deg": float(name) if loft_deg is None else loft_deg, **more}, made_at)


def a_bucket(made_at: str = NOW, **more: Any) -> Raw:
    """A visit to Pellow Fen: mat, range balls, judged by a monitor."""
    body = {"place": "Pellow Fen", "surface": "mat", "ball": "range", "judged_by": "monitor", **more}
    return raw("bucket", body, made_at)


def a_shot(bucket: str | Raw, club: str | Raw, carry_yd: float | None = 54, made_at: str = NOW, **more: Any) -> Raw:
    """A swing-called clean 9:00 shot of a carry in yards; None is a carry nobody saw."""
    body = {
        "bucket_id": _id(bucket),
        "club_id": _id(club),
        "swing_deg": 90.0,
        "mode": "swing",
        "meant_carry_m": 54 * YARD_M,
        "carry_m": None if carry_yd is None else carry_yd * YARD_M,
        "landed": "unseen" if carry_yd is None else "seen",
        "contact": "clean",
        "judged_by": "monitor",
        **more,
    }
    return raw("shot", body, made_at)


def a_full_carry(club: str | Raw, carry_yd: float, made_at: str = NOW) -> Raw:
    """A full carry the player states, in yards."""
    return raw("full_carry", {"club_id": _id(club), "carry_m": carry_yd * YARD_M}, made_at)


def a_setting(name: str, value: Any, made_at: str = NOW, root: str | None = None) -> Raw:
    """A setting said."""
    return raw("setting", {"name": name, "value": value}, made_at, root)


def a_swing(swing_deg: float, name: str = "", made_at: str = NOW) -> Raw:
    """A length of swing the player keeps."""
    return raw("swing", {"swing_deg": swing_deg, "name": name}, made_at)


def a_homework(club: str | Raw, balls: int = 5, made_at: str = NOW, id: str | None = None, **more: Any) -> Raw:
    """Homework that was accepted: balls with one wedge at 9:00."""
    own = id or str(uuid4())
    plan = [f"{_id(club)}:90:swing::lesson:{own[:8]}.{place}" for place in range(1, balls + 1)]
    return raw("homework", {"plan": plan, **more}, made_at, id=own)


def a_remark(club: str | Raw = "", made_at: str = NOW, id: str | None = None, **more: Any) -> Raw:
    """A coach's remark that was kept: on a wedge's 9:00, or on a ball (`shot_id`)."""
    own = id or str(uuid4())
    about = {"club_id": _id(club), "swing_deg": 90.0} if club else {}
    return raw("remark", {"words": "hold the finish", "about": "56 9:00", **about, **more}, made_at, id=own)


def corrected(fact: Raw, made_at: str | None = None, **changes: Any) -> Raw:
    """A correction of a fact: its whole content with some values changed, a second later unless told."""
    later = made_at or moved(fact["made_at"], seconds=1)
    return raw(fact["kind"], {**fact["body"], **changes}, later, fact["root"])


def voided(fact: Raw, made_at: str | None = None) -> Raw:
    """The withdrawal of a fact."""
    return raw(fact["kind"], None, made_at or moved(fact["made_at"], seconds=1), fact["root"])


def the_demo_set(made_at: str = NOW) -> list[Raw]:
    """The wedges 46, 51, 56 and 60 with the full carries stated for them."""
    clubs = [a_club(name, made_at=made_at) for name in FULL_CARRIES_YD]
    stated = zip(clubs, FULL_CARRIES_YD.values(), strict=True)
    return clubs + [a_full_carry(club, carry_yd, made_at) for club, carry_yd in stated]


def f1_balls(bucket: str | Raw, club: str | Raw, made_at: str = NOW, **more: Any) -> list[Raw]:
    """The ten balls of example F1: 56 9:00 meant 54, eight clean, one fat, one thin; half a minute apart."""
    return [
        a_shot(bucket, club, carry_yd, moved(made_at, seconds=30 * place), contact=contact, **more)
        for place, (carry_yd, contact) in enumerate(F1)
    ]


F1: Sequence[tuple[int, str]] = (
    (52, "clean"),
    (55, "clean"),
    (49, "clean"),
    (54, "clean"),
    (57, "clean"),
    (53, "clean"),
    (41, "fat"),
    (55, "clean"),
    (60, "thin"),
    (54, "clean"),
)


def _id(named: str | Raw) -> str:
    return named if isinstance(named, str) else named["root"]
