"""What each fault of the store is answered with: status, code and the plain sentence that says what became of the data.

Knows the store's faults; no page and no file.
"""

from dataclasses import dataclass

from .store import faults


@dataclass(frozen=True)
class FaultWords:
    """One fault's HTTP status, stable code and sentence."""

    status: int
    code: str
    message: str


_PHONE = "What the phone holds stays on it"
_WORDS = {
    faults.DamagedDirectory: FaultWords(
        503,
        "damaged_directory",
        "The server’s list of books is damaged or lost. It was left untouched, and so was every book. "
        f"{_PHONE}; whoever runs this server can restore the last copy.",
    ),
    faults.DamagedFile: FaultWords(
        503,
        "damaged_book",
        "This book’s file is damaged. It was left untouched, and no other book is harmed. "
        f"{_PHONE}; whoever runs this server can restore the last copy.",
    ),
    faults.StoreFull: FaultWords(
        507,
        "disk_full",
        "The server’s disk is full. Nothing of this was taken; what the phone holds stays on it. "
        "The book is whole: it needs room and no repair.",
    ),
    faults.ReadOnlyStore: FaultWords(
        503,
        "read_only",
        f"The server’s disk takes no writing now. Nothing was changed, and the book is whole. {_PHONE} and is sent "
        "later.",
    ),
    faults.NewerFile: FaultWords(
        503,
        "newer_file",
        "This book was written by a newer version of the program than the one that runs here. It was not touched. "
        f"{_PHONE} and is sent once the newer version runs again.",
    ),
    faults.NewerLog: FaultWords(
        503,
        "newer_file",
        "A newer version of the program than the one that runs here has brought the place where all books are kept up "
        f"to date. Nothing of it was touched. {_PHONE} and is sent once the newer version runs here too.",
    ),
    faults.NotPermitted: FaultWords(
        503,
        "not_permitted",
        "The server may not open this book’s file. Nothing was changed, and the book is whole. "
        f"{_PHONE}; whoever runs this server must give the files back to it.",
    ),
    faults.BusyFile: FaultWords(
        503,
        "busy",
        "The server could not reach the book just now. Nothing was changed. The phone keeps all and tries again.",
    ),
    faults.LogAway: FaultWords(
        503,
        "log_away",
        "The server cannot reach the place where all books are kept, so it shows and takes nothing just now. Nothing "
        "is lost: the phone keeps its balls and sends them by itself later.",
    ),
    faults.Gone: FaultWords(410, "book_deleted", "This book was deleted. What this phone still holds was not sent."),
}


def words_of(fault: faults.StoreFault) -> FaultWords:
    """What a fault is answered with."""
    return _WORDS[type(fault)]
