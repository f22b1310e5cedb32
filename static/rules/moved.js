// Owns which numbers of a kept card have moved by balls struck since it was made, and which wait for the server.
// Only a ball that the server would count moves a number. Knows no page; the numbers come from estimate.js.

import { keyOf, trust } from "./cell.js";
import { OPEN_MS } from "./constants.js";
import { CELL_SPREAD_BALLS, MOST_BALLS_A_CELL, MOST_OF_A_VISIT, SPREAD_BALLS } from "./more_constants.js";
import { whyNot } from "./counts.js";
import { halfWidthM, replay } from "./estimate.js";
import { fold } from "./shot.js";
import { ballsSince, isNew } from "./since.js";

/**
 * The cells that differ from the page's `data`: `moved` by the balls of visits that are not over, all of the card once
 * one is touched, since each ball tells a little of every cell; `waiting` for the server because a ball of an older
 * visit was changed, or because the player said that the number is another one now; and `since`, how many balls moved
 * one. `rows` are the facts on this phone; what is news to the page no clock decides (since.js).
 */
export function movedCells(data, rows) {
  const shown = fold(rows);
  const begun = firsts(rows);
  const buckets = new Map([...shown.values()].filter((row) => row.kind === "bucket").map((row) => [row.root, row.body]));
  const news = rows.filter((row) => isNew(row, data.cursor));
  const newBuckets = new Set(news.filter((row) => row.kind === "bucket" && row.id === row.root).map((row) => row.root));
  const isOpen = (id) => data.open_buckets.includes(id) || newBuckets.has(id);
  const counts = (body) => buckets.has(body.bucket_id) && !whyNot(body, buckets.get(body.bucket_id), data.ball);
  // A version of a ball or of its bucket that once counted moved its cell, also when the shown one does not count any more.
  const wouldCount = (body, bucket) => bucket && !whyNot(body, { ...bucket, aside: false }, data.ball);
  const onceCounted = (body) => rows.some(({ root, body: bucket }) => root === body.bucket_id && wouldCount(body, bucket));
  const touched = new Set();
  const waiting = new Set();
  const changedBuckets = new Set(news.filter((row) => row.kind === "bucket" && row.id !== row.root).map((row) => row.root));
  for (const row of rows.filter(({ kind }) => kind === "shot")) {
    // A withdrawal, or a ball moved to another club, also changes the cell it came from.
    const versions = isNew(row, data.cursor) ? rows.filter((other) => other.root === row.root && other.body) : [];
    for (const { body } of versions) {
      if (onceCounted(body)) (isOpen(body.bucket_id) ? touched : waiting).add(keyOf(body));
    }
    if (row.body && changedBuckets.has(row.body.bucket_id) && onceCounted(row.body)) {
      (isOpen(row.body.bucket_id) ? touched : waiting).add(keyOf(row.body));
    }
  }
  const visits = visitsOf(shown, begun, (body) => isOpen(body.bucket_id) && counts(body), buckets);
  const moved = touched.size ? afterVisits(data, visits) : {};
  for (const key of data.cells.filter(({ moves }) => moves).map(keyOf)) {
    delete moved[key];
    if (touched.has(key)) waiting.add(key);
  }
  return { moved, waiting: [...waiting].sort(), since: ballsSince(data, rows, shown) };
}

/** Every cell by its key as it was before the balls of the visits that are not over. */
export function before(data) {
  return afterVisits(data, []);
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
    const start = Date.parse(begun.get(root));
    if (last === null || start - last >= OPEN_MS) [visit, last] = [root, start];
    if (balls.length) last = Math.max(last, Date.parse(begun.get(balls.at(-1).root))); // without balls it prolongs no visit
    visits.set(visit, [...(visits.get(visit) ?? []), ...balls.filter(({ body }) => counts(body)).map(({ body }) => landed(body, buckets))]);
  }
  return [...visits.values()];
}

