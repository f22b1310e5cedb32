// Owns the bucket page: which of its parts shows what, and which deed of rules/visit.js a touch on each of them is.

import { COVER_MS, GO_ON_MS, OFFER_MS, WHY } from "../rules/constants.js";
import { fromM, toM, whole } from "../rules/lengths.js";
import { limitWords } from "../rules/limits.js";
import { likelierOf, offerOf } from "../rules/offers.js";
import { laneAt, scaleOf, stepOf } from "../rules/scale.js";
import { countWords, truthOf } from "../rules/truth.js";
import { armDrawing } from "../ui/arm.js";
import { isCardOnly } from "../ui/card_only.js";
import { preferred } from "../ui/preferences.js";
import { notNoted, notSaved } from "../ui/storage_words.js";
import { changes } from "../outbox.js";
import { ballButton, drawBalls, whenTouched } from "./balls.js";
import { drawEnd } from "./ending.js";
import { bindGuide } from "./guide.js";
import { bindMore, fillMore, OPEN_WARM_UP } from "./more.js";
import { bindOpening, drawOpening } from "./opening.js";
import { landingPatch, spoken } from "./patch.js";
import { drawStrip } from "./strip.js";
import { callWords, drawSwings } from "./swings.js";
import { openVisit } from "./visit.js";

const EXPLAINED = {
  fat: "fat: the club dug in well before the ball",
  heavy: "heavy: turf first, and most of the distance",
  clean: "clean: ball first, as meant",
  thin: "thin: above the middle of the ball",
  bladed: "bladed: the edge met the ball's middle",
};
const SHEETS = { more: "more", swings: "swings", wrong: "swings", which: "which" };
const MODES = { swing: "make the swing", distance: "hit the number" };

const part = (id) => document.getElementById(id);

export async function start(data) {
  if (!data?.clubs.length) return;
  const visit = await openVisit(data);
  new BucketPage(data, visit).begin();
}

class BucketPage {
  constructor(data, visit) {
    Object.assign(this, { data, visit, selected: null, sheet: null, wrong_cell: null, trouble: "", told: "", timers: {}, doing: Promise.resolve() });
  }

  get unit() {
    return document.body.dataset.unit;
  }

  begin() {
    const { visit } = this;
    this.drawPatch = landingPatch(part("patch"), part("readout"), (reading) => this.read(reading));
    this.drawGuide = bindGuide(part("guide"), visit);
    bindOpening(part("opening"), visit, () => this.unit, (body) => this.deed({ type: "begin", body }));
    bindMore(part("more"), visit, () => this.unit, {
      deed: (event) => this.deed(event),
      record: (reading) => this.act(async () => { await this.touch(reading, true); this.show(null); }),
      end: () => this.act(() => this.finish()),
    });
    for (const button of document.querySelectorAll("[data-sheet]")) {
      button.addEventListener("click", () => this.show(button.dataset.sheet || null));
    }
    for (const button of document.querySelectorAll("[data-mode]")) {
      button.addEventListener("click", () => this.deed({ type: "mode", mode: button.dataset.mode }));
    }
    part("truth").addEventListener("click", () => this.act(() => this.turnTruth()));
    part("to-plan").addEventListener("click", () => this.act(async () => { await visit.do({ type: "call", call: null }); this.show(null); }));
    part("meant").addEventListener("change", ({ target }) => this.deed({ type: "call", call: { ...visit.seen.next, meant_carry_m: toM(Number(target.value), this.unit) } }));
    whenTouched(part("lost"), { ontap: () => this.note({ contact: "", landed: "unseen" }), ondrop: (x, y) => this.dropLost(x, y) });
    part("shank").addEventListener("click", () => this.note({ contact: "shank", landed: "unseen" }));
    part("aside").addEventListener("click", () => this.act(() => this.setAside(this.target)));
    part("warm-ball").addEventListener("click", () => this.deed({ type: "warm" }));
    part("warm-done").addEventListener("click", () => this.deed({ type: "choose", choices: { warm_up: 0 } }));
    part("go-on").addEventListener("click", () => this.deed({ type: "go_on" }));
    part("cover").addEventListener("click", () => this.cover(false));
    document.addEventListener("pointerdown", () => { this.pressed = true; this.idle(); }, { capture: true });
    for (const end of ["pointerup", "pointercancel"]) addEventListener(end, () => this.lifted());
    document.addEventListener("visibilitychange", () => { if (!document.hidden) this.act(() => visit.refresh()); });
    document.addEventListener("keydown", (event) => { if (event.key === "Escape" && this.sheet) this.show(null); });
    addEventListener("popstate", () => { if (this.sheet) this.fold(null); });
    changes.addEventListener("change", () => this.refreshSoon());
    preferred.addEventListener("change", () => this.draw());
    document.body.classList.add("scripted");
    this.idle();
    this.draw();
  }

