-- After a restore to a moment: closes again in the log what was closed since, as the journal read from standard input says.
-- psql "$LOG" -f deploy/close-again.sql < closed-since.csv (MANY_HOSTS.md). Repeating it changes nothing more.
\set ON_ERROR_STOP on
BEGIN;
CREATE TEMPORARY TABLE since (number bigint, at text, what text, book_id text, key text) ON COMMIT DROP;
\copy since FROM pstdin CSV

UPDATE links SET ended_at = since.at FROM since
    WHERE what = 'link_ended' AND links.id = key AND links.book_id = since.book_id AND ended_at IS NULL;
UPDATE devices SET cut_off_at = since.at FROM since
    WHERE what = 'phone_cut_off' AND encode(devices.id, 'hex') = key AND devices.book_id = since.book_id;
DELETE FROM guardians USING since
    WHERE what = 'pin_reset' AND guardians.book_id = since.book_id AND set_at <= since.at;

-- Of several sheets of a book the newest one counts. How far codes for phones and clinics were used is not known.
CREATE TEMPORARY TABLE sheets ON COMMIT DROP AS
    SELECT DISTINCT ON (book_id) book_id, decode(key, 'hex') AS code_hash, at FROM since
    WHERE what = 'sheet_replaced' ORDER BY book_id, number DESC;
DELETE FROM codes USING sheets WHERE codes.book_id = sheets.book_id AND kind = 'recovery';
INSERT INTO codes (code_hash, book_id, kind, created_at)
    SELECT code_hash, book_id, 'recovery', at FROM sheets JOIN books ON books.id = book_id WHERE deleted_at IS NULL;
DELETE FROM codes WHERE kind = 'join';
DELETE FROM clinics;

CREATE TEMPORARY TABLE gone ON COMMIT DROP AS
    SELECT book_id, max(at) AS at FROM since WHERE what = 'book_deleted' GROUP BY book_id;
UPDATE books SET deleted_at = gone.at, alias = NULL, cursor = 0, chain = '' FROM gone
    WHERE books.id = gone.book_id AND deleted_at IS NULL;
DELETE FROM facts USING gone WHERE facts.book = gone.book_id::uuid;
DELETE FROM links USING gone WHERE links.book_id = gone.book_id;
DELETE FROM codes USING gone WHERE codes.book_id = gone.book_id;
DELETE FROM copies USING gone WHERE copies.book_id = gone.book_id;
DELETE FROM guardians USING gone WHERE guardians.book_id = gone.book_id;

INSERT INTO revocations SELECT * FROM since ON CONFLICT (number) DO NOTHING;
SELECT setval(pg_get_serial_sequence('revocations', 'number'), greatest(max(number), 1)) FROM revocations;
COMMIT;
