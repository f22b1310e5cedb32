// Owns what is true of the open bucket, and what each deed of the player writes: state and event in, facts and choices
// out. Knows no page, no store and no clock: the moment comes with the event.
// `state` is {data, rows, choices, card_only}: the page's data, the facts on this phone, the choices in force.

import { CHECK_EVERY, FRESH_MS, GO_ON_MS, MOST_WARM_UP, OPEN_MS } from "./constants.js";
import { done, nextCall, parse, written } from "./plan.js";
import { fold, isFresh } from "./shot.js";

/** Choices that stay in force from bucket to bucket, and those that start anew with each. */
const LASTING = { rain: false, direction: false, check: true, hide_number: false, hide_dots: false };
const PASSING = {
  call: null, wind: null, lie: "level", flight: "", judged_by: "", group: 0, grouped: [], warm_up: 0, undo: null,
  bucket_id: "",
};

/** The choices of a phone that kept these, none at first. */
export function choicesFrom(kept) {
  return { ...LASTING, ...PASSING, ...kept };
}

/** Everything the page shows of a state at a moment [ms]. */
export function look({ data, rows, choices }, now) {
  const here = new Set(rows.map(({ id }) => id));
  const facts = [...data.facts.filter(({ id }) => !here.has(id)).map((fact) => ({ ...fact, state: "taken" })), ...rows];
  const ofRoot = new Map();
  for (const fact of facts) ofRoot.set(fact.root, [...(ofRoot.get(fact.root) ?? []), fact]);
  const begun = new Map([...ofRoot].map(([root, own]) => [root, own.map(({ made_at }) => made_at).sort()[0]]));
  const byTime = (one, other) => (begun.get(one.root) < begun.get(other.root) ? -1 : 1);
  const shown = [...fold(facts).values()].sort(byTime);
  const buckets = shown.filter(({ kind }) => kind === "bucket");
  const shotsOf = new Map(buckets.map((bucket) => [
    bucket, shown.filter((fact) => fact.kind === "shot" && fact.body.bucket_id === bucket.root).map((fact) => shotOf(data, fact, ofRoot.get(fact.root))),
  ]));
  const lastAt = (bucket) => Date.parse(begun.get(shotsOf.get(bucket).at(-1)?.root ?? bucket.root));
  // A bucket that comes from another phone takes nobody out of their own.
  const own = buckets.find(({ root }) => root === choices.bucket_id);
  const open = buckets.filter((one) => !one.body.ended_at && !one.body.aside && now - lastAt(one) < OPEN_MS);
  const bucket = open.find((one) => one === own) ?? open.at(-1) ?? null;
  const shots = shotsOf.get(bucket) ?? [];
  const last = shots.at(-1) ?? null;
  const sinceLast = last ? Math.abs(now - Date.parse(begun.get(last.root))) : Infinity; // a clock may be set back
  const fresh = last && !choices.group && isFresh(last, now) ? last : null;
  const next = bucket && nextOf(data, bucket, shots, choices);
  const asks = fresh?.body.landed === "unseen" && fresh.body.contact === "" ? fresh : null;
  const moves = fresh && fresh.body.landed !== "unseen" ? fresh : null;
  const of = asks ?? moves;
  const said = buckets.at(-1)?.body ?? data.last_bucket;
  return {
    bucket, shots, last, fresh, asks, moves, next,
    call: of ? withMeant(data, of.body) : next,
    sinceLast,
    checks: choices.check && shots.length > 0 && shots.length % CHECK_EVERY === 0 && !last.body.swing_check,
    planned: planOf(data, bucket, shots, choices),
    lastBucket: said ? lasting(said) : null,
    struck: buckets.map((one) => struckIn(one, begun.get(one.root), shotsOf.get(one))),
    ended: bucket ? null : endedLately(own ?? buckets.at(-1), now),
    lastBegun: begun.get(last?.root),
  };
}

/**
 * What a deed writes: `added` facts, `changed` roots (as outbox.js takes them) and the choices after it.
 * A deed that means nothing now writes nothing.
 */
export function step(state, event) {
  const seen = look(state, event.now);
  const deed = DEEDS[event.type];
  const outcome = { added: [], changed: [], choices: state.choices, ...deed(state, seen, event) };
  // What can be undone is the deed just done: later it would take back what was done since.
  return event.type === "right" ? outcome : { ...outcome, choices: { ...outcome.choices, undo: null } };
}