  /** Do one deed after the other and draw; one that cannot be saved is said in the line of truth and changes nothing. */
  act(deed, { quiet = false } = {}) {
    const done = this.doing.then(deed).then(() => { if (!quiet) this.trouble = ""; }, (error) => {
      if (quiet) return;
      this.trouble = notSaved(error);
      this.say(notNoted(error));
    }).then(() => {
      this.draw();
      if (this.doing === done) document.body.dataset.busy = "false";
    });
    document.body.dataset.busy = "true";
    if (!quiet) this.told = "";
    this.doing = done;
    return done;
  }

  deed(event) {
    return this.act(() => this.visit.do(event));
  }

  /** A finished touch on the ground: a name is explained, everything else is a ball. */
  read(reading) {
    if (reading.explains) return this.say(EXPLAINED[reading.explains], true);
    return this.act(() => this.touch(this.fieldsOf(reading), false, spoken(reading)));
  }

  note(fields) {
    return this.act(() => this.touch({ carry_m: null, coarse: false, ...fields }, false, fields.contact || "lost sight"));
  }

  /** The reopened ball is changed; else the touch is what rules/visit.js makes of it. */
  async touch(reading, typed, words = reading.contact) {
    const { visit } = this;
    const before = visit.seen.shots.length;
    const reopened = this.selected;
    this.selected = null;
    if (reopened) await visit.do({ type: "correct", root: reopened, fields: reading });
    else await visit.do({ type: "touch", reading, typed });
    const { length } = visit.seen.shots;
    if (length > before) navigator.vibrate?.(15);
    this.say(length > before ? `ball ${length}: ${words}, saved on this phone` : `${reopened ? "changed" : "moved"} to ${words}`);
  }

  fieldsOf({ value, contact, landed, length }) {
    const carry_m = landed === "seen" ? toM(value, this.unit) : null;
    return { carry_m, contact, landed, coarse: length !== undefined };
  }

  dropLost(x, y) {
    const { left, top, right, bottom, width, height } = part("patch").getBoundingClientRect();
    if (x < left || x > right || y < top || y > bottom) return;
    this.note({ contact: laneAt(scaleOf({ meant: 1, step: 1, width, height }), x - left), landed: "unseen" });
  }

  /** The ball that "set aside" speaks of: the reopened one, else the last. */
  get target() {
    const { shots } = this.visit.seen;
    return shots.find((shot) => shot.root === this.selected) ?? shots.at(-1);
  }

  async setAside(shot) {
    if (!shot) return;
    await this.visit.do({ type: "correct", root: shot.root, fields: { aside: !shot.body.aside } });
    this.selected = null;
    this.say(shot.body.aside ? "counted again" : "set aside");
  }

  /** The right half of the line of truth: it ends what keeps balls from counting, else it changes the mode. */
  turnTruth() {
    const { visit } = this;
    const { ends } = this.truth(visit.seen);
    if (ends) return visit.choose(ends);
    return visit.do({ type: "mode", mode: visit.seen.next.mode === "swing" ? "distance" : "swing" });
  }

