// Owns the eye check: distances said first, then measured, kept as pairs on this phone without the server.

import { add, newFact, rowsOf } from "../outbox.js";
import { eyeWords } from "../rules/eye.js";
import { toM } from "../rules/lengths.js";
import { preferences } from "../ui/preferences.js";

export async function start(data) {
  const form = document.getElementById("eye");
  const { book } = document.body.dataset;
  const parts = { say: document.getElementById("say"), measure: document.getElementById("measure") };
  const unit = () => preferences().unit ?? data.unit;
  form.noValidate = true;
  form.addEventListener("submit", (event) => {
    if (!parts.measure) return; // the server asked what was measured: it takes the answer too
    event.preventDefault();
    if (event.submitter?.value === "measured") keep();
    else ask();
  });
  document.body.classList.add("scripted");
  await tell();

  function ask() {
    const said = numbers("said");
    if (!said.size) return say("Say at least one distance first. Nothing was kept.");
    if (!within(said.values(), form.elements.said_1, "A distance")) return;
    for (const field of parts.measure.querySelectorAll("[data-ball]")) {
      const at = Number(field.dataset.ball);
      field.hidden = !said.has(at);
      field.querySelector("[data-said-by-eye]").textContent = said.get(at) ?? "";
    }
    turn(true);
    parts.measure.querySelector("[data-ball]:not([hidden]) input").focus();
  }

  async function keep() {
    const by = form.elements.by.value;
    const step = by === "paces" ? numberOf(form.elements.pace.value || "1") : 1;
    if (by === "paces" && !within([step], form.elements.pace, "A pace")) return;
    const said = numbers("said");
    const measured = new Map([...numbers("measured")].map(([at, far]) => [at, far * step]));
    if (!within(measured.values(), form.elements.said_1, "A distance")) return;
    const pairs = [...said].filter(([at]) => measured.has(at));
    if (!pairs.length) return say("Measure at least one of them. What you said is still here.");
    const bodies = pairs.map(([at, far]) => ({ said_m: toM(far, unit()), measured_m: toM(measured.get(at), unit()), by }));
    await add(book, bodies.map((body) => newFact("eye_check", body)));
    form.reset();
    turn(false);
    say(`${pairs.length} of ${said.size} saved on this phone${pairs.length < said.size ? "; the others were not measured" : ""}.`);
    await tell();
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

  function numbers(what) {
    const boxes = [...form.elements].filter(({ name }) => name.startsWith(`${what}_`));
    const filled = boxes.filter(({ value }) => value.trim());
    return new Map(filled.map(({ name, value }) => [Number(name.split("_")[1]), numberOf(value)]));
  }

  function numberOf(text) {
    return Number(text.trim().replace(",", "."));
  }

  /** Whether all lie within the range of a box; says so where one does not. */
  function within(values, { min, max }, what) {
    const all = [...values].every((value) => value >= Number(min) && value <= Number(max));
    if (!all) say(`${what} is a number from ${min} to ${max}. Nothing was kept.`);
    return all;
  }

  function turn(measuring) {
    parts.say.hidden = measuring;
    parts.measure.hidden = !measuring;
  }

  function say(text) {
    const line = document.getElementById("said");
    line.textContent = text;
    line.hidden = false;
    line.scrollIntoView({ block: "center" }); // the button that was touched lies far below it
  }
}