/** A call with the carry that is meant: its own, else the typical one of its cell. */
export function withMeant(data, { club_id, swing_deg, mode, meant_carry_m, plan_ref = "", why = "" }) {
  const meant = meant_carry_m ?? cellOf(data, { club_id, swing_deg }).typical_carry_m;
  return { club_id, swing_deg, mode, meant_carry_m: meant, plan_ref, why };
}

/** What is known of a cell; a place-holder where the card has none. */
export function cellOf({ cells }, { club_id, swing_deg }) {
  const found = cells.find((cell) => cell.club_id === club_id && cell.swing_deg === swing_deg);
  return found ?? { typical_carry_m: 50, spread_m: 5, trust: "guess", n: 0 };
}

/** A wedge by its id, also one that left the bag. */
export function clubOf({ clubs, left_bag = [] }, id) {
  return [...clubs, ...left_bag].find((club) => club.id === id);
}

/** How a wedge and a swing are called, and the two together: "56 9:00". */
export function namesOf(data, { club_id, swing_deg }) {
  const club = clubOf(data, club_id)?.name ?? "a wedge";
  const swing = data.swings.find((one) => one.swing_deg === swing_deg)?.name ?? data.left_swings?.[swing_deg] ?? `${swing_deg}°`;
  return { club, swing, named: `${club} ${swing}` };
}

const DEEDS = {
  /** A touch on the ground, a typed ball, "lost sight" or "shank": it names a strike, moves the fresh ball, or is new. */
  touch(state, seen, { reading, typed = false, now }) {
    if (seen.asks && reading.landed === "unseen" && reading.contact) return { changed: [changed(seen.asks, { contact: reading.contact }, seen.asks)] };
    const apart = reading.landed === "unseen" || reading.contact === "shank" || typed;
    if (seen.moves && !apart) {
      const touches = [...seen.moves.touches, reading];
      return { changed: [{ ...changed(seen.moves, reading, seen.moves), touches }] };
    }
    return noted(state, seen, reading, typed, now);
  },
  correct: (state, seen, { root, fields }) => {
    const shot = seen.shots.find((one) => one.root === root);
    return shot ? { changed: [changed(shot, fields, shot)] } : {};
  },
  /** The touches that moved a ball become balls of their own, in order; the stored ball goes back to the first. */
  split(state, seen, { root }) {
    const shot = seen.shots.find((one) => one.root === root);
    if (!shot || shot.touches.length < 2) return {};
    const [first, ...others] = shot.touches;
    const plan = planIn(state.data, seen.bucket);
    const struck = seen.shots.map(({ body }) => body);
    const added = others.map((reading, place) => {
      const due = nextCall(plan, struck);
      const body = { ...shot.body, ...reading, run_index: shot.body.run_index + place + 1, plan_ref: due && sameCall(state.data, due, shot.body) ? due.plan_ref : "" };
      delete body.direction;
      delete body.swing_check;
      struck.push(body);
      return { kind: "shot", body, after: seen.lastBegun, fresh_until: 0 };
    });
    return { changed: [{ ...changed(shot, first), touches: [first], fresh_until: 0 }], added };
  },
  /** The wrong call for several balls: all from one on move to another cell, and so does the call. */
  right(state, seen, { root, cell }) {
    const from = seen.shots.findIndex((shot) => shot.root === root);
    if (from < 0) return {};
    const wrong = seen.shots.slice(from);
    const typical = cellOf(state.data, cell).typical_carry_m;
    const meant = ({ body }) => (body.mode === "distance" ? body.meant_carry_m : typical);
    const call = { ...cell, mode: seen.next.mode, meant_carry_m: null, plan_ref: "", bucket_id: seen.bucket.root };
    return {
      changed: wrong.map((shot, place) => changed(shot, { ...cell, run_index: place + 1, meant_carry_m: meant(shot) })),
      choices: { ...state.choices, call, undo: { call: state.choices.call, before: wrong.map(({ root: of, body }) => ({ root: of, body })) } },
    };
  },
  undo(state, seen) {
    const { undo } = state.choices;
    const back = (undo?.before ?? []).map(({ root, body }) => [seen.shots.find((shot) => shot.root === root), body]);
    return {
      changed: back.filter(([shot]) => shot).map(([shot, body]) => changed(shot, body)),
      choices: { ...state.choices, call: undo?.call ?? null },
    };
  },
  /** Put another call in force for this bucket; null, or the call that the plan asks for, gives the word back to the plan. */
  call({ data, choices }, { bucket, shots }, { call }) {
    const due = dueCall(data, bucket, shots);
    const own = call && !(due && alike(due, call) && sameMeant(data, due, call));
    return { choices: { ...choices, call: own ? { ...call, plan_ref: "", why: "", bucket_id: bucket.root } : null } };
  },
  /** Make the swing or hit the number, from the next ball on; where the plan asks for that, by its number. */
  mode(state, seen, { mode }) {
    const due = dueCall(state.data, seen.bucket, seen.shots);
    const call = { ...seen.next, meant_carry_m: null, mode };
    return DEEDS.call(state, seen, { call: due && alike(due, call) ? null : call });
  },
  choose(state, { bucket }, { choices }) {
    const back = choices.judged_by && choices.judged_by === bucket?.body.judged_by ? { judged_by: "" } : {}; // goes by the bucket again
    return { choices: { ...state.choices, ...choices, ...back } };
  },
  change: (state, seen, { fields }) => ({ changed: [changed(seen.bucket, fields)] }),
  begin: (state, seen, { body, warm_up = 0 }) => ({
    added: [{ kind: "bucket", body: warm_up ? { ...body, warm_up_balls: 0 } : body, fresh_until: 0 }],
    choices: { ...state.choices, ...PASSING, warm_up },
  }),
  /** Warm-up balls are only counted; the counting rewrites one fact while touches follow within four seconds. */
  warm(state, seen, { now }) {
    const warm_up_balls = (seen.bucket.body.warm_up_balls ?? 0) + 1;
    const done = warm_up_balls >= state.choices.warm_up;
    return {
      changed: [{ ...changed(seen.bucket, { warm_up_balls }), fresh_until: now + FRESH_MS }],
      choices: done ? { ...state.choices, warm_up: 0 } : state.choices,
    };
  },
  end: (state, seen, { now }) => ({
    changed: [changed(seen.bucket, { ended_at: new Date(now).toISOString() })],
    choices: { ...state.choices, call: null, grouped: [] },
  }),
  /** For ten minutes after its end a bucket can be gone on with. */
  go_on: (state, seen) => (seen.ended ? { changed: [changed(seen.ended, { ended_at: null })] } : {}),
};