  truth({ next, bucket, planned }) {
    return truthOf(next, bucket.body, this.visit.choices, { card_only: isCardOnly(), ball: this.data.ball, done: planned.done });
  }

  async finish() {
    const { visit } = this;
    const { bucket, shots } = visit.seen;
    const told = { bucket, shots };
    await visit.do({ type: "end" });
    part("visit").href = `/visits/${bucket.root}`;
    drawEnd(part("ended"), this.data, told, this.unit);
    this.show(null);
    this.say(`${shots.length === 1 ? "1 ball" : `${shots.length} balls`} noted.`, true);
  }

  async pick({ club_id, swing_deg, meant_carry_m }) {
    const { visit } = this;
    if (this.sheet === "wrong") {
      this.wrong_cell = { club_id, swing_deg };
      return this.fold("which");
    }
    const { next } = visit.seen;
    // A cell chosen in the plan's stead is a swing to make, unless a number was chosen with it.
    const mode = next.plan_ref && meant_carry_m === null ? "swing" : next.mode;
    await visit.do({ type: "call", call: { club_id, swing_deg, meant_carry_m, mode } });
    return this.show(null);
  }

  /** Open or close a sheet; the phone's own Back closes it too, and leaves the page only when none is open. */
  show(sheet) {
    if (sheet && !this.sheet) history.pushState({ sheet: true }, "");
    if (!sheet && this.sheet && history.state?.sheet) history.back();
    this.fold(sheet);
  }

  fold(sheet) {
    this.sheet = sheet;
    if (sheet === "more") fillMore(part("more"), this.visit, this.unit);
    this.draw();
    if (sheet) part(SHEETS[sheet]).querySelector("h2").focus({ preventScroll: true });
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
    const { seen } = this.visit;
    const { bucket } = seen;
    document.body.classList.toggle("hitting", Boolean(bucket));
    part("opening").hidden = Boolean(bucket);
    part("hitting").hidden = !bucket;
    part("go-on").hidden = !seen.ended;
    // How far the balls have got is said beside their number, also once the bucket is ended.
    const number = part(bucket ? "truth" : "said");
    if (number.nextElementSibling !== part("saved")) number.after(part("saved"));
    this.stayAwake(Boolean(bucket));
    if (bucket) this.drawHitting(seen);
    else drawOpening(part("opening"), this.visit);
    this.drawAgainWhenDue(seen);
  }

  drawHitting(seen) {
    const { visit, data, unit, sheet } = this;
    const { shots, bucket, last } = seen;
    const reopened = shots.find((shot) => shot.root === this.selected) ?? null;
    const warm = visit.choices.warm_up > 0;
    part("said").classList.add("visually-hidden");
    this.drawTruth(seen);
    this.drawHead(seen, reopened);
    drawBalls(part("balls"), shots, this.selected, unit, (shot) => likelierOf(data, bucket, shot, unit) !== null, {
      select: (root) => { this.selected = this.selected === root ? null : root; this.draw(); },
      setAside: (root) => this.act(() => this.setAside(visit.seen.shots.find((shot) => shot.root === root))),
    });
    drawStrip(part("strip"), offerOf(data, visit.choices, seen, reopened, unit), (event) => this.deed(event));
    part("warm").hidden = !warm || Boolean(sheet);
    part("patch").hidden = warm || Boolean(sheet);
    part("swings").hidden = sheet !== "swings" && sheet !== "wrong";
    part("which").hidden = sheet !== "which";
    part("more").hidden = sheet !== "more";
    // Under a sheet nothing else answers, so that a touch meant for the sheet notes no ball.
    for (const one of document.querySelectorAll("#hitting > :is(.line, #call, .struck, .deeds)")) one.inert = Boolean(sheet);
    if (sheet === "swings" || sheet === "wrong") this.drawSheet(seen);
    if (sheet === "which") this.drawWhich(seen);
    const warmed = bucket.body.warm_up_balls ?? 0;
    part("warm-count").textContent = visit.choices.warm_up < OPEN_WARM_UP ? `${warmed} of ${visit.choices.warm_up}` : warmed;
    part("aside").lastElementChild.textContent = this.target?.body.aside ? "restore" : "set aside";
    part("aside").disabled = !last;
    this.drawGround(seen, reopened);
    this.drawGuide(seen, Boolean(sheet) || warm);
  }

