// Owns what is true of the open bucket: its call, its balls, what a touch turns into; knows no element of the page.

import { askToStay, recall, remember } from "../db.js";
import { add, isFresh, newFact, prune, revise, rowsOf } from "../outbox.js";
import { CHECK_EVERY, FRESH_MS, KEPT_MS, OPEN_MS } from "../rules/constants.js";
import { nextCall } from "../rules/plan.js";
import { fold } from "../rules/shot.js";
import { isCardOnly } from "../ui/card_only.js";

const ODD_SPREADS = { clean: 4, "": 4, heavy: 6, thin: 6 }; // fat and bladed balls are far off by nature
const NEAR_SPREADS = 2;

/** Choices that stay in force from bucket to bucket, and those that start anew with each. */
const LASTING = { rain: false, direction: false, check: true, hide_number: false };
const PASSING = { call: null, wind: null, lie: "level", group: 0, grouped: [], warm_up: false };

/** The visit of this page: its data merged with what this phone noted since the page was made. */
export async function openVisit(data) {
  const visit = new Visit(data);
  visit.choices = { ...LASTING, ...PASSING, ...(await recall("choices")) };
  await visit.refresh();
  await visit.forgetOld();
  return visit;
}

class Visit {
  constructor(data) {
    this.data = data;
    this.facts = new Map();
    this.typical = new Map(data.cells.map((cell) => [`${cell.club_id}:${cell.swing_deg}`, cell]));
    this.undoable = null;
    this.moved = null;
  }

  /** Read again what this phone holds, since another tab may have noted something. */
  async refresh() {
    this.facts = new Map(this.data.facts.map((fact) => [fact.id, { ...fact, state: "taken", fresh_until: 0 }]));
    this.merge(await rowsOf(this.data.book));
  }

  /** The open bucket as {root, body}, or null between visits. */
  get bucket() {
    const open = [...this.shown.values()].filter((fact) => fact.kind === "bucket" && !fact.body.ended_at && !fact.body.aside);
    const begun = (fact) => this.begun.get(fact.root);
    const latest = open.sort((one, other) => (begun(one) < begun(other) ? 1 : -1))[0];
    if (!latest) return null;
    const last = this.shotsOf(latest.root).map((shot) => begun(shot)).at(-1) ?? begun(latest);
    return Date.now() - Date.parse(last) < OPEN_MS ? latest : null;
  }

  /** The balls of the open bucket in the order struck. */
  get shots() {
    const { bucket } = this;
    return bucket ? this.shotsOf(bucket.root) : [];
  }

  /** The call now in force: the player's own choice, else the plan's next, else that of the last ball. */
  get call() {
    const { bucket } = this;
    const { call } = this.choices;
    if (call?.bucket_id === bucket?.root) return this.withMeant(call);
    return this.planned ?? this.withMeant(this.shots.at(-1)?.body ?? this.firstCall);
  }

  /** The plan's next call, or null when there is no plan or it is done. */
  get planned() {
    const next = nextCall(this.bucket?.body.plan, this.shots.map((shot) => shot.body));
    return next && this.withMeant(next);
  }

  get firstCall() {
    const { clubs, swings } = this.data;
    const far = (swing) => Math.abs(swing.swing_deg - 90);
    const swing = [...swings].sort((one, other) => far(one) - far(other))[0];
    return { club_id: clubs[0].id, swing_deg: swing.swing_deg, mode: "swing", meant_carry_m: null };
  }

  cellOf({ club_id, swing_deg }) {
    return this.typical.get(`${club_id}:${swing_deg}`) ?? { typical_carry_m: 50, spread_m: 5, trust: "guess" };
  }

  /** The ball that a touch would move: the last one while it is fresh, unless balls are noted in groups. */
  get fresh() {
    const last = this.shots.at(-1);
    return last && !this.choices.group && isFresh(last) ? last : null;
  }

