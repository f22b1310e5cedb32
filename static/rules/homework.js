// Owns homework in the player's own bag: what cannot be matched, the balls it becomes, which of them are struck, in words.
// Knows no code, page or store; webapp/practice/homework.py does the same, and tests/vectors/homework/ holds both to it.

import { keyOf } from "./cell.js";
import { HOMEWORK } from "./more_constants.js";
import { whole } from "./lengths.js";
import { parse, written } from "./plan.js";
import { counted } from "./words.js";

const RANGE = 2 ** 32;

/** The rows of homework with the wedges and swings of a bag, each with what is asked where something stands in. */
export function matched(homework, clubs, swings) {
  if (!clubs.length || !swings.length) return [];
  return homework.rows.map(({ cells: asked, balls, mode, carry_m }) => {
    const cells = new Map();
    const asks = new Set();
    for (const one of asked) {
      const club = clubOf(one, clubs);
      const swing = nearest(swings, (own) => Math.abs(own.swing_deg - one.swing_deg));
      cells.set(keyOf({ club_id: club.id, swing_deg: swing.swing_deg }), [club.id, swing.swing_deg]);
      if (club.loft_deg !== one.loft_deg) asks.add(standsIn(one, club));
      if (Math.abs(swing.swing_deg - one.swing_deg) > HOMEWORK.same_deg) asks.add(`No swing of ${one.swing_deg} degrees among yours: use ${swing.name}?`);
    }
    return { cells: [...cells.values()], balls, mode, carry_m, asks: [...asks] };
  });
}

/** The words of homework, each with its place: the rows in their order, then the words of its next-visit nine. */
export function planOf(id, rows, nine) {
  const own = id.slice(0, HOMEWORK.ref_letters);
  const calls = rows.flatMap(({ cells, balls, mode, carry_m }, place) =>
    dealt(cells, balls, parseInt(own, 16) + place).map(([club_id, swing_deg]) => ({ club_id, swing_deg, mode, meant_carry_m: carry_m, why: "lesson" })));
  const all = [...calls, ...nine.map(parse).filter(Boolean)].slice(0, HOMEWORK.calls);
  return all.map((call, place) => written({ ...call, homework_ref: `${own}.${place + 1}` }));
}

/** Cells in a mixed order that follows from `seed` alone: each as often as any other, never one twice running. */
export function dealt(cells, balls, seed) {
  const order = [];
  let number = seed % RANGE;
  while (order.length < balls) {
    const pack = [...cells];
    for (let place = pack.length - 1; place > 0; place -= 1) {
      number = (Math.imul(number, HOMEWORK.factor) + HOMEWORK.step) >>> 0;
      const other = Math.floor((number * (place + 1)) / RANGE);
      [pack[place], pack[other]] = [pack[other], pack[place]];
    }
    if (pack.length > 1 && order.length && same(pack[0], order.at(-1))) [pack[0], pack[1]] = [pack[1], pack[0]];
    order.push(...pack);
  }
  return order.slice(0, balls);
}

/** The distinct places of homework that balls were struck for, over all buckets, without what is set aside; `heirs` as in Python. */
export function placesStruck({ id, plan }, buckets, shots, heirs) {
  const plans = new Map(buckets.filter(({ aside }) => !aside).map((bucket) => [bucket.id, bucket.plan ?? []]));
  const places = shots.filter(({ aside }) => !aside).map((shot) => placeOf(id, plans.get(shot.bucket_id) ?? [], shot, heirs));
  return [...new Set(places.filter((place) => place > 0 && place <= plan.length))].sort((one, other) => one - other);
}

/** The words of homework whose place is not struck yet. */
export function left(plan, places) {
  return plan.filter((_, at) => !places.includes(at + 1));
}

/** Those of some words that belong to the next-visit nine, or those that do not. */
export function ofNine(words, nine) {
  return words.filter((word) => {
    const call = parse(word);
    return call && (call.why === "nine") === nine;
  });
}

/** Those of some words whose wedge is one of a bag's ids and whose length of swing [deg] is kept. */
export function strikable(words, bag, swings) {
  return words.filter((word) => bag.includes(parse(word)?.club_id) && swings.includes(parse(word).swing_deg));
}