  drawTruth(seen) {
    const { text, ends } = this.truth(seen);
    part("count").textContent = countWords(seen.planned);
    part("truth").textContent = this.trouble || text;
    part("truth").setAttribute("aria-label", `${this.trouble || text}; touch to ${ends ? "end it" : MODES[seen.next.mode === "swing" ? "distance" : "swing"]}`);
    const limit = limitWords(this.visit.struckToday(seen), this.data.balls.limit);
    if (part("limit").textContent !== limit) part("limit").textContent = limit;
  }

  /** The call, large: the one that a touch speaks of now, the reopened or fresh ball's before the next. */
  drawHead(seen, reopened) {
    const { visit, data, unit } = this;
    const call = reopened ? visit.callOf(reopened.body) : seen.call;
    const { club, swing, meant } = callWords(data, call, unit);
    const head = part("call");
    head.style.setProperty("--letters", Math.max(swing.length, 3));
    head.classList.toggle("by-distance", call.mode === "distance");
    head.querySelector(".club-name").textContent = club;
    head.querySelector(".arm-place").replaceChildren(armDrawing(call.swing_deg, data.mirrored));
    head.querySelector(".swing-name").textContent = swing;
    const number = head.querySelector(".meant-number");
    number.textContent = meant;
    number.dataset.m = call.meant_carry_m;
    number.hidden = visit.choices.hide_number && call.mode === "swing";
    const why = WHY[call.why] ? ` · ${WHY[call.why]}` : "";
    const limit = part("limit").textContent.split(/[.:] /)[0];
    part("why").querySelector(".mode").textContent = reopened
      ? `ball ${seen.shots.indexOf(reopened) + 1}: touch where it came down`
      : this.told || limit || `${MODES[call.mode]}${why}`;
  }

  /** The ground speaks of the same call as the head. */
  drawGround(seen, reopened) {
    const { visit, unit } = this;
    if (part("patch").hidden) return;
    const { choices } = visit;
    const { bucket, asks } = seen;
    const call = reopened ? visit.callOf(reopened.body) : seen.call;
    const judged_by = choices.judged_by || bucket.body.judged_by;
    // The range's figures are measured from its own line: the bay's offset is taken off what the player should see.
    const meant = fromM(call.meant_carry_m - (bucket.body.bay_offset_m ?? 0), unit);
    const hidden = choices.hide_number && call.mode === "swing";
    const fine = judged_by === "laser" || judged_by === "monitor";
    this.drawPatch({
      meant: Math.max(meant, 5), step: stepOf(judged_by), hidden, rain: choices.rain, asks: Boolean(asks) && !reopened,
      at_once: fine && !choices.rain, marks: this.marks(seen, reopened, call, judged_by),
    });
  }

  /** Settled balls of this call as small dots, and the ball a touch would move or the numbered ones of a group. */
  marks({ shots, moves, last }, reopened, call, judged_by) {
    const { choices } = this.visit;
    const { group, grouped, hide_dots } = choices;
    const rings = group ? shots.filter((shot) => grouped.includes(shot.root)) : [reopened ?? moves].filter(Boolean);
    if (choices.rain && !rings.length && last) rings.push(last);
    // A visible pattern pulls the next judgement by eye towards it.
    const same = ({ body }) => body.club_id === call.club_id && body.swing_deg === call.swing_deg && !body.aside;
    const dots = hide_dots || judged_by === "eye" ? [] : shots.filter((shot) => !rings.includes(shot) && same(shot));
    const seenHere = ({ body }) => body.landed !== "unseen";
    return [
      ...dots.filter(seenHere).map((shot) => ({ ...this.markOf(shot), settled: true })),
      ...rings.filter(seenHere).map((shot, place) => ({
        ...this.markOf(shot), label: group ? String(place + 1) : "", left: shot === moves ? shot.fresh_until - Date.now() : undefined,
      })),
    ];
  }

