"""Which fault of the store stands behind an error of PostgreSQL.

Knows its states (PostgreSQL 15, appendix A); no sentence for a player.
"""

import psycopg
from psycopg import errors
from psycopg_pool import PoolClosed, PoolTimeout

from ..faults import BusyFile, DamagedDirectory, LogAway, NotPermitted, StoreFault, StoreFull

_FULL = (errors.DiskFull,)
_BUSY = (errors.DeadlockDetected, errors.SerializationFailure, errors.LockNotAvailable)
_AWAY = (
    psycopg.OperationalError,
    psycopg.InterfaceError,
    errors.ReadOnlySqlTransaction,  # a server that was demoted
    PoolClosed,
    PoolTimeout,
)


def fault_of(error: psycopg.Error) -> StoreFault | None:
    """The fault behind an error; None when the program itself is wrong."""
    words = str(error).strip()
    if isinstance(error, _FULL):
        return StoreFull(words)
    if isinstance(error, errors.InsufficientPrivilege):
        return NotPermitted(words)
    if isinstance(error, errors.UndefinedTable):
        return DamagedDirectory(words)
    if isinstance(error, _BUSY):
        return BusyFile(words)
    return LogAway(words) if isinstance(error, _AWAY) else None


def is_of_the_line(error: psycopg.Error) -> bool:
    """Whether the connection, and no statement, is to blame, so that another one may do."""
    return isinstance(fault_of(error), LogAway) and not isinstance(error, errors.QueryCanceled)
