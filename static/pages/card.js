// Owns the card without signal: balls struck since the page was made move its numbers by the one-cell rule.

import { replay } from "../rules/cell.js";
import { changes, rowsOf } from "../outbox.js";
import { EARLY_BELOW_BALLS, EARLY_BELOW_VISITS, OLD_BELOW_BALLS } from "../rules/constants.js";
import { fold } from "../rules/shot.js";
import { hintOnce } from "../ui/install.js";
import { whole } from "../rules/lengths.js";

export function start(data) {
  sayWhen(data.as_of);
  const redraw = () => redrawFrom(data).catch(() => {}); // the numbers of the page stand where the phone's cannot be read
  changes.addEventListener("change", redraw);
  const end = document.getElementById("more")?.closest("section");
  if (end) hintOnce(end).catch(() => {}); // a phone that keeps nothing cannot remember that it was told
  return redraw();
}

async function redrawFrom(data) {
  const rows = await rowsOf(data.book);
  const { moved, waiting, since } = movedCells(data, rows);
  for (const [key, cell] of moved) show(key, cell);
  for (const element of document.querySelectorAll("[data-cell]")) element.toggleAttribute("data-stale", waiting.has(element.dataset.cell));
  say(waiting.size, since);
}

/**
 * The cells that differ from the page: `moved` by the balls of visits that are not over, and `waiting` for the server
 * because a ball of an older visit was changed. `rows` are the facts on this phone.
 */
export function movedCells(data, rows) {
  const shown = fold(rows);
  const buckets = new Map([...shown.values()].filter((row) => row.kind === "bucket").map((row) => [row.root, row]));
  const isNew = (row) => row.state !== "taken" || row.made_at > data.as_of;
  const isOpen = (id) => data.open_buckets.includes(id) || (buckets.has(id) && isNew(firstOf(rows, id)));
  const touched = new Set();
  const waiting = new Set();
  let since = 0;
  for (const row of rows) {
    if (!isNew(row)) continue;
    if (row.kind === "bucket") {
      for (const other of rows) if (other.body?.bucket_id === row.root) touched.add(keyOf(other.body));
    }
    if (row.kind !== "shot") continue;
    // A withdrawal or a ball moved to another club also changes the cell it came from.
    for (const version of rows.filter((other) => other.root === row.root && other.body)) {
      (isOpen(version.body.bucket_id) ? touched : waiting).add(keyOf(version.body));
    }
    if (row.id === row.root) since += 1;
  }
  const moved = new Map();
  for (const state of data.cells) {
    const key = keyOf(state);
    if (touched.has(key)) moved.set(key, withBalls(data, state, ballsOf(data, state, shown, buckets, isOpen)));
  }
  return { moved, waiting, since };
}

/** The cell after the balls of its open visits, each visit an array of shots in the order struck. */
function withBalls(data, state, visits) {
  const counted = visits.flat().filter((shot) => shot.landed !== "unseen").length;
  const n = state.n0 + counted;
  const seen = visits.filter((shots) => shots.some((shot) => shot.landed !== "unseen")).length;
  const cell = { n, visits: state.visits0 + seen };
  cell.trust = trust(cell, state, state.recent0 + counted);
  const { carry_m } = replay({ ...state, omega2: data.omega2, pi: data.pi }, visits);
  cell.carry_m = cell.trust === "told" ? state.told_carry_m : carry_m;
  return cell;
}

function trust({ n, visits }, state, recent) {
  if (n === 0) return state.told ? "told" : "guess";
  if (n < EARLY_BELOW_BALLS || visits < EARLY_BELOW_VISITS) return "early";
  return recent < OLD_BELOW_BALLS ? "old" : "settled";
}

function ballsOf(data, state, shown, buckets, isOpen) {
  const visits = new Map();
  const shots = [...shown.values()].filter((row) => row.kind === "shot" && keyOf(row.body) === keyOf(state));
  // A correction does not make a ball younger: its place is that of its first fact, and ids rise with time.
  for (const { body } of shots.sort((one, other) => (one.root < other.root ? -1 : 1))) {
    const bucket = buckets.get(body.bucket_id)?.body;
    if (!bucket || !isOpen(body.bucket_id) || !counts(body, bucket, data.ball)) continue;
    const landed = body.landed ?? "seen";
    const carry_m = landed === "seen" ? Math.max(0, body.carry_m + (bucket.bay_offset_m ?? 0)) : null;
    if (!visits.has(body.bucket_id)) visits.set(body.bucket_id, []);
    visits.get(body.bucket_id).push({ carry_m, contact: body.contact ?? "", landed });
  }
  return [...visits.values()];
}

/** Whether the server would count this ball for the card. */
function counts(shot, bucket, ball) {
  const plain = shot.mode === "swing" && !shot.aside && !shot.course && (shot.lie ?? "level") === "level" && !shot.flight;
  const [wind, force] = shot.wind ? [shot.wind, shot.wind_force] : [bucket.wind ?? "calm", bucket.wind_force ?? "light"];
  return plain && bucket.ball === ball && !bucket.aside && !(wind !== "calm" && force === "strong");
}

function show(key, { carry_m, trust: word, n, visits }) {
  const unit = document.documentElement.dataset.unit ?? document.body.dataset.unit;
  for (const element of document.querySelectorAll(`[data-cell="${CSS.escape(key)}"]`)) {
    element.dataset.trust = word;
    const parts = { trust: word, n, visits };
    for (const [name, text] of Object.entries(parts)) {
      for (const part of element.querySelectorAll(`[data-part="${name}"]`)) part.textContent = text;
    }
    for (const part of element.querySelectorAll('[data-part="carry"]')) {
      part.dataset.m = carry_m;
      part.textContent = whole(carry_m, unit);
    }
  }
}

function say(waiting, since) {
  const line = document.querySelector("[data-moved]");
  if (!line) return;
  const balls = since === 1 ? "1 ball" : `${since} balls`;
  const sentences = [];
  if (since) sentences.push(`${balls} since then moved the dial and the table; the yard pole keeps its places.`);
  if (waiting) sentences.push("A ball of an older visit was changed: its numbers are waiting for the server.");
  line.textContent = sentences.join(" ");
  line.hidden = !sentences.length;
}

/** The time the numbers were made, by the phone's own clock; the day too when it is not today. */
function sayWhen(as_of) {
  const made = new Date(as_of);
  const time = made.toLocaleTimeString([], { hour: "2-digit", minute: "2-digit", hourCycle: "h23" });
  const today = made.toDateString() === new Date().toDateString();
  const day = made.toLocaleDateString([], { day: "numeric", month: "short" });
  for (const element of document.querySelectorAll("[data-as-of]")) element.textContent = `as of ${today ? time : `${day}, ${time}`}`;
}

function firstOf(rows, root) {
  return rows.find((row) => row.id === root) ?? rows.find((row) => row.root === root);
}

function keyOf({ club_id, swing_deg }) {
  return `${club_id}:${swing_deg}`;
}