/** What is said of those of some words whose wedge left the bag, or else whose swing was left out. */
export function goneWords(words, bag, swings) {
  const calls = words.map(parse).filter(Boolean);
  const there = calls.filter(({ club_id }) => bag.includes(club_id));
  const out = there.filter(({ swing_deg }) => !swings.includes(swing_deg));
  return goneTo(calls.length - there.length, "a wedge that left your bag") + goneTo(out.length, "a swing you left out");
}

/** What homework asks of its player: "26 balls, about 30 minutes". */
export function headWords(balls) {
  const minutes = Math.max(1, Math.floor((balls * HOMEWORK.seconds_a_ball) / 60 / HOMEWORK.step_min + 0.5)) * HOMEWORK.step_min;
  return `${counted(balls, "ball")}, about ${minutes} minutes`;
}

/** What homework says of its next-visit nine, whose last day is called `day`: also that this has gone by. */
export function nineWords(nine_by, day, today) {
  const gone = nine_by < today ? ", a day gone by: strike it anyway, or ask your coach" : "";
  return `Next-visit nine by ${day}${gone}`;
}

/** The balls of a plan's words as rows: those that follow each other with the same call are one. */
export function runsOf(words) {
  const runs = [];
  for (const { club_id, swing_deg, mode, meant_carry_m: carry_m } of words.map(parse).filter(Boolean)) {
    const last = runs.at(-1);
    if (last && same(last.cells[0], [club_id, swing_deg]) && last.mode === mode && last.carry_m === carry_m) last.balls += 1;
    else runs.push({ cells: [[club_id, swing_deg]], balls: 1, mode, carry_m, asks: [] });
  }
  return runs;
}

/** A row as a reader sees it: "56 9:00: 5 balls, make the swing". */
export function rowWords({ cells, balls, mode, carry_m }, clubs, swings, unit) {
  const named = ([club_id, swing_deg]) =>
    `${clubs.find(({ id }) => id === club_id).name} ${swings.find((swing) => swing.swing_deg === swing_deg).name}`;
  const names = cells.map(named).join(", ");
  const number = carry_m === null ? "the number" : `${whole(carry_m, unit)} ${unit}`;
  const words = mode === "swing" ? "make the swing" : `hit ${number}`;
  return cells.length > 1 ? `${counted(balls, "mixed ball")}, ${words}: ${names}` : `${names}: ${counted(balls, "ball")}, ${words}`;
}

function goneTo(balls, what) {
  return balls ? ` ${counted(balls, "ball")} of it ask${balls === 1 ? "s" : ""} for ${what}.` : "";
}

function placeOf(id, plan, shot, heirs) {
  const named = /^[1-9]\d{0,2}$/.test(shot.plan_ref ?? "") ? Number(shot.plan_ref) : 0;
  const call = parse(plan[named - 1] ?? "");
  const [own, place] = (call?.homework_ref ?? "").split(".");
  if (own !== id.slice(0, HOMEWORK.ref_letters) || Math.abs(call.swing_deg - shot.swing_deg) > HOMEWORK.same_deg) return 0;
  const [called, struckWith] = [call, shot].map(({ club_id }) => heirs[club_id] || club_id);
  return called === struckWith ? Number(place) : 0;
}

/** The question whether a wedge may stand in: by name, or by loft where the names are the same. */
function standsIn({ name, loft_deg }, club) {
  if (club.name === name) return `No ${name} of ${loft_deg}° in your bag: use the one of ${club.loft_deg}°?`;
  return `No ${name} in your bag: use the ${club.name}?`;
}

/** The wedge asked for, else the one of the nearest loft, of two the one of its name. */
function clubOf({ name, loft_deg }, clubs) {
  const near = Math.min(...clubs.map((club) => Math.abs(club.loft_deg - loft_deg)));
  const some = clubs.filter((club) => Math.abs(club.loft_deg - loft_deg) === near);
  return some.find((club) => club.name === name) ?? some[0];
}

function nearest(some, far) {
  return some.reduce((best, one) => (far(one) < far(best) ? one : best));
}

function same([club_id, swing_deg], [other_id, other_deg]) {
  return club_id === other_id && swing_deg === other_deg;
}
