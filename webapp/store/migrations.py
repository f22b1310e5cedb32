"""The tables of a book and of the directory, as ordered steps that are never edited once landed.

Knows no meaning of a field beyond its type. To change a table add a step below the last one, and one to the VERSION of
book.py or directory.py; this file is read only when a file is to be brought up to date.
"""

from sqlite_utils import Database as Database
from sqlite_utils import Migrations as Migrations

book = Migrations("book")
directory = Migrations("directory")

_COMMON = "id BLOB PRIMARY KEY, made_at TEXT NOT NULL, received_at TEXT NOT NULL"


@book()
def m001_facts(db: Database) -> None:
    """The one truth: facts, appended and never changed."""
    db.conn.execute(
        """CREATE TABLE facts (
            seq INTEGER PRIMARY KEY, id BLOB NOT NULL UNIQUE, root BLOB NOT NULL, kind TEXT NOT NULL,
            made_at TEXT NOT NULL, received_at TEXT NOT NULL, device BLOB, body TEXT NOT NULL) STRICT"""
    )
    db.conn.execute("CREATE INDEX facts_by_root ON facts (root)")


@book()
def m002_derived(db: Database) -> None:
    """What is shown now, flat and typed; made from the facts and rebuilt from them at any time."""
    execute = db.conn.execute
    execute(
        f"""CREATE TABLE clubs ({_COMMON}, name TEXT, loft_deg REAL, sole_note TEXT, retired INTEGER,
            follows BLOB) STRICT, WITHOUT ROWID"""
    )
    execute(f"CREATE TABLE swings ({_COMMON}, swing_deg REAL, name TEXT) STRICT, WITHOUT ROWID")
    execute(
        f"""CREATE TABLE buckets ({_COMMON}, place TEXT, surface TEXT, ball TEXT, judged_by TEXT, wind TEXT,
            wind_force TEXT, temperature_c REAL, bay_offset_m REAL, monitor_note TEXT, warm_up_balls INTEGER,
            ended_at TEXT, aside INTEGER, aside_reason TEXT, plan TEXT) STRICT, WITHOUT ROWID"""
    )
    execute(
        f"""CREATE TABLE shots ({_COMMON}, bucket_id BLOB, club_id BLOB, swing_deg REAL, mode TEXT,
            meant_carry_m REAL, carry_m REAL, landed TEXT, contact TEXT, aside INTEGER, run_index INTEGER,
            judged_by TEXT, plan_ref TEXT, direction TEXT, swing_check TEXT, wind TEXT, wind_force TEXT,
            lie TEXT, flight TEXT, coarse INTEGER, course INTEGER, roll_m REAL, delivery TEXT,
            struck_at TEXT, ball TEXT NOT NULL DEFAULT '', counted INTEGER NOT NULL DEFAULT 0)
            STRICT, WITHOUT ROWID"""
    )
    execute("CREATE INDEX shots_of_cell ON shots (ball, counted, club_id, swing_deg, struck_at)")
    execute("CREATE INDEX shots_of_bucket ON shots (bucket_id, struck_at)")
    execute(f"CREATE TABLE full_carries ({_COMMON}, club_id BLOB, carry_m REAL) STRICT, WITHOUT ROWID")
    execute(f"CREATE TABLE settings ({_COMMON}, name TEXT, value TEXT) STRICT, WITHOUT ROWID")
    execute(f'CREATE TABLE marks ({_COMMON}, what TEXT, words TEXT, "on" TEXT) STRICT, WITHOUT ROWID')
    execute(f"CREATE TABLE notes ({_COMMON}, words TEXT, about TEXT) STRICT, WITHOUT ROWID")
    execute(
        """CREATE TABLE cells (ball TEXT, club_id BLOB, swing_deg REAL, n INTEGER, n_contact INTEGER,
            visits INTEGER, last_struck_at TEXT, PRIMARY KEY (ball, club_id, swing_deg)) STRICT, WITHOUT ROWID"""
    )


@book()
def m003_latest_shots(db: Database) -> None:
    """The latest balls are read for every card, however many came before them."""
    db.conn.execute("CREATE INDEX shots_by_time ON shots (struck_at)")
    db.conn.execute("CREATE INDEX buckets_by_time ON buckets (made_at)")


@book()
def m004_counting(db: Database) -> None:
    """A cell is counted again with each batch, which must not look at every ball of it in the table."""
    db.conn.execute("DROP INDEX shots_of_cell")
    db.conn.execute(
        """CREATE INDEX shots_of_cell ON shots
            (ball, counted, club_id, swing_deg, struck_at, landed, bucket_id)"""
    )


