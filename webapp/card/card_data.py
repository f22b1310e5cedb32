"""What a card holds: its lanes, arms and numbers, what they rest on, and which of them fit on one face.

Knows no estimate, table, page, unit of length on show, or clock; card/build.py makes a Card out of a book's rows.
"""

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Any

from ..estimate.gaps import GAP_LIMIT_M
from ..moments import local
from ..units import CLOSE
from .strike import Strikes

MOST_NUMBERS_A_FACE = 18

CellKey = tuple[str, float]


@dataclass(frozen=True)
class CardClub:
    """A lane of the card."""

    id: str
    name: str
    loft_deg: float


@dataclass(frozen=True)
class CardSwing:
    """An arm of the card; `name` is what the player reads, mirrored or own."""

    swing_deg: float
    name: str


@dataclass(frozen=True)
class CardCell:
    """One number of the card and what it rests on; carries in metres, unrounded.

    `typical_low_m` to `next_high_m` are ends of 80% intervals, `half_width_m` half the width of the first; "two in
    three" is where two clean balls in three of a new day land. `n` counts all balls with a known or off-scale landing,
    `n_clean` those more likely clean than not. `too_wide`: early only because its half-width is over what "settled"
    allows; `by_eye`: no ball of it was measured; `of_latest`: older balls of it are not looked at; `at_most`: how many
    of one visit are, where one of its visits has more; 0 where all are.
    """

    club_id: str
    swing_deg: float
    typical_carry_m: float
    typical_low_m: float
    typical_high_m: float
    half_width_m: float
    spread_m: float
    two_in_three_low_m: float
    two_in_three_high_m: float
    next_low_m: float
    next_high_m: float
    nine_in_ten_carry_m: float
    rough: bool
    n_clean: int
    n: int
    visits: int
    trust: str
    too_wide: bool
    by_eye: bool
    last_made_at: str | None
    out_of_order: bool
    told_carry_m: float | None
    of_latest: bool = False
    at_most: int = 0

    @property
    def key(self) -> str:
        """The cell's name on pages and in settings: "club id:degrees"."""
        return cell_key(self.club_id, self.swing_deg)

    @property
    def shown_carry_m(self) -> float:
        """The number read from the card: of a told cell what the player stated, else the typical carry."""
        return self.told_carry_m if self.trust == "told" and self.told_carry_m else self.typical_carry_m

    @property
    def two_in_three_half_m(self) -> float:
        """Half the width of the two-in-three range, the number behind "±"."""
        return (self.two_in_three_high_m - self.two_in_three_low_m) / 2


@dataclass(frozen=True)
class Gap:
    """The gap between the full swings of two neighbours in the bag.

    `gap_m` is of the carries on show, `chance_over` of the model; `warn` when over the limit is clearly the likelier,
    `certain` above four in five; `overlap` when the two do the same job.
    """

    stronger: CardClub
    weaker: CardClub
    gap_m: float
    limit_m: float
    chance_over: float
    warn: bool
    certain: bool
    overlap: bool
    loft_step_deg: float

    @property
    def called(self) -> bool:
        """Whether pages call it over the limit: the model finds that likely, and the carries on show say it too."""
        return self.warn and self.gap_m > self.limit_m + CLOSE

    @property
    def per_degree_m(self) -> float | None:
        """Metres of carry a degree of loft; None for equal lofts."""
        return self.gap_m / self.loft_step_deg if self.loft_step_deg > 0 else None


@dataclass(frozen=True)
class Twins:
    """Two cells for one distance, and the chance that they carry less than 5 yd apart."""

    first: CellKey
    second: CellKey
    chance: float


@dataclass(frozen=True)
class PhoneCell:
    """What a cell rests on without the visits that are not over.

    `N0` is how many clean balls speak for it, `drift` the variance that its own drift adds to its range; `read0` are
    the balls that were read of its visits, the oldest first, by a letter each: "1" for one of its `n0`, else "0";
    `ln_m`, `ln_sd` tell ln(carry [m]) of its next clean ball. `moves` where the player said since its balls, or amid
    those of a visit that is not over, that it is another number: what the next ball makes of it only the server knows.
    """

    club_id: str
    swing_deg: float
    ln_m: float
    ln_sd: float
    N0: float
    drift: float
    n0: int
    visits0: int
    read0: tuple[str, ...]
    recent0: int
    by_eye0: bool
    told: bool
    moves: bool