/** What a ball tells of its cell. It is judged as store/derived.py has it: as its bucket, unless it is judged apart. */
function landed(body, buckets) {
  const bucket = buckets.get(body.bucket_id);
  const where = body.landed ?? "seen";
  const carry_m = where === "seen" ? Math.max(0, body.carry_m + (bucket.bay_offset_m ?? 0)) : null;
  const apart = body.judged_apart ?? !(body.judged_by && body.judged_by === bucket.judged_was);
  const { judged_by } = apart ? { judged_by: "monitor", ...body } : bucket;
  return { key: keyOf(body), carry_m, contact: body.contact ?? "", landed: where, judged_by };
}

/** Every cell by its key, after the balls of the open visits. */
function afterVisits(data, visits) {
  const places = new Map(data.cells.map((state, cell) => [keyOf(state), cell]));
  const cut = new Set();
  const shots = visits.map((balls) => latestOf(balls.filter(({ key }) => places.has(key)), cut));
  const heard = shots.map((balls) => balls.map((ball) => ({ ...ball, cell: places.get(ball.key) })));
  const after = replay(data.estimate, heard);
  const clean = data.cells.map(({ N0 }) => N0);
  heard.forEach((balls, visit) => balls.forEach(({ cell }, at) => (clean[cell] += after.weights[visit][at])));
  const total = data.N0 + after.weights.flat().reduce((sum, w) => sum + w, 0);
  const df = clean.map((N) => N + Math.min(CELL_SPREAD_BALLS, SPREAD_BALLS + total - N));
  return Object.fromEntries(
    data.cells.map((state, cell) => {
      const half = halfWidthM(after.m[cell], after.v[cell] + state.drift, df[cell]);
      const own = heard.map((balls) => balls.filter((ball) => ball.cell === cell));
      const at_most = cut.has(keyOf(state)) ? MOST_OF_A_VISIT : state.at_most;
      return [keyOf(state), withBalls({ ...state, at_most }, own, after.m[cell], half)];
    }),
  );
}

/** Of a visit's balls those that the server would look at: the latest of each cell. The others' keys go to `cut`. */
function latestOf(balls, cut) {
  const taken = new Map();
  const isTaken = ({ key }) => {
    const n = taken.get(key) ?? 0;
    if (n === MOST_OF_A_VISIT) cut.add(key);
    else taken.set(key, n + 1);
    return n < MOST_OF_A_VISIT;
  };
  return balls.reverse().filter(isTaken).reverse();
}

/** The cell after its balls of the open visits: its number, what it rests on and how far it may be trusted. */
function withBalls(state, visits, m, half_width_m) {
  const seen = ({ landed }) => landed !== "unseen";
  const balls = visits.flat().filter(seen);
  // A ball lost from sight is read and does not count: it pushes an older one out. An older page does not tell of its visits.
  const own = visits.map((of) => of.map((ball) => (seen(ball) ? "1" : "0")).join(""));
  const read = [...(state.read0 ?? ["1".repeat(state.n0)]), ...own];
  let over = read.join("").length - MOST_BALLS_A_CELL; // so many of the oldest fall out, and with them whole visits
  const of_latest = over >= 0;
  const fallOut = (of) => {
    const left = of.slice(Math.max(over, 0));
    over -= of.length;
    return left;
  };
  const left = read.map(fallOut).filter(Boolean);
  const counting = (of) => of.filter((marks) => marks.includes("1")).length;
  const n = left.join("").replaceAll("0", "").length;
  const cell = { n, visits: state.visits0 + counting(own) - counting(read) + counting(left), half_width_m, of_latest };
  // Of a visit that is cut all that are read at most are left, and a ball more was there to be read.
  cell.at_most = left.slice(+of_latest).some(({ length }) => length === MOST_OF_A_VISIT) ? state.at_most : 0;
  cell.by_eye = (state.by_eye0 || !state.n0) && balls.every(({ judged_by }) => judged_by === "eye") && n > 0;
  cell.trust = trust(n, cell.visits, state.recent0 + balls.length, state.told, half_width_m);
  cell.carry_m = cell.trust === "told" ? state.told_carry_m : Math.exp(m);
  return cell;
}

/** When each root was first made: ids rise with time, and a correction does not make a ball younger. */
function firsts(rows) {
  const begun = new Map();
  for (const { root, made_at } of rows) if (!begun.has(root) || made_at < begun.get(root)) begun.set(root, made_at);
  return begun;
}
