// Owns the bucket page: which of its parts shows what, and which deed of rules/visit.js a touch on each of them is.

import { GO_ON_MS, OFFER_MS } from "../rules/constants.js";
import { toM } from "../rules/lengths.js";
import { likelierOf, offerOf } from "../rules/offers.js";
import { laneAt, scaleOf } from "../rules/scale.js";
import { chosenWords } from "../rules/words.js";
import { preferred } from "../ui/preferences.js";
import { changes } from "../outbox.js";
import { drawBalls, whenTouched } from "./balls.js";
import { bindCover } from "./cover.js";
import { drawHead, drawTruth, otherMode, truth } from "./head.js";
import { groundView } from "./marks.js";
import { landingPatch, spoken } from "./patch.js";
import { drawStrip } from "./strip.js";
import { openVisit, OPEN_WARM_UP } from "./visit.js";

const part = (id) => document.getElementById(id);

export async function start(data) {
  if (!data?.clubs.length) return;
  const visit = await openVisit(data);
  await new BucketPage(data, visit).begin();
}

class BucketPage {
  constructor(data, visit) {
    Object.assign(this, {
      data, visit, open: null, selected: null, sheet: null, folded: false, trouble: "", told: "", timers: {}, doing: Promise.resolve(),
      // There once `later` has loaded them:
      sheets: null, drawOpening: null, drawGuide: null, words: null, explained: null, limitWords: () => "",
    });
  }

  get unit() {
    return document.body.dataset.unit;
  }

  async begin() {
    const { visit } = this;
    this.drawPatch = landingPatch(part("patch"), part("readout"), (reading) => this.read(reading));
    this.cover = bindCover(part("cover"), () => Boolean(visit.seen.bucket));
    for (const button of document.querySelectorAll("[data-sheet]")) {
      button.addEventListener("click", () => this.show(button.dataset.sheet || null));
    }
    part("truth").addEventListener("click", () => this.act(() => this.turnTruth()));
    whenTouched(part("lost"), { ontap: () => this.note({ contact: "", landed: "unseen" }), ondrop: (x, y) => this.dropLost(x, y) });
    part("shank").addEventListener("click", () => this.note({ contact: "shank", landed: "unseen" }));
    part("aside").addEventListener("click", () => this.act(() => this.setAside(this.target)));
    part("warm-ball").addEventListener("click", () => this.deed({ type: "warm" }));
    part("warm-done").addEventListener("click", () => this.deed({ type: "choose", choices: { warm_up: 0 } }));
    document.addEventListener("pointerdown", () => { this.pressed = true; this.cover.idle(); }, { capture: true });
    for (const end of ["pointerup", "pointercancel"]) addEventListener(end, () => this.lifted());
    document.addEventListener("visibilitychange", () => { if (!document.hidden) this.act(() => visit.refresh()); });
    document.addEventListener("keydown", (event) => { if (event.key === "Escape" && this.sheet) this.show(null); });
    addEventListener("popstate", () => { if (this.sheet) this.fold(null); });
    changes.addEventListener("change", () => this.refreshSoon());
    preferred.addEventListener("change", () => this.draw());
    if (!visit.seen.bucket) await this.later().catch(() => {}); // the forms that start a bucket without signal
    document.body.classList.add("scripted");
    this.draw();
    this.later().catch(() => {}); // asked for again when a sheet is opened
  }

  /** What no first touch needs is loaded behind the ground, so that a ball can be noted before it has come. */
  async later() {
    const { visit } = this;
    const [{ Sheets }, { bindOpening, limitWordsBy }, words, { EXPLAINED }, guide] = await Promise.all([
      import("./sheets.js"), import("./opening.js"), import("../ui/storage_words.js"), import("./lane_words.js"),
      this.data.first_task && import("./guide.js"),
    ]);
    if (this.sheets) return; // twice asked for
    Object.assign(this, { words, explained: EXPLAINED, limitWords: limitWordsBy });
    this.sheets = new Sheets(this);
    this.drawOpening = bindOpening(part("opening"), visit, (body) => this.deed({ type: "begin", body }));
    this.drawGuide = (await guide?.bindGuide(part("guide"), part("ghost"))) ?? null;
    this.draw();
  }

