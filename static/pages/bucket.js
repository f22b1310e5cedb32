// Owns the bucket page: which of its parts shows what, and what a touch on each of them asks of the visit.

import { armDrawing } from "../ui/arm.js";
import { fromM, toM } from "../rules/lengths.js";
import { preferred } from "../ui/preferences.js";
import { changes } from "../outbox.js";
import { ballButton, drawBalls, whenTouched } from "./balls.js";
import { bindMore, fillMore } from "./more.js";
import { bindOpening, drawOpening } from "./opening.js";
import { landingPatch, spoken } from "./patch.js";
import { limitWords } from "../rules/limits.js";
import { COVER_MS, OFFER_MS } from "../rules/constants.js";
import { laneAt, scaleOf, stepOf } from "../rules/scale.js";
import { asksLane, drawStrip, mirrorOffer, offerOf } from "./strip.js";
import { callWords, drawSwings } from "./swings.js";
import { openVisit } from "./visit.js";

const CALL_MS = 2000; // the plan's next call waits this long, so that the phone goes down first

const part = (id) => document.getElementById(id);

export async function start(data) {
  if (!data?.clubs.length) return;
  const visit = await openVisit(data);
  new BucketPage(data, visit).begin();
}

class BucketPage {
  constructor(data, visit) {
    Object.assign(this, { data, visit, selected: null, sheet: null, wrong_cell: null, timers: {}, doing: Promise.resolve() });
  }

  get unit() {
    return document.body.dataset.unit;
  }

  begin() {
    const { visit, data } = this;
    this.drawPatch = landingPatch(part("patch"), part("readout"), (reading) => this.act(() => this.read(reading)));
    bindOpening(part("opening"), visit, () => this.unit, (body) => this.act(() => visit.begin(body)));
    bindMore(part("more"), visit, () => this.unit, {
      changed: () => this.draw(),
      record: (reading) => this.act(async () => { await this.place(reading); this.show(null); }),
      end: () => this.act(() => this.finish()),
      say: (text) => this.say(text),
    });
    for (const button of document.querySelectorAll("[data-sheet]")) {
      button.addEventListener("click", () => this.show(button.dataset.sheet || null));
    }
    for (const button of document.querySelectorAll("[data-mode]")) {
      button.addEventListener("click", () => this.act(() => visit.callFor({ ...visit.call, mode: button.dataset.mode })));
    }
    part("to-plan").addEventListener("click", () => this.act(async () => { await visit.callFor(null); this.show(null); }));
    part("meant").addEventListener("change", (event) => this.act(() => visit.callFor({ ...visit.call, meant_carry_m: toM(Number(event.target.value), this.unit) })));
    whenTouched(part("lost"), {
      ontap: () => this.act(() => this.read({ contact: "", landed: "unseen", value: null })),
      ondrop: (x, y) => this.dropLost(x, y),
    });
    part("shank").addEventListener("click", () => this.act(() => this.read({ contact: "shank", landed: "unseen", value: null })));
    part("aside").addEventListener("click", () => this.act(() => this.setAside(this.target)));
    part("warm-ball").addEventListener("click", () => this.act(() => visit.warmUpBall()));
    part("warm-done").addEventListener("click", () => this.act(() => visit.choose({ warm_up: false })));
    part("cover").addEventListener("click", () => this.cover(false));
    document.addEventListener("pointerdown", () => { this.pressed = true; this.idle(); }, { capture: true });
    for (const end of ["pointerup", "pointercancel"]) addEventListener(end, () => this.lifted());
    document.addEventListener("visibilitychange", () => { if (!document.hidden) this.act(() => visit.refresh()); });
    document.addEventListener("keydown", (event) => { if (event.key === "Escape" && this.sheet) this.show(null); });
    changes.addEventListener("change", () => this.refreshSoon());
    preferred.addEventListener("change", () => this.draw());
    document.body.classList.add("scripted");
    this.idle();
    this.draw();
  }

