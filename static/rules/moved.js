// Owns which numbers of a kept card have moved by balls struck since it was made, and which wait for the server.
// Only a ball that the server would count moves a number. Knows no page; the numbers come from cell.js.

import { replay, trust } from "./cell.js";
import { OPEN_MS } from "./constants.js";
import { whyNot } from "./counts.js";
import { fold } from "./shot.js";

/**
 * The cells that differ from the page's `data`: `moved` by the balls of visits that are not over, `waiting` for the
 * server because a ball of an older visit was changed, and `since`, how many balls moved one. `rows` are the facts on
 * this phone.
 */
export function movedCells(data, rows) {
  const shown = fold(rows);
  const begun = firsts(rows);
  const buckets = new Map([...shown.values()].filter((row) => row.kind === "bucket").map((row) => [row.root, row.body]));
  const isNew = (row) => row.state !== "taken" || row.made_at > data.as_of;
  const newBuckets = new Set(rows.filter((row) => row.kind === "bucket" && row.id === row.root && isNew(row)).map((row) => row.root));
  const isOpen = (id) => data.open_buckets.includes(id) || newBuckets.has(id);
  const counts = (body) => buckets.has(body.bucket_id) && !whyNot(body, buckets.get(body.bucket_id), data.ball);
  const touched = new Set();
  const waiting = new Set();
  const changedBuckets = new Set(rows.filter((row) => row.kind === "bucket" && isNew(row) && row.id !== row.root).map((row) => row.root));
  let since = 0;
  for (const row of rows.filter(({ kind }) => kind === "shot")) {
    // A withdrawal, or a ball moved to another club, also changes the cell it came from.
    const versions = isNew(row) ? rows.filter((other) => other.root === row.root && other.body) : [];
    for (const { body } of versions) {
      if (wouldCount(body, buckets, data.ball)) (isOpen(body.bucket_id) ? touched : waiting).add(keyOf(body));
    }
    if (isNew(row) && row.id === row.root && shown.has(row.root) && counts(shown.get(row.root).body)) since += 1;
    if (row.body && changedBuckets.has(row.body.bucket_id) && isPlain(row.body)) {
      (isOpen(row.body.bucket_id) ? touched : waiting).add(keyOf(row.body));
    }
  }
  const visits = visitsOf(shown, begun, (body) => isOpen(body.bucket_id) && counts(body), buckets);
  const cells = data.cells.filter((state) => touched.has(keyOf(state)));
  const moved = Object.fromEntries(cells.map((state) => [keyOf(state), withBalls(data, state, visits)]));
  return { moved, waiting: [...waiting].sort(), since };
}

/** A version of a ball that once counted moved its cell, also when the shown one does not count any more. */
function wouldCount(body, buckets, ball) {
  const bucket = buckets.get(body.bucket_id);
  return bucket !== undefined && !whyNot(body, { ...bucket, aside: false }, ball);
}

function isPlain(body) {
  return body.mode === "swing" && !body.aside && !body.course;
}

/** The counted balls by visit, each in the order struck: buckets less than six hours apart are one visit. */
function visitsOf(shown, begun, counts, buckets) {
  const shots = [...shown.values()].filter((row) => row.kind === "shot" && buckets.has(row.body.bucket_id));
  const byTime = (one, other) => (begun.get(one.root) < begun.get(other.root) ? -1 : 1);
  const visits = new Map();
  let last = null;
  let visit = null;
  for (const root of [...buckets.keys()].sort((one, other) => (begun.get(one) < begun.get(other) ? -1 : 1))) {
    const balls = shots.filter(({ body }) => body.bucket_id === root).sort(byTime);
    if (last === null || Date.parse(begun.get(root)) - last >= OPEN_MS) visit = root;
    last = Math.max(last ?? 0, Date.parse(begun.get(balls.at(-1)?.root ?? root)));
    visits.set(visit, [...(visits.get(visit) ?? []), ...balls.filter(({ body }) => counts(body)).map(({ body }) => landed(body, buckets))]);
  }
  return [...visits.values()];
}

function landed(body, buckets) {
  const where = body.landed ?? "seen";
  const carry_m = where === "seen" ? Math.max(0, body.carry_m + (buckets.get(body.bucket_id).bay_offset_m ?? 0)) : null;
  return { key: keyOf(body), carry_m, contact: body.contact ?? "", landed: where };
}

/** The cell after its balls of the open visits. */
function withBalls(data, state, visits) {
  const own = visits.map((shots) => shots.filter(({ key }) => key === keyOf(state))).filter((shots) => shots.length);
  const seen = own.map((shots) => shots.filter((shot) => shot.landed !== "unseen").length);
  const counted = seen.reduce((sum, one) => sum + one, 0);
  const n = state.n0 + counted;
  const cell = { n, visits: state.visits0 + seen.filter(Boolean).length };
  cell.trust = trust(n, cell.visits, state.recent0 + counted, state.told, state.half_width_m);
  const { carry_m } = replay({ ...state, omega2: data.omega2, pi: data.pi }, own);
  cell.carry_m = cell.trust === "told" ? state.told_carry_m : carry_m;
  return cell;
}

/** When each root was first made: ids rise with time, and a correction does not make a ball younger. */
function firsts(rows) {
  const begun = new Map();
  for (const { root, made_at } of rows) if (!begun.has(root) || made_at < begun.get(root)) begun.set(root, made_at);
  return begun;
}

function keyOf({ club_id, swing_deg }) {
  return `${club_id}:${swing_deg}`;
}