@dataclass(frozen=True)
class Phone:
    """What the phone needs to move the card without signal.

    `estimate` is the state that static/rules/estimate.js starts from, its cells in the order of `cells`; `N0` counts
    the clean balls of all cells, those of other kinds of ball too.
    """

    estimate: dict[str, Any]
    N0: float
    old_days: float
    open_buckets: tuple[str, ...]
    cells: tuple[PhoneCell, ...]


@dataclass(frozen=True)
class Card:
    """Everything the player and the coach read of one kind of ball; clubs strongest first, swings short to long.

    `mishits` are the ids of balls that were likelier a mishit than a clean one, whatever they were called.
    """

    as_of: str
    ball: str
    clubs: tuple[CardClub, ...]
    swings: tuple[CardSwing, ...]
    cells: dict[CellKey, CardCell]
    hidden: frozenset[str] = frozenset()
    gap_limit_m: float = GAP_LIMIT_M
    gaps: tuple[Gap, ...] = ()
    uncovered: tuple[tuple[float, float], ...] = ()
    twins: tuple[Twins, ...] = ()
    mishit_rate: float = 0.2
    strikes: Strikes = field(default_factory=Strikes)
    basis: tuple[str, ...] = ()
    phone: Phone | None = None
    utc_offset_min: int = 0
    mishits: frozenset[str] = frozenset()

    @property
    def local_as_of(self) -> str:
        """The player's clock at `as_of`: the card's day is the day where it is read."""
        return local(self.as_of, self.utc_offset_min)

    def club(self, club_id: str) -> CardClub:
        """The lane with this id; KeyError when the card has none."""
        return {club.id: club for club in self.clubs}[club_id]

    def swing(self, swing_deg: float) -> CardSwing:
        """The arm at this angle [deg]; KeyError when the card has none."""
        return {swing.swing_deg: swing for swing in self.swings}[swing_deg]


def cell_key(club_id: str, swing_deg: float) -> str:
    """The name of a cell on pages and in settings: "club id:degrees"."""
    return f"{club_id}:{swing_deg:g}"


def shown(card: Card) -> Card:
    """The card with only the cells the player chose to show, and only the lanes and arms they need."""
    cells = {place: cell for place, cell in card.cells.items() if cell.key not in card.hidden}
    return _only(card, cells)


def faces(card: Card, clubs_that_fit: Callable[[list[float]], int]) -> list[Card]:
    """The shown card cut into faces that can be read: at most 18 numbers and as many clubs as the drawing takes.

    Clubs are dealt out evenly in their order, so five make three and two rather than four and one. `clubs_that_fit`
    says for a list of arm angles [deg] how many lanes a drawing can carry.
    """
    whole = shown(card)
    if not whole.clubs:
        return []
    swings_deg = [swing.swing_deg for swing in whole.swings]
    most = max(1, min(clubs_that_fit(swings_deg), MOST_NUMBERS_A_FACE // len(swings_deg)))
    n_faces = -(-len(whole.clubs) // most)
    share, rest = divmod(len(whole.clubs), n_faces)
    cut, start = [], 0
    for place in range(n_faces):
        end = start + share + (place < rest)
        ids = {club.id for club in whole.clubs[start:end]}
        cut.append(_only(whole, {place: cell for place, cell in whole.cells.items() if cell.club_id in ids}))
        start = end
    return cut


def _only(card: Card, cells: dict[CellKey, CardCell]) -> Card:
    return replace(
        card,
        cells=cells,
        clubs=tuple(club for club in card.clubs if any(club.id == club_id for club_id, _ in cells)),
        swings=tuple(swing for swing in card.swings if any(swing.swing_deg == deg for _, deg in cells)),
    )