  /** Run one deed after the other and draw; a failed write says so and leaves everything as it was. */
  act(deed, { quiet = false } = {}) {
    const done = this.doing.then(deed).catch((error) => {
      if (!quiet) this.say(`This could not be saved on this phone (${error.name}), so it was not noted. Make room, then touch again.`, true);
    }).then(() => {
      this.draw();
      if (this.doing === done) document.body.dataset.busy = "false";
    });
    document.body.dataset.busy = "true";
    this.doing = done;
    return done;
  }

  /** A finished touch: it changes the reopened ball, moves the fresh one, or notes a new one. */
  async read(reading) {
    const { visit } = this;
    const { fresh } = visit;
    const fields = this.fieldsOf(reading);
    if (!this.selected && fresh && asksLane(fresh) && reading.landed !== "unseen") {
      await visit.correct(fresh, { contact: reading.contact });
      return this.say(`lost sight, ${reading.contact}`);
    }
    return this.place(fields, spoken(reading));
  }

  async place(fields, words = fields.contact) {
    const { visit } = this;
    const reopened = visit.shots.find((shot) => shot.root === this.selected);
    this.selected = null;
    if (reopened) {
      await visit.correct(reopened, fields);
      return this.say(`changed to ${words}`);
    }
    const { fresh } = visit;
    if (fresh) {
      await visit.move(fresh, fields);
      return this.say(`moved to ${words}`);
    }
    await visit.record(fields);
    navigator.vibrate?.(15);
    return this.say(`ball ${visit.shots.length}: ${words}, saved on this phone`);
  }

  fieldsOf({ value, contact, landed, length }) {
    const carry_m = landed === "seen" ? toM(value, this.unit) : null;
    return { carry_m, contact, landed, coarse: length !== undefined };
  }

  dropLost(x, y) {
    const { left, top, right, bottom, width, height } = part("patch").getBoundingClientRect();
    if (x < left || x > right || y < top || y > bottom) return;
    const contact = laneAt(scaleOf({ meant: 1, step: 1, width, height }), x - left);
    this.act(() => this.place({ carry_m: null, contact, landed: "unseen", coarse: false }, `lost sight, ${contact}`));
  }

  /** The ball that "set aside" speaks of: the reopened one, else the last. */
  get target() {
    const { shots } = this.visit;
    return shots.find((shot) => shot.root === this.selected) ?? shots.at(-1);
  }

  async setAside(shot) {
    if (!shot) return;
    await this.visit.correct(shot, { aside: !shot.body.aside });
    this.selected = null;
    this.say(shot.body.aside ? "counted again" : "set aside");
  }

  async finish() {
    part("visit").href = `/visits/${this.visit.bucket.root}`;
    await this.visit.end();
    part("ended").hidden = false;
    this.show(null);
    this.say(`${part("count").textContent} noted.`, true);
  }

  async pick({ club_id, swing_deg, meant_carry_m }) {
    const { visit } = this;
    if (this.sheet === "wrong") {
      this.wrong_cell = { club_id, swing_deg };
      return this.show("which");
    }
    await visit.callFor({ club_id, swing_deg, meant_carry_m, mode: visit.call.mode });
    return this.show(null);
  }

  async wrongFrom(root) {
    await this.visit.rightFrom(root, this.wrong_cell);
    this.show(null);
  }

  show(sheet) {
    this.sheet = sheet;
    if (sheet === "more") fillMore(part("more"), this.visit, this.unit);
    this.draw();
    const opened = { more: "more", swings: "swings", wrong: "swings", which: "which" }[sheet];
    if (opened) part(opened).querySelector("h2").focus({ preventScroll: true });
  }

  /** What the server or another tab did shows a moment later, so that it never stands between two balls. */
  refreshSoon() {
    clearTimeout(this.timers.refresh);
    this.timers.refresh = setTimeout(() => this.act(() => this.visit.refresh(), { quiet: true }), 250);
  }

