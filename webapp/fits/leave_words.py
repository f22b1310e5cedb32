"""What to leave, in the words a player reads.

Knows no page; static/rules/leave_words.js says the same without signal, held to it by shared cases.
"""

from collections.abc import Sequence

from ..units import CLOSE, from_m, round_half_up, whole
from .fitting import Candidate
from .leave import MOST_PEAKS, Ahead, Distance, Leave, Valley, at_flag, in_reach, lay_up

MOST_VALLEYS = 2  # named in the sentence; the line shows them all
FLAG_MISSING = "Say how far is left: roll and trouble belong to a flag."
ALIKE = 0.05  # of chance: less between the best and the worst distance is nothing to choose by


def best_words(found: Leave, among: Sequence[Candidate], unit: str) -> str:
    """What stands out: "61 and 85 are best for you; 66 to 69 are worst."; "" without any distance.

    Nothing is the player's own that rests on no ball, and a card without any says so first.
    """
    if not found.distances:
        return ""
    if any(one.n for one in among):
        return _stand_out_words(found, " without a ball", unit)
    return f"No ball yet. {_stand_out_words(found, '', unit)}"


def chances_words(found: Leave) -> str:
    """How much that is: "From the best, 75 to 85 balls in 100 land in; from the worst, 52."; "" without distances."""
    if not found.distances:
        return ""
    if _is_flat(found):
        return f"{_from_to(found.distances)} balls in 100 land in."
    if not found.peaks:
        return f"At best {found.by_chance[0].in_100} balls in 100 land in."
    clears = found.by_chance[0].clears  # what trouble shuts is no matter of chance
    here = [one.at for one in _named_valleys(found) if one.at.clears == clears]
    there = f"From the best, {_from_to(_named_peaks(found))} balls in 100 land in"
    return f"{there}; from the worst, {_from_to(here)}." if here else f"{there}."


def worst_m(found: Leave) -> list[tuple[float, float]]:
    """The stretches [m] that the sentence calls worst, in their order."""
    return [(one.low_m, one.high_m) for one in _named_valleys(found)] if found.peaks else []


def answer_words(found: Leave, among: Sequence[Candidate], flag_m: float, unit: str) -> str:
    """What to do with `flag_m` left: "Leave 61: hit 179 now.", first of all the shot that reaches; why not."""
    if not found.distances:
        shortest = min((one.carry_m for one in among), default=0.0)
        return f"No number of your card is that short: the shortest carries {whole(shortest, unit)}."
    flag, here, best = whole(flag_m, unit), in_reach(found, flag_m, unit), lay_up(found, flag_m, unit)
    reach = f"{flag} is in reach: {here.best.name}, {here.in_100} balls in 100 land in." if here else ""
    if best is None:
        return reach
    left = whole(best.left_m, unit)
    return f"{f'{reach} Or leave' if reach else 'Leave'} {left}: hit {flag - left} now."


def trouble_words(found: Leave, ahead: Ahead, unit: str) -> str:
    """What to know of trouble in front: its missing end, whether a number carries it, a lay-up short of it; or ""."""
    if not found.distances:
        return ""
    said = [_must_words(found, ahead, unit), _short_words(lay_up(found, ahead.flag_m, unit), ahead, unit)]
    return " ".join(one for one in said if one)


def in_words(distance: Distance) -> str:
    """The chance: "75 of 100"."""
    return f"{distance.in_100} of 100"


def miss_words(distance: Distance, unit: str) -> str:
    """How far its balls end from it: "3.9 off on average"."""
    return f"{round_half_up(from_m(distance.miss_m, unit) * 10) / 10:.1f} off on average"


def as_text(found: Leave, among: Sequence[Candidate], ahead: Ahead | None, unit: str) -> str:
    """All of it in lines, for a terminal."""
    if not among:
        return "There is no number on the card to choose from."
    lines = [f"{best_words(found, among, unit)} {chances_words(found)}".strip()]
    if ahead:
        said = answer_words(found, among, ahead.flag_m, unit), trouble_words(found, ahead, unit)
        lines = [line for line in (*said, *lines) if line]
    for one in found.distances:
        guess = ", a guess" if one.guess else ""
        lines.append(
            f"{whole(one.left_m, unit):4} {unit}  {one.best.name:16}{in_words(one):>10}  {miss_words(one, unit)}{guess}"
        )
    return "\n".join(lines)


def _stand_out_words(found: Leave, without: str, unit: str) -> str:
    low, high = (whole(found.distances[end].left_m, unit) for end in (0, -1))
    if low == high:
        return f"{low} is all there is."
    if _is_flat(found):
        return f"From {low} to {high} every distance is much the same."
    if not found.peaks:
        return f"From {low} to {high} no distance stands out."
    named = [(f"{whole(one.left_m, unit)}", one.best.n) for one in _named_peaks(found)]
    best = _joined([name for name, n in named if n], "is best for you", "are best for you")
    stand = _joined([name for name, n in named if not n], f"stands out{without}", f"stand out{without}")
    worst = _joined([_stretch(*ends, unit) for ends in worst_m(found)], "is worst", "are worst")
    return f"{'; '.join(said for said in (best, stand, worst) if said)}."


def _must_words(found: Leave, ahead: Ahead, unit: str) -> str:
    if not ahead.must_carry:
        return ""
    if ahead.front_m is None:
        return "To carry the trouble in front, say how far it reaches: “trouble in front to” is empty."
    here = at_flag(found, ahead.flag_m, unit)
    if any(one.clears for one in found.distances):
        shut = here and not here.clears
        return "From here no number carries the trouble in front nine times in ten." if shut else ""
    return "From no distance a number carries the trouble in front nine times in ten."


def _short_words(left: Distance | None, ahead: Ahead, unit: str) -> str:
    """A ball that lays up is short of where the trouble ends: whether it lands in it is not known."""
    if left is None or ahead.front_m is None:
        return ""
    now = whole(ahead.flag_m, unit) - whole(left.left_m, unit)
    if now >= from_m(ahead.front_m, unit) - CLOSE:
        return ""
    return f"{now} is short of where the trouble ends: look whether it begins well beyond {now}."


def _is_flat(found: Leave) -> bool:
    standing = [one.standing for one in found.distances]
    return max(standing) - min(standing) < ALIKE


def _named_peaks(found: Leave) -> list[Distance]:
    return sorted(found.by_chance[:MOST_PEAKS], key=lambda one: one.left_m)


def _named_valleys(found: Leave) -> list[Valley]:
    """The deepest, where they lie well below whatever is called best."""
    below = min(one.standing for one in _named_peaks(found)) - ALIKE
    deepest = sorted((one for one in found.valleys if one.at.standing < below), key=lambda one: one.at.standing)
    return sorted(deepest[:MOST_VALLEYS], key=lambda one: one.at.left_m)


def _from_to(distances: Sequence[Distance]) -> str:
    chances = [one.in_100 for one in distances]
    low, high = min(chances), max(chances)
    return f"{low} to {high}" if low < high else f"{low}"


def _stretch(low_m: float, high_m: float, unit: str) -> str:
    low, high = whole(low_m, unit), whole(high_m, unit)
    return f"{low} to {high}" if low < high else f"{low}"


def _joined(names: Sequence[str], one: str, several: str) -> str:
    """ "61 is best for you", "61 and 85 are best for you", "66 to 69 are worst"; "" for no name."""
    *others, last = names or ("",)
    alone = not others and " to " not in last
    return f"{', '.join(others)}{' and ' if others else ''}{last} {one if alone else several}" if last else ""