  /** Do one deed after the other and draw; one that cannot be saved is said in the line of truth and changes nothing. */
  act(deed, { quiet = false } = {}) {
    const done = this.doing.then(deed).then(() => { if (!quiet) this.trouble = ""; }, (error) => {
      if (quiet) return;
      this.trouble = this.words?.notSaved(error) ?? "not saved on this phone";
      this.say(this.words?.notNoted(error) ?? "This could not be saved on this phone, so it was not noted.");
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
    if (reading.explains) return this.say(this.explained?.[reading.explains] ?? "", true);
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

  /** Reopen a ball for the next touch, or none. */
  select(root) {
    this.selected = root;
    this.say(root ? chosenWords(this.visit.seen, { root }) : "");
    this.draw();
  }

  /** The ball that "set aside" speaks of: the reopened one, else the last. */
  get target() {
    const { shots } = this.visit.seen;
    return shots.find((shot) => shot.root === this.selected) ?? shots.at(-1);
  }

  async setAside(shot) {
    if (!shot) return;
    const place = this.visit.seen.shots.findIndex(({ root }) => root === shot.root) + 1;
    await this.visit.do({ type: "correct", root: shot.root, fields: { aside: !shot.body.aside } });
    this.selected = null;
    this.say(`ball ${place} ${shot.body.aside ? "counted again" : "set aside"}`);
  }

  /** The right half of the line of truth: it ends what keeps balls from counting, else it changes the mode. */
  turnTruth() {
    const { visit } = this;
    const { ends } = truth(visit, visit.seen);
    return ends ? visit.choose(ends) : visit.do({ type: "mode", mode: otherMode(visit.seen.next.mode) });
  }

  /** Open or close a sheet; the phone's own Back closes it too, and leaves the page only when none is open. */
  async show(sheet) {
    if (sheet && !this.sheets) {
      await this.later().catch(({ name }) => this.say(
        name === "VersionError" ? "A new version has come. Open this page again; your balls are kept."
          : "This part has not come to this phone yet; it needs signal once.",
        true,
      ));
      if (!this.sheets) return;
    }
    if (sheet && !this.sheet) history.pushState({ sheet: true }, "");
    if (!sheet && this.sheet && history.state?.sheet) history.back();
    this.fold(sheet);
  }

  fold(sheet) {
    Object.assign(this, { sheet, folded: true });
    this.draw();
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
    const closed = bucket ? null : this.open;
    this.open = bucket?.root ?? null;
    document.body.classList.toggle("hitting", Boolean(bucket));
    part("opening").hidden = Boolean(bucket);
    part("hitting").hidden = !bucket;
    if (bucket) part("ended").hidden = true;
    part("go-on").hidden = !seen.ended;
    // How far the balls have got is said beside their number, also once the bucket is ended.
    const number = part(bucket ? "truth" : "said");
    if (number.nextElementSibling !== part("saved")) number.after(part("saved"));
    this.cover.stayAwake(Boolean(bucket));
    if (bucket) this.drawHitting(seen);
    else this.drawOpening?.();
    if (this.folded) { // a sheet that does not show yet takes neither a scroll nor the focus
      this.folded = false;
      this.sheets?.enter(this.sheet);
    }
    if (closed) this.sheets?.close(closed);
    this.drawAgainWhenDue(seen);
  }

  drawHitting(seen) {
    const { visit, data, unit, sheet } = this;
    const { shots, bucket, last } = seen;
    const reopened = shots.find((shot) => shot.root === this.selected) ?? null;
    const warm = visit.choices.warm_up > 0;
    part("said").classList.add("visually-hidden");
    drawTruth(visit, seen, this.trouble, this.limitWords(data, seen));
    drawHead(visit, seen, reopened, this.told, unit);
    drawBalls(part("balls"), shots, this.selected, unit, (shot) => likelierOf(data, bucket, shot, unit) !== null, {
      select: (root) => this.select(this.selected === root ? null : root),
      setAside: (root) => this.act(() => this.setAside(visit.seen.shots.find((shot) => shot.root === root))),
    });
    drawStrip(part("strip"), offerOf(data, visit.choices, seen, reopened, unit), (event) => this.deed(event));
    part("hitting").classList.toggle("warming", warm);
    part("warm").hidden = !warm || Boolean(sheet);
    part("patch").hidden = warm || Boolean(sheet);
    this.sheets?.draw(sheet, seen);
    // Under a sheet nothing else answers, so that a touch meant for the sheet notes no ball.
    for (const one of document.querySelectorAll("#hitting > :is(.line, #call, .struck, .deeds)")) one.inert = Boolean(sheet);
    const warmed = bucket.body.warm_up_balls ?? 0;
    part("warm-count").textContent = visit.choices.warm_up < OPEN_WARM_UP ? `${warmed} of ${visit.choices.warm_up}` : warmed;
    part("aside").lastElementChild.textContent = this.target?.body.aside ? "restore" : "set aside";
    part("lost").disabled = part("shank").disabled = warm;
    part("aside").disabled = warm || !last;
    if (!part("patch").hidden) this.drawPatch(groundView(visit, seen, reopened, unit));
    this.drawGuide?.(seen, Boolean(sheet || reopened) || warm);
  }

  drawAgainWhenDue({ fresh, sinceLast, ended }) {
    clearTimeout(this.timers.due);
    const over = ended ? GO_ON_MS - (Date.now() - Date.parse(ended.body.ended_at)) : 0;
    const left = [(fresh?.fresh_until ?? 0) - Date.now(), OFFER_MS - sinceLast, over].filter((ms) => ms > 0);
    if (left.length) this.timers.due = setTimeout(() => this.draw(), Math.min(...left));
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