  /** What waited for the finger is drawn once the click that follows the lift has found its button. */
  lifted() {
    this.pressed = false;
    if (this.stale) setTimeout(() => this.draw(), 60);
  }

  draw() {
    this.stale = this.pressed;
    if (this.pressed) return;
    const { bucket } = this.visit;
    document.body.classList.toggle("hitting", Boolean(bucket));
    part("opening").hidden = Boolean(bucket);
    part("hitting").hidden = !bucket;
    // How far the balls have got is said beside their number, also once the bucket is ended.
    const number = part(bucket ? "count" : "said");
    if (number.nextElementSibling !== part("saved")) number.after(part("saved"));
    this.stayAwake(Boolean(bucket));
    if (bucket) this.drawHitting();
    else drawOpening(part("opening"), this.visit);
  }

  drawHitting() {
    const { visit, data, unit, sheet } = this;
    const { shots, choices } = visit;
    const reopened = shots.find((shot) => shot.root === this.selected);
    this.drawHead(reopened);
    drawBalls(part("balls"), visit, this.selected, unit, {
      select: (root) => { this.selected = this.selected === root ? null : root; this.draw(); },
      setAside: (root) => this.act(() => this.setAside(visit.shots.find((shot) => shot.root === root))),
    });
    drawStrip(part("strip"), reopened ? mirrorOffer(visit, reopened, unit) : offerOf(visit, unit), (deed) => this.act(deed));
    const limit = limitWords(visit.struckToday, data.balls.limit);
    part("limit").hidden = !limit;
    part("limit").textContent = limit;
    const warm = choices.warm_up;
    part("warm").hidden = !warm || Boolean(sheet);
    part("patch").hidden = warm || Boolean(sheet);
    part("swings").hidden = sheet !== "swings" && sheet !== "wrong";
    part("which").hidden = sheet !== "which";
    part("more").hidden = sheet !== "more";
    if (sheet === "swings" || sheet === "wrong") this.drawSheet();
    if (sheet === "which") this.drawWhich();
    part("warm-count").textContent = visit.bucket.body.warm_up_balls ?? 0;
    const aside = this.target?.body.aside;
    part("aside").textContent = aside ? "restore" : "set aside";
    part("aside").disabled = !this.target;
    this.drawGround(reopened);
    this.drawAgainWhenDue();
  }

  /** The call, large; while the last ball is fresh its own call stays, since a touch would still move that ball. */
  drawHead(reopened) {
    const { visit, data, unit } = this;
    const waits = this.betweenCalls;
    const call = reopened ? visit.withMeant(reopened.body) : visit.call;
    const { club, swing, meant } = callWords(data, call, unit);
    const head = part("call");
    head.classList.toggle("by-distance", call.mode === "distance");
    head.classList.toggle("between", waits && !reopened);
    head.querySelector(".club-name").textContent = club;
    head.querySelector(".arm-place").replaceChildren(armDrawing(call.swing_deg, data.mirrored));
    head.querySelector(".swing-name").textContent = swing;
    const number = head.querySelector(".meant-number");
    number.textContent = meant;
    number.dataset.m = call.meant_carry_m;
    number.hidden = visit.choices.hide_number && call.mode === "swing";
    const mode = call.mode === "swing" ? "make the swing" : "hit the number";
    head.querySelector(".mode").textContent = reopened ? `ball ${visit.shots.indexOf(reopened) + 1}: touch where it came down` : mode;
    part("count").textContent = visit.shots.length === 1 ? "1 ball" : `${visit.shots.length} balls`;
  }