@book()
def m005_shots_in_order(db: Database) -> None:
    """Shots lie in the order they came, so a batch writes few pages; the balls of a cell are found by their index."""
    execute = db.conn.execute
    execute("DROP TABLE cells")
    execute("DROP TABLE shots")
    execute(
        f"""CREATE TABLE shots ({_COMMON.replace("PRIMARY KEY", "NOT NULL UNIQUE")}, bucket_id BLOB, club_id BLOB,
            swing_deg REAL, mode TEXT, meant_carry_m REAL, carry_m REAL, landed TEXT, contact TEXT, aside INTEGER,
            run_index INTEGER, judged_by TEXT, plan_ref TEXT, direction TEXT, swing_check TEXT, wind TEXT,
            wind_force TEXT, lie TEXT, flight TEXT, coarse INTEGER, course INTEGER, roll_m REAL, delivery TEXT,
            struck_at TEXT NOT NULL, ball TEXT NOT NULL, counted INTEGER NOT NULL) STRICT"""
    )
    execute("CREATE INDEX shots_of_cell ON shots (club_id, swing_deg, ball, struck_at) WHERE counted = 1")
    execute("CREATE INDEX shots_of_bucket ON shots (bucket_id, struck_at)")
    execute("CREATE INDEX shots_by_time ON shots (struck_at)")


@book()
def m006_visits(db: Database) -> None:
    """A bucket knows its visit, its first and last ball, the player's clock, and more of how carries were judged."""
    execute = db.conn.execute
    execute("DROP TABLE buckets")
    execute(
        f"""CREATE TABLE buckets ({_COMMON}, place TEXT, surface TEXT, ball TEXT, judged_by TEXT, wind TEXT,
            wind_force TEXT, temperature_c REAL, bay_offset_m REAL, monitor_note TEXT, indoor_counts INTEGER,
            flags_checked TEXT, utc_offset_min INTEGER, warm_up_balls INTEGER, ended_at TEXT, aside INTEGER,
            aside_reason TEXT, plan TEXT, begun_at TEXT, last_struck_at TEXT, visit_id BLOB) STRICT, WITHOUT ROWID"""
    )
    execute("CREATE INDEX buckets_by_time ON buckets (begun_at)")
    execute("CREATE INDEX buckets_of_visit ON buckets (visit_id, begun_at)")


@book()
def m007_eye_checks(db: Database) -> None:
    """Balls said by eye, then measured; and a mark may name the bucket or the ball from which "after" begins."""
    execute = db.conn.execute
    execute(f'CREATE TABLE eye_checks ({_COMMON}, said_m REAL, measured_m REAL, "by" TEXT) STRICT, WITHOUT ROWID')
    execute("ALTER TABLE marks ADD COLUMN bucket_id BLOB")
    execute("ALTER TABLE marks ADD COLUMN shot_id BLOB")


@book()
def m008_tables(db: Database) -> None:
    """A table of balls from elsewhere that was taken in, and which buckets came with it."""
    execute = db.conn.execute
    execute(
        f"""CREATE TABLE tables ({_COMMON}, name TEXT, headings TEXT, chosen TEXT, made TEXT)
            STRICT, WITHOUT ROWID"""
    )
    execute("ALTER TABLE buckets ADD COLUMN table_id BLOB")


@book()
def m009_homework(db: Database) -> None:
    """Homework that the player accepted: its plan, until when its next-visit nine is due, its focus."""
    db.conn.execute(
        f"CREATE TABLE homework ({_COMMON}, plan TEXT, nine_by TEXT, focus TEXT, aside INTEGER) STRICT, WITHOUT ROWID"
    )


@book()
def m010_remarks(db: Database) -> None:
    """Remarks of a coach that the player kept: the words, and the number or the ball they are about."""
    db.conn.execute(
        f"""CREATE TABLE remarks ({_COMMON}, words TEXT, about TEXT, club_id BLOB, swing_deg REAL, shot_id BLOB,
            aside INTEGER) STRICT, WITHOUT ROWID"""
    )


@book()
def m011_hundredths(db: Database) -> None:
    """Swings are kept in hundredths of a degree; no table changes, but every row is made again after a step."""


@book()
def m012_struck_wedges(db: Database) -> None:
    """A withdrawn wedge with balls has left the bag; no table changes, but every row is made again after a step."""


@book()
def m013_keys_in_order(db: Database) -> None:
    """What a table's columns mean is kept with its keys in order; no table changes, but every row is made again."""


@book()
def m014_said_of_wedges(db: Database) -> None:
    """Which wedges were withdrawn is asked for at every bucket: their facts are found among thousands of balls."""
    db.conn.execute("CREATE INDEX facts_of_wedges ON facts (root, body) WHERE kind = 'club'")


@book()
def m015_judged_as_the_bucket(db: Database) -> None:
    """Balls that were judged as their bucket was before it was put right go by how it is judged today."""
    db.conn.execute("ALTER TABLE buckets ADD COLUMN judged_was TEXT")
    db.conn.execute("ALTER TABLE shots ADD COLUMN judged_apart INTEGER")


