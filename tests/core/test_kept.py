"""What a process keeps of its own work."""

import threading

from webapp.kept import Kept


def test_a_value_is_made_once_until_what_it_is_made_of_changes() -> None:
    kept: Kept[str] = Kept(4)
    made = iter(("first", "second", "third"))
    told = [kept.value("card", of, lambda: next(made)) for of in (1, 1, 2, 2, 1)]
    assert told == ["first", "first", "second", "second", "third"]
    assert (kept.made, kept.kept) == (3, 2)


def test_places_do_not_share_a_value() -> None:
    kept: Kept[int] = Kept(4)
    assert [kept.value(place, 1, lambda place=place: place) for place in (1, 2, 1)] == [1, 2, 1]


def test_the_place_not_asked_for_the_longest_goes_first() -> None:
    kept: Kept[int] = Kept(2)
    for place in ("a", "b", "a", "c"):
        kept.value(place, 0, lambda: 0)
    assert len(kept) == 2
    before = kept.made
    kept.value("a", 0, lambda: 0)
    assert kept.made == before
    kept.value("b", 0, lambda: 0)
    assert kept.made == before + 1


def test_a_change_while_a_value_is_made_is_never_covered_by_it() -> None:
    """One thread begins with the old state and ends last; whoever asks for the new state then gets the new value."""
    kept: Kept[str] = Kept(4)
    old_began, new_done = threading.Event(), threading.Event()

    def slowly() -> str:
        old_began.set()
        assert new_done.wait(10)
        return "old"

    slow = threading.Thread(target=lambda: kept.value("card", 1, slowly))
    slow.start()
    assert old_began.wait(10)
    assert kept.value("card", 2, lambda: "new") == "new"
    new_done.set()
    slow.join(10)
    assert kept.value("card", 2, lambda: "new again") == "new again"