  /** How far the clock is from the last ball [ms]: one that was set back must not keep a question for years. */
  get sinceLast() {
    return Math.abs(Date.now() - Date.parse(this.begun.get(this.shots.at(-1)?.root)));
  }

  /** What the bucket before was like, so that the next can be the same; null when there was none. */
  get lastBucket() {
    const begun = (fact) => this.begun.get(fact.root);
    const known = [...this.shown.values()].filter((fact) => fact.kind === "bucket");
    const last = known.sort((one, other) => (begun(one) < begun(other) ? 1 : -1))[0]?.body ?? this.data.last_bucket;
    if (!last) return null;
    const { place, surface, ball, judged_by, bay_offset_m, monitor_note = "", flags_checked = "" } = last;
    return { place, surface, ball, judged_by, bay_offset_m, monitor_note, flags_checked };
  }

  /** Balls struck today, warm-up included. */
  get struckToday() {
    return this.data.balls.before_today + this.shots.length + (this.bucket.body.warm_up_balls ?? 0);
  }

  /** Whether the last ball is the one in ten that asks about its swing. */
  get asksCheck() {
    const { shots, choices } = this;
    return choices.check && shots.length > 0 && shots.length % CHECK_EVERY === 0 && !shots.at(-1).body.swing_check;
  }

  /** Whether a ball lies so far off its cell that it gets a ring; it is kept as entered all the same. */
  isOdd({ body }) {
    const cell = this.cellOf(body);
    const limit = ODD_SPREADS[body.contact];
    return body.carry_m !== null && limit !== undefined && this.spreadsOff(cell, body.carry_m) > limit;
  }

  /** A likelier carry in place of an odd one whose two digits may have been swapped, in the unit's whole numbers. */
  likelier(shot, toUnit, fromUnit) {
    const digits = String(toUnit(shot.body.carry_m));
    const swapped = Number([...digits].reverse().join(""));
    if (digits.length !== 2 || !this.isOdd(shot)) return null;
    return this.spreadsOff(this.cellOf(shot.body), fromUnit(swapped)) < NEAR_SPREADS ? swapped : null;
  }

  async begin(body) {
    await this.choose({ ...PASSING, warm_up: this.choices.warm_up });
    this.merge(await add(this.data.book, [newFact("bucket", body)]));
    askToStay(); // not before there is something to lose
    if (this.choices.warm_up) await this.change({ warm_up_balls: 0 });
  }

  /** Correct the open bucket's own fields. */
  async change(fields) {
    const { bucket } = this;
    await this.save([changed(bucket, fields)]);
  }

  async end() {
    await this.change({ ended_at: new Date().toISOString() });
    await this.choose(PASSING);
  }

  /** Warm-up balls are only counted; the counting rewrites one fact while touches follow within four seconds. */
  async warmUpBall() {
    const { bucket } = this;
    const warm_up_balls = (bucket.body.warm_up_balls ?? 0) + 1;
    await this.save([changed(bucket, { warm_up_balls })], Date.now() + FRESH_MS);
  }

  /** Note a ball by the call in force. */
  async record(reading) {
    this.settle();
    const { group } = this.choices;
    const fresh_until = group ? 0 : Date.now() + FRESH_MS;
    const [row] = await add(this.data.book, [newFact("shot", this.bodyOf(reading))], fresh_until);
    this.merge([row]);
    if (!group) return;
    const grouped = this.choices.grouped.length >= group ? [] : this.choices.grouped;
    await this.choose({ grouped: [...grouped, row.root] });
  }

  /** A second touch within four seconds: the ball moves, and what it was is remembered for "second ball". */
  async move(shot, reading) {
    this.moved = { root: shot.root, before: shot.body, reading };
    await this.save([changed(shot, reading)], Date.now() + FRESH_MS);
  }

  /** The move was a ball of its own after all: the first gets its place back. */
  async secondBall() {
    const { root, before, reading } = this.moved;
    this.moved = null;
    await this.save([{ root, kind: "shot", body: before }]);
    await this.record(reading);
  }