  markOf({ body }) {
    return { value: body.carry_m === null ? null : fromM(body.carry_m, this.unit), contact: body.contact, landed: body.landed };
  }

  drawSheet({ next, bucket }) {
    const { visit, data, unit, sheet } = this;
    part("swings").querySelector("h2").textContent = sheet === "wrong" ? "Which was it really?" : "Next call";
    part("sheet-tools").hidden = sheet === "wrong";
    part("meant").value = whole(next.meant_carry_m, unit);
    part("to-plan").hidden = !bucket.body.plan?.length || visit.choices.call === null;
    for (const button of document.querySelectorAll("[data-mode]")) button.setAttribute("aria-pressed", String(button.dataset.mode === next.mode));
    drawSwings(part("cells"), part("readout"), { data, call: next, unit, onpick: (cell) => this.act(() => this.pick(cell)) });
  }

  /** Each ball with its club, arm and carry, since a carry alone does not say which ball it was. */
  drawWhich({ shots }) {
    const { data, unit } = this;
    const items = shots.map((shot, place) => {
      const button = ballButton(shot, place + 1, unit, false);
      const { club, swing } = callWords(data, shot.body, unit);
      const call = Object.assign(document.createElement("span"), { className: "ball-call" });
      call.append(club, armDrawing(shot.body.swing_deg, data.mirrored));
      button.prepend(call);
      button.setAttribute("aria-label", `${button.getAttribute("aria-label")}, ${club} ${swing}`);
      button.addEventListener("click", () => this.act(async () => {
        await this.visit.do({ type: "right", root: shot.root, cell: this.wrong_cell });
        this.show(null);
      }));
      const item = document.createElement("li");
      item.append(button);
      return item;
    });
    part("which-balls").replaceChildren(...items);
    part("which-balls").lastElementChild?.scrollIntoView({ block: "nearest" });
  }

  drawAgainWhenDue({ fresh, sinceLast, ended }) {
    clearTimeout(this.timers.due);
    const over = ended ? GO_ON_MS - (Date.now() - Date.parse(ended.body.ended_at)) : 0;
    const left = [(fresh?.fresh_until ?? 0) - Date.now(), OFFER_MS - sinceLast, over].filter((ms) => ms > 0);
    if (left.length) this.timers.due = setTimeout(() => this.draw(), Math.min(...left));
  }

  /** After a while without a touch the page is covered, and the next touch only uncovers it. */
  idle() {
    clearTimeout(this.timers.cover);
    this.timers.cover = setTimeout(() => this.cover(Boolean(this.visit.seen.bucket)), COVER_MS);
  }

  cover(covered) {
    part("cover").hidden = !covered;
    this.stayAwake(!covered && Boolean(this.visit.seen.bucket));
  }

  async stayAwake(wanted) {
    if (wanted && !this.lock && !document.hidden) {
      this.lock = (await navigator.wakeLock?.request("screen").catch(() => null)) ?? null;
      this.lock?.addEventListener("release", () => { this.lock = null; });
    } else if (!wanted) await this.lock?.release();
  }

  /** Say something to a screen reader; aloud it is also shown, in a bucket in the line below the call until the next deed. */
  say(text, aloud = false) {
    const hitting = Boolean(this.visit.seen.bucket);
    part("said").textContent = text;
    part("said").classList.toggle("visually-hidden", !aloud || hitting);
    if (aloud && hitting) {
      this.told = text;
      this.draw();
    }
  }
}