function noted({ data, choices, card_only }, seen, reading, typed, now) {
  const { bucket, shots, next } = seen;
  const { group, wind, lie, flight, judged_by } = choices;
  const before = shots.at(-1)?.body;
  const same = before && alike(before, next);
  const { why, ...call } = next;
  const asBucket = bucket.body.judged_by;
  const body = {
    bucket_id: bucket.root, ...call, carry_m: null, contact: "", aside: false, judged_by: judged_by || asBucket,
    judged_apart: Boolean(judged_by) && judged_by !== asBucket,
    run_index: same ? (before.run_index ?? 1) + 1 : 1, ...(wind ?? {}), lie, ...(flight ? { flight } : {}), coarse: false,
    course: Boolean(card_only), ...reading, // during a round a ball is a course note and moves no number
  };
  const full = choices.grouped.length >= group;
  return {
    // Made later than the ball before it, also where that came from a phone whose clock runs ahead.
    added: [{ kind: "shot", body, after: seen.lastBegun, fresh_until: group ? 0 : now + FRESH_MS, touches: [reading], typed }],
    choices: { ...choices, grouped: full ? [] : choices.grouped, bucket_id: bucket.root },
  };
}

function nextOf(data, bucket, shots, choices) {
  const { call } = choices;
  const chosen = call?.bucket_id === bucket.root && ofTheBag(data, call);
  if (chosen) return withMeant(data, chosen);
  const due = dueCall(data, bucket, shots);
  if (due) return withMeant(data, due);
  const last = shots.length ? ofTheBag(data, shots.at(-1).body) : null;
  // After the plan's last ball the call stays and the mode goes back, so that no free ball is called to a number unseen.
  if (last?.plan_ref && last.mode === "distance") return withMeant(data, { ...last, plan_ref: "", mode: "swing", meant_carry_m: null });
  return withMeant(data, last ? { ...last, plan_ref: "" } : firstCall(data));
}

/** What the bucket's plan asks of the next ball, or null. */
function dueCall(data, bucket, shots) {
  return nextCall(planIn(data, bucket), shots.map(({ body }) => body));
}

