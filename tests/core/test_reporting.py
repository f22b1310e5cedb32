"""How far a long deed is: told on its way, in parts that join without a gap."""

from webapp.books.reporting import of_reading, of_taking, reporting


def test_lines_go_by_unchanged_while_their_share_is_told() -> None:
    told: list[float] = []
    assert list(reporting(range(1200), told.append, 1200)) == list(range(1200))
    assert told == [0, 500 / 1200, 1000 / 1200]
    told.clear()
    assert len(list(reporting(["ab"] * 600, told.append, 900, len))) == 600
    assert told == [0, 1.0]  # never more than all
    assert list(reporting([1], told.append, 0)) == [1]
    assert told == [0, 1.0]


def test_taking_goes_on_where_reading_ends() -> None:
    told: list[float] = []
    for tell in (of_reading(told.append), of_taking(told.append)):
        for share in (0.0, 1.0):
            tell(share)
    assert told == [0, 0.6, 0.6, 1.0]