  /** The call that a touch speaks of now: the reopened ball's, the fresh ball's, else the next. */
  drawGround(reopened) {
    const { visit, unit } = this;
    if (part("patch").hidden) return;
    const { choices, bucket } = visit;
    const of = reopened ?? visit.fresh;
    const call = of ? visit.withMeant(of.body) : visit.call;
    const step = stepOf(bucket.body.judged_by);
    // The range's figures are measured from its own line: the bay's offset is taken off what the player should see.
    const meant = fromM(call.meant_carry_m - (bucket.body.bay_offset_m ?? 0), unit);
    const hidden = choices.hide_number && call.mode === "swing";
    const fine = bucket.body.judged_by === "laser" || bucket.body.judged_by === "monitor";
    this.drawPatch({ meant: Math.max(meant, 5), step, hidden, rain: choices.rain, at_once: fine && !choices.rain, marks: this.marks(of) });
  }

  /** Dots on the patch: the ball a touch would move, or the numbered balls of the group being noted. */
  marks(moving) {
    const { visit, unit } = this;
    const { group, grouped } = visit.choices;
    const shown = group ? visit.shots.filter((shot) => grouped.includes(shot.root)) : [moving].filter(Boolean);
    return shown.filter(({ body }) => body.landed !== "unseen").map(({ body }, place) => ({
      value: body.carry_m === null ? null : fromM(body.carry_m, unit), contact: body.contact, landed: body.landed, label: group ? String(place + 1) : "",
    }));
  }

  drawSheet() {
    const { visit, data, unit, sheet } = this;
    part("swings").querySelector("h2").textContent = sheet === "wrong" ? "Which was it really?" : "Next call";
    part("sheet-tools").hidden = sheet === "wrong";
    part("meant").value = Math.round(fromM(visit.call.meant_carry_m, unit));
    part("to-plan").hidden = !visit.planned || visit.choices.call === null;
    for (const button of document.querySelectorAll("[data-mode]")) button.setAttribute("aria-pressed", String(button.dataset.mode === visit.call.mode));
    drawSwings(part("cells"), part("readout"), { data, visit, unit, onpick: (cell) => this.act(() => this.pick(cell)) });
  }

  drawWhich() {
    const { visit, unit } = this;
    const items = visit.shots.map((shot, place) => {
      const button = ballButton(visit, shot, place + 1, unit);
      button.addEventListener("click", () => this.act(() => this.wrongFrom(shot.root)));
      const item = document.createElement("li");
      item.append(button);
      return item;
    });
    part("which-balls").replaceChildren(...items);
    part("which-balls").lastElementChild?.scrollIntoView({ block: "nearest" });
  }

  /** Whether the plan's next call is still held back, two seconds long. */
  get betweenCalls() {
    const { shots, sinceLast } = this.visit;
    return Boolean(shots.at(-1)?.body.plan_ref) && sinceLast < CALL_MS;
  }

  drawAgainWhenDue() {
    clearTimeout(this.timers.due);
    const { sinceLast, shots } = this.visit;
    const left = [shots.at(-1)?.fresh_until - Date.now(), OFFER_MS - sinceLast, CALL_MS - sinceLast].filter((ms) => ms > 0 && ms < COVER_MS);
    if (left.length) this.timers.due = setTimeout(() => this.draw(), Math.min(...left));
  }

  /** After a while without a touch the page is covered, and the next touch only uncovers it. */
  idle() {
    clearTimeout(this.timers.cover);
    this.timers.cover = setTimeout(() => this.cover(Boolean(this.visit.bucket)), COVER_MS);
  }

  cover(covered) {
    part("cover").hidden = !covered;
    this.stayAwake(!covered && Boolean(this.visit.bucket));
  }

  async stayAwake(wanted) {
    if (wanted && !this.lock && !document.hidden) {
      this.lock = (await navigator.wakeLock?.request("screen").catch(() => null)) ?? null;
      this.lock?.addEventListener("release", () => { this.lock = null; });
    } else if (!wanted) await this.lock?.release();
  }

  say(text, aloud = false) {
    part("said").textContent = text;
    part("said").classList.toggle("visually-hidden", !aloud);
  }
}