/**
 * The same call with a wedge of today's bag: its own, or the one that took its place. Null where neither is there, or the
 * swing was left out: the card knows no carry of it, so one would be made up.
 */
function ofTheBag(data, call) {
  if (!data.swings.some(({ swing_deg }) => swing_deg === call.swing_deg)) return null;
  const inBag = (id) => data.clubs.some((club) => club.id === id);
  if (inBag(call.club_id)) return call;
  const heir = clubOf(data, call.club_id)?.heir;
  return inBag(heir) ? { ...call, club_id: heir, meant_carry_m: call.mode === "distance" ? call.meant_carry_m : null } : null;
}

/** A bucket's plan with wedges and swings of today's card; other words are empty, so that calls pass them over and places stay. */
function planIn(data, { body: { plan = [] } }) {
  return plan.map((word) => {
    const call = ofTheBag(data, parse(word) ?? {});
    return call ? written(call) : "";
  });
}

function firstCall({ clubs, swings }) {
  const far = (swing) => Math.abs(swing.swing_deg - 90);
  const nearest = swings.reduce((best, swing) => (far(swing) < far(best) ? swing : best));
  return { club_id: clubs[0].id, swing_deg: nearest.swing_deg, mode: "swing", meant_carry_m: null };
}

/**
 * How far the bucket has got: balls struck, of how many (those to come, with the warm-up that its plan still lets), whether
 * its plan is done, and how many balls of it lost their wedge or swing.
 */
function planOf(data, bucket, shots, { warm_up }) {
  if (!bucket) return null;
  const warm = bucket.body.warm_up_balls ?? 0;
  const plan = planIn(data, bucket);
  const behind = done(shots.map(({ body }) => body));
  const toCome = plan.slice(behind).filter(Boolean).length;
  const struck = shots.length + (plan.length ? warm : 0);
  const toWarm = warm_up > MOST_WARM_UP ? 0 : Math.max(0, warm_up - warm); // a longer one is the player's own to end
  const of = toCome ? struck + toWarm + toCome : plan.length && behind + warm;
  const places = shots.map(({ body }) => body.plan_ref);
  const gone = plan.filter((word, at) => !word && !places.includes(String(at + 1))).length;
  return { struck, of, done: plan.length > 0 && !toCome, gone };
}

/** A bucket as rules/limits.js counts it. */
function struckIn({ root, body: { utc_offset_min, warm_up_balls } }, begun_at, { length }) {
  return { id: root, begun_at, utc_offset_min, n: length + (warm_up_balls ?? 0) };
}

function endedLately(bucket, now) {
  const since = bucket?.body.ended_at ? now - Date.parse(bucket.body.ended_at) : Infinity;
  return since >= 0 && since < GO_ON_MS ? bucket : null;
}

function lasting({ place, surface, ball, judged_by, bay_offset_m, monitor_note = "", flags_checked = "" }) {
  return { place, surface, ball, judged_by, bay_offset_m, monitor_note, flags_checked };
}

function alike(one, other) {
  return ["club_id", "swing_deg", "mode"].every((name) => one[name] === other[name]);
}

function sameMeant(data, one, other) {
  return Math.abs(withMeant(data, one).meant_carry_m - withMeant(data, other).meant_carry_m) < 0.01;
}

function sameCall(data, one, other) {
  return alike(one, other) && (one.mode === "swing" || sameMeant(data, one, other));
}

/**
 * What the phone alone knows of a ball stands on its rows: the touches that moved it, and that it was typed. A correction
 * from elsewhere may leave out a carry that nobody saw, and name a wedge that came since this page was made, or the one
 * before the ball's own, which was undone since: until the page is made anew the ball keeps the wedge that it knows.
 */
function shotOf(data, fact, own) {
  const said = [...own, fact].map(({ body }) => clubOf(data, body?.club_id)).filter(Boolean);
  const { id } = said.find((club) => club.id === said.at(-1).heir) ?? said.at(-1) ?? { id: fact.body.club_id };
  const touched = own.filter(({ touches }) => touches).sort((one, other) => (one.made_at < other.made_at ? 1 : -1))[0];
  return { ...fact, body: { carry_m: null, ...fact.body, club_id: id }, touches: touched?.touches ?? [], typed: own.some(({ typed }) => typed) };
}

function changed({ root, kind = "shot", body, made_at }, fields, fresh) {
  return { root, kind, body: { ...body, ...fields }, after: made_at, fresh_until: fresh?.fresh_until ?? 0 };
}