@directory()
def m001_directory(db: Database) -> None:
    """Books, the devices and links that open them; of every secret only its hash."""
    execute = db.conn.execute
    execute(
        """CREATE TABLE books (id TEXT PRIMARY KEY, created_at TEXT NOT NULL, alias TEXT UNIQUE,
            deleted_at TEXT) STRICT"""
    )
    execute(
        """CREATE TABLE devices (token_hash BLOB PRIMARY KEY, id BLOB NOT NULL UNIQUE, book_id TEXT NOT NULL,
            name TEXT NOT NULL, created_at TEXT NOT NULL, last_seen_at TEXT NOT NULL, cut_off_at TEXT)
            STRICT, WITHOUT ROWID"""
    )
    execute("CREATE INDEX devices_of_book ON devices (book_id)")
    execute(
        """CREATE TABLE links (token_hash BLOB PRIMARY KEY, id TEXT NOT NULL UNIQUE, book_id TEXT NOT NULL,
            label TEXT NOT NULL, created_at TEXT NOT NULL, ends_at TEXT NOT NULL, ended_at TEXT,
            profile TEXT NOT NULL) STRICT, WITHOUT ROWID"""
    )
    execute("CREATE INDEX links_of_book ON links (book_id)")
    execute(
        """CREATE TABLE codes (code_hash BLOB PRIMARY KEY, book_id TEXT NOT NULL, kind TEXT NOT NULL,
            created_at TEXT NOT NULL, ends_at TEXT) STRICT, WITHOUT ROWID"""
    )
    execute("CREATE INDEX codes_of_book ON codes (book_id)")


@directory()
def m002_copies(db: Database) -> None:
    """How far each book lies in a copy that was verified, and how the last backup went."""
    execute = db.conn.execute
    execute(
        """CREATE TABLE copies (book_id TEXT PRIMARY KEY, seq INTEGER NOT NULL, fact_id BLOB NOT NULL,
            copied_at TEXT NOT NULL) STRICT, WITHOUT ROWID"""
    )
    execute(
        """CREATE TABLE backups (number INTEGER PRIMARY KEY, tried_at TEXT NOT NULL, problem TEXT NOT NULL,
            folder TEXT NOT NULL) STRICT"""
    )


@directory()
def m003_revocations(db: Database) -> None:
    """What was closed for good, so that a restored copy can close it again, and the latest moment seen."""
    execute = db.conn.execute
    execute(
        """CREATE TABLE revocations (number INTEGER PRIMARY KEY, at TEXT NOT NULL, what TEXT NOT NULL,
            book_id TEXT NOT NULL, key TEXT NOT NULL) STRICT"""
    )
    execute("CREATE TABLE told (name TEXT PRIMARY KEY, value TEXT NOT NULL) STRICT, WITHOUT ROWID")
    # A copy made before this step and the directory it was made of get the same journal, named after their oldest book.
    execute(
        """INSERT INTO told SELECT 'journal', COALESCE((SELECT replace(id, '-', '') FROM books
            ORDER BY created_at, id LIMIT 1), lower(hex(randomblob(16))))"""
    )
    execute("INSERT INTO told VALUES ('latest_moment', '')")
    execute(
        """INSERT INTO revocations (at, what, book_id, key) SELECT * FROM (
            SELECT deleted_at AS at, 'book_deleted', id, '' FROM books UNION ALL
            SELECT ended_at, 'link_ended', book_id, id FROM links UNION ALL
            SELECT cut_off_at, 'phone_cut_off', book_id, lower(hex(id)) FROM devices UNION ALL
            SELECT created_at, 'sheet_replaced', book_id, lower(hex(code_hash)) FROM codes WHERE kind = 'recovery'
        ) WHERE at IS NOT NULL ORDER BY at"""
    )


@directory()
def m004_opened(db: Database) -> None:
    """On how many days a coach link was opened, and on which day last."""
    db.conn.execute("ALTER TABLE links ADD COLUMN opened_days INTEGER NOT NULL DEFAULT 0")
    db.conn.execute("ALTER TABLE links ADD COLUMN opened_on TEXT NOT NULL DEFAULT ''")


@directory()
def m005_clinics(db: Database) -> None:
    """Codes with which the players of a clinic start their books; of each code only its hash."""
    db.conn.execute(
        """CREATE TABLE clinics (number INTEGER PRIMARY KEY, code_hash BLOB NOT NULL UNIQUE, label TEXT NOT NULL,
            made_at TEXT NOT NULL, ends_at TEXT NOT NULL, starts INTEGER NOT NULL, used INTEGER NOT NULL DEFAULT 0)
            STRICT"""
    )


@directory()
def m006_guardians(db: Database) -> None:
    """The PIN of a junior's guardian: only its slow hash, and how many wrong ones were tried."""
    db.conn.execute(
        """CREATE TABLE guardians (book_id TEXT PRIMARY KEY, salt BLOB NOT NULL, pin_hash BLOB NOT NULL,
            set_at TEXT NOT NULL, tries INTEGER NOT NULL, barred_until TEXT NOT NULL) STRICT, WITHOUT ROWID"""
    )
