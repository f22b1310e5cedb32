"""What a process counts of its work with the log: rows, batches that came second, files made again, times it was away.

Knows nothing of where they are counted; measures.py tells them.
"""

from dataclasses import dataclass


@dataclass
class Numbers:
    """Since the process began; threads add to them without a lock, so a few may be lost."""

    appended: int = 0
    beaten: int = 0
    followed: int = 0
    healed: int = 0
    away: int = 0


numbers = Numbers()