  /** Change some fields of a ball; a fresh one stays fresh as long as it was. */
  async correct(shot, fields) {
    const fresh_until = isFresh(shot) ? shot.fresh_until : 0;
    await this.save([changed(shot, fields)], fresh_until);
  }

  /** The wrong call for several balls: all from `root` on move to another cell, and so does the call. */
  async rightFrom(root, cell) {
    const { shots } = this;
    const from = shots.findIndex((shot) => shot.root === root);
    const wrong = shots.slice(from);
    const { call } = this.choices;
    const typical = this.cellOf(cell).typical_carry_m;
    const meant = ({ body }) => (body.mode === "distance" ? body.meant_carry_m : typical);
    await this.save(wrong.map((shot, place) => changed(shot, { ...cell, run_index: place + 1, meant_carry_m: meant(shot) })));
    await this.callFor({ ...cell, mode: this.call.mode, meant_carry_m: null });
    this.undoable = { call, before: wrong.map((shot) => changed(shot, {})) };
  }

  async undo() {
    const { before, call } = this.undoable;
    this.undoable = null;
    await this.save(before);
    await this.choose({ call });
  }

  /** Put another call in force for this bucket; null gives the word back to the plan. */
  callFor(call) {
    return this.choose({ call: call && { ...call, plan_ref: "", bucket_id: this.bucket.root } });
  }

  async choose(choices) {
    this.choices = { ...this.choices, ...choices };
    await remember("choices", this.choices);
  }

  /** Once the next ball is struck, what could be undone about the ones before is settled. */
  settle() {
    this.moved = null;
    this.undoable = null;
  }

  async forgetOld() {
    const open = this.bucket?.root;
    const old = [...this.facts.values()].filter((row) => {
      const bucket = row.kind === "shot" ? row.body?.bucket_id : row.root;
      return row.state === "taken" && bucket !== open && Date.now() - Date.parse(row.made_at) > KEPT_MS;
    });
    if (old.length) await prune(old.map((row) => row.id));
  }

  async save(revised, fresh_until = 0) {
    this.merge(await revise(this.data.book, revised, fresh_until));
  }

  merge(rows) {
    for (const row of rows) this.facts.set(row.id, row);
    this.shown = fold(this.facts.values());
    this.begun = new Map();
    for (const { root, made_at } of this.facts.values()) {
      if (!this.begun.has(root) || made_at < this.begun.get(root)) this.begun.set(root, made_at);
    }
  }

  shotsOf(bucket_id) {
    const shots = [...this.shown.values()].filter((fact) => fact.kind === "shot" && fact.body.bucket_id === bucket_id);
    return shots.sort((one, other) => (this.begun.get(one.root) < this.begun.get(other.root) ? -1 : 1));
  }

  withMeant({ club_id, swing_deg, mode, meant_carry_m, plan_ref = "" }) {
    const meant = meant_carry_m ?? this.cellOf({ club_id, swing_deg }).typical_carry_m;
    return { club_id, swing_deg, mode, meant_carry_m: meant, plan_ref };
  }

  bodyOf(reading) {
    const { bucket, call, choices } = this;
    const last = this.shots.at(-1)?.body;
    const same = last && ["club_id", "swing_deg", "mode"].every((name) => last[name] === call[name]);
    return {
      bucket_id: bucket.root, ...call, carry_m: null, contact: "", aside: false, judged_by: bucket.body.judged_by,
      run_index: same ? (last.run_index ?? 1) + 1 : 1, ...(choices.wind ?? {}), lie: choices.lie, coarse: false,
      course: isCardOnly(), ...reading, // during a round a ball is a course note and moves no number
    };
  }

  spreadsOff(cell, carry_m) {
    const offset_m = this.bucket?.body.bay_offset_m ?? 0;
    return Math.abs(carry_m + offset_m - cell.typical_carry_m) / cell.spread_m;
  }
}

function changed({ root, kind, body, made_at }, fields) {
  return { root, kind, body: { ...body, ...fields }, after: made_at };
}
