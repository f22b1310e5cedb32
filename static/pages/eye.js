// Owns the eye check: distances said first, then measured, kept as pairs on this phone without the server.

import { add, newFact, rowsOf } from "../outbox.js";
import { eyeWords } from "../rules/eye.js";
import { UNIT_NAMES } from "../rules/constants.js";
import { fromM, toM } from "../rules/lengths.js";
import { boundsWords } from "../rules/typed.js";
import { keepOrSend } from "../ui/keep_or_send.js";
import { say } from "../ui/said.js";
import { numberIn, unitOf } from "../ui/typed.js";

export async function start(data) {
  const form = document.getElementById("eye");
  const { book } = document.body.dataset;
  const parts = { say: document.getElementById("say"), measure: document.getElementById("measure") };
  const unit = () => unitOf(form);
  form.noValidate = true;
  // Where the server asked what was measured it takes the answer too.
  if (parts.measure) keepOrSend(form, ({ submitter }) => (submitter?.value === "measured" ? keep() : ask()));
  await tell();

  function ask() {
    const said = numbers("said");
    if (!said) return null;
    if (!said.size) return say("Say at least one distance first. Nothing was kept.");
    if (!areDistances(said.values())) return null;
    for (const field of parts.measure.querySelectorAll("[data-ball]")) {
      const at = Number(field.dataset.ball);
      field.hidden = !said.has(at);
      field.querySelector("[data-said-by-eye]").textContent = said.get(at) ?? "";
    }
    turn(true);
    return parts.measure.querySelector("[data-ball]:not([hidden]) input").focus();
  }

  async function keep() {
    const by = form.elements.by.value;
    const step = by === "paces" ? pace() : 1;
    const [said, far] = [numbers("said"), numbers("measured")];
    if (!step || !said || !far) return null;
    const measured = new Map([...far].map(([at, paces]) => [at, paces * step]));
    if (!areDistances(measured.values())) return null;
    const pairs = [...said].filter(([at]) => measured.has(at));
    if (!pairs.length) return say("Measure at least one of them. What you said is still here.");
    const bodies = pairs.map(([at, distance]) => {
      return { said_m: toM(distance, unit()), measured_m: toM(measured.get(at), unit()), by };
    });
    await add(book, bodies.map((body) => newFact("eye_check", body)));
    form.reset();
    turn(false);
    say(`${pairs.length} of ${said.size} saved on this phone${pairs.length < said.size ? "; the others were not measured" : ""}.`);
    return tell();
  }

  /** What the eye makes of a distance, by the pairs that the server knew and those that it does not have yet. */
  async function tell() {
    const known = new Set(data.pairs.map(({ id }) => id));
    const own = (await rowsOf(book)).filter(({ kind, state, root, body }) => kind === "eye_check" && state !== "taken" && body && !known.has(root));
    if (!own.length) return;
    const line = document.getElementById("finding");
    line.textContent = eyeWords([...data.pairs, ...own.map(({ body }) => body)], unit());
    line.hidden = false;
  }

  /** The numbers of the boxes that are filled, by ball; null where one is refused, which is said under its box. */
  function numbers(what) {
    const boxes = [...form.elements].filter(({ name }) => name.startsWith(`${what}_`));
    const typed = boxes.map((box) => [Number(box.name.split("_")[1]), numberIn(box)]);
    if (typed.some(([, number]) => number === undefined)) return null;
    return new Map(typed.filter(([, number]) => number !== null));
  }

  /** How long a pace is; 1 where nothing is said of it, null where it cannot be one. */
  function pace() {
    const box = form.elements.pace;
    const { min, max } = box.dataset;
    const step = numberIn(box);
    if (step === undefined || step === null) return step === null ? 1 : null;
    if (step >= Number(min) && step <= Number(max)) return step;
    return say(`A pace is a number from ${min} to ${max}. Nothing was kept.`);
  }

  /** Whether all are distances that a fact can hold; says so where one is not. */
  function areDistances(values) {
    const { low, high } = form.elements.said_1.dataset;
    const all = [...values].every((value) => toM(value, unit()) >= Number(low) && toM(value, unit()) <= Number(high));
    if (!all) say(`A distance ${boundsWords(fromM(Number(low), unit()), fromM(Number(high), unit()), UNIT_NAMES[unit()])}. Nothing was kept.`);
    return all;
  }

  function turn(measuring) {
    parts.say.hidden = measuring;
    parts.measure.hidden = !measuring;
  }
}
