// Owns the sheets that fold over the ground: the next call, the wrong call and its first ball, and "More".

import { closedWords } from "../rules/ending.js";
import { fromM, whole } from "../rules/lengths.js";
import { fold } from "../rules/shot.js";
import { namesOf } from "../rules/visit.js";
import { gather } from "../sync.js";
import { armDrawing } from "../ui/arm.js";
import { lengthIn } from "../ui/typed.js";
import { ballButton } from "./balls.js";
import { drawEnd } from "./ending.js";
import { bindMore, fillMore } from "./more.js";
import { spoken } from "./patch.js";
import { drawSwings } from "./swings.js";

const PARTS = { more: "more", swings: "swings", wrong: "swings", which: "which" };

const part = (id) => document.getElementById(id);

/** A typed ball as a touched one is read out, with the tenths that it was typed with. */
function typedWords(reading, unit) {
  return spoken({ ...reading, value: Math.round(fromM(reading.carry_m, unit) * 10) / 10 }).trim();
}

/** The sheets of the bucket's page (pages/bucket.js), which opens and closes them; a deed on one of them is the page's. */
export class Sheets {
  constructor(page) {
    const { visit } = page;
    Object.assign(this, { page, visit, wrong_cell: null, meant: null });
    const toPlan = () => page.act(async () => { await visit.do({ type: "call", call: null }); page.show(null); });
    const newMeant = ({ target }) => {
      const meant_carry_m = lengthIn(target, page.unit);
      if (meant_carry_m) page.deed({ type: "call", call: { ...visit.seen.next, meant_carry_m } });
    };
    bindMore(part("more"), () => page.unit, {
      deed: (event) => page.deed(event),
      record: (reading) => page.act(async () => { await page.touch(reading, true, typedWords(reading, page.unit)); page.show(null); }),
      end: () => page.act(() => this.finish()),
    });
    for (const button of document.querySelectorAll("[data-mode]")) {
      button.addEventListener("click", () => page.deed({ type: "mode", mode: button.dataset.mode }));
    }
    part("to-plan").addEventListener("click", toPlan);
    part("go-on").addEventListener("click", () => page.deed({ type: "go_on" }).then(() => this.enter(null)));
    part("meant").addEventListener("change", newMeant);
  }

  /** A sheet has just been opened, at its top: it shows what is in force. Its heading, or the ground, is where a reader goes on. */
  enter(sheet) {
    if (sheet) part(PARTS[sheet]).scrollTop = 0;
    if (sheet === "which") part("which-balls").lastElementChild?.scrollIntoView({ block: "nearest" });
    if (sheet === "more") fillMore(part("more"), this.visit, this.page.unit);
    if (sheet === "swings") part("meant").value = this.meant;
    const goesOn = sheet ? part(PARTS[sheet]).querySelector("h2") : part("patch");
    goesOn.focus({ preventScroll: true });
  }

  draw(sheet, seen) {
    for (const id of new Set(Object.values(PARTS))) part(id).hidden = PARTS[sheet] !== id;
    if (PARTS[sheet] === "swings") this.drawSwings(sheet, seen);
    if (sheet === "which") this.drawWhich(seen);
  }

  /** The bucket that was open is not any more, by this page, another one or another phone: say why. */
  close(root) {
    const { page, visit } = this;
    if (page.sheet) page.show(null);
    page.say(closedWords(fold([...visit.data.facts, ...visit.rows]).get(root)?.body), true);
  }

  async finish() {
    const { visit, page } = this;
    const { bucket, shots } = visit.seen;
    const told = { bucket, shots };
    await visit.do({ type: "end" });
    gather();
    part("visit").href = `/visits/${bucket.root}`;
    drawEnd(part("ended"), visit.data, visit.rows, told, page.unit);
    page.show(null); // which says that it is ended
    part("ended").focus({ preventScroll: true });
  }

  async pick(sheet, { club_id, swing_deg, meant_carry_m }) {
    const { visit, page } = this;
    if (sheet === "wrong") {
      this.wrong_cell = { club_id, swing_deg };
      return page.fold("which");
    }
    const { next } = visit.seen;
    // A cell chosen in the plan's stead is a swing to make, unless a number was chosen with it.
    const mode = next.plan_ref && meant_carry_m === null ? "swing" : next.mode;
    await visit.do({ type: "call", call: { club_id, swing_deg, meant_carry_m, mode } });
    return page.show(null);
  }

  drawSwings(sheet, { next, bucket }) {
    const { visit, page: { unit } } = this;
    const { data } = visit;
    part("swings").querySelector("h2").textContent = sheet === "wrong" ? "Which was it really?" : "Next call";
    part("sheet-tools").hidden = sheet === "wrong";
    this.showMeant(whole(next.meant_carry_m, unit));
    part("to-plan").hidden = sheet === "wrong" || !bucket.body.plan?.length || visit.choices.call === null;
    for (const button of document.querySelectorAll("[data-mode]")) button.setAttribute("aria-pressed", String(button.dataset.mode === next.mode));
    drawSwings(part("cells"), part("readout"), { data, call: next, unit, onpick: (cell) => this.page.act(() => this.pick(this.page.sheet, cell)) });
  }

  /** The box shows the number in force once that has changed; any other drawing leaves what is being typed there. */
  showMeant(meant) {
    if (meant !== this.meant) part("meant").value = meant;
    this.meant = meant;
  }

  /** Each ball with its number, club, arm and carry, since a carry alone does not say which ball it was. */
  drawWhich({ shots }) {
    const { visit, page } = this;
    const { data } = visit;
    const items = shots.map((shot, place) => {
      const button = ballButton(shot, place + 1, page.unit, false);
      const { club, named } = namesOf(data, shot.body);
      const call = Object.assign(document.createElement("span"), { className: "ball-call" });
      const number = Object.assign(document.createElement("span"), { className: "place", textContent: `${place + 1}.` });
      call.append(number, club, armDrawing(shot.body.swing_deg, data.mirrored));
      button.prepend(call);
      button.setAttribute("aria-label", `${button.getAttribute("aria-label")}, ${named}`);
      button.addEventListener("click", () => page.act(async () => {
        await visit.do({ type: "right", root: shot.root, cell: this.wrong_cell });
        page.show(null);
      }));
      const item = document.createElement("li");
      item.append(button);
      return item;
    });
    part("which-balls").replaceChildren(...items);
  }
}
