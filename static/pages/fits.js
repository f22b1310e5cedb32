// Owns the page that asks for a carry: every change of the question is answered at once, without the server.

import { twenty } from "../rules/cell.js";
import { answer, question } from "../rules/fitting.js";
import { askedWords, chanceWords, moreWords, mustWords, nothingWords, restsWords } from "../rules/fitting_words.js";
import { armDrawing } from "../ui/arm.js";
import { axisOf, ballsDrawing, groundDrawing } from "./fits_picture.js";
import { isCardOnly } from "../ui/card_only.js";
import { shutPage } from "../ui/round_lock.js";
import { fromM, toM, whole } from "../rules/lengths.js";
import { preferred, preferences } from "../ui/preferences.js";
import { numberIn } from "../ui/typed.js";

const FIRST_SHOWN = 4;
const DISTANCES = ["flag", "roll", "front", "back"];

export function start(data) {
  if (isCardOnly()) return shutPage();
  const form = document.getElementById("ask");
  if (!form) return;
  const said = document.getElementById("said");
  const slide = document.getElementById("slide");
  const { flag } = form.elements;
  let unit = form.elements.unit.value;
  let axis = null;

  reach();
  follow();
  form.addEventListener("input", (event) => {
    if (event.target === slide) flag.value = slide.value;
    tell();
  });
  form.addEventListener("submit", (event) => { event.preventDefault(); tell(); });
  for (const button of form.querySelectorAll("[data-step]")) {
    button.addEventListener("click", () => {
      const from = numberIn(flag) || whole(data.middle_m, unit);
      flag.value = Math.max(1, Math.round(from) + Number(button.dataset.step));
      tell();
    });
  }
  preferred.addEventListener("change", follow);
  preferred.addEventListener("change", () => { if (isCardOnly()) shutPage(); });

  /** Turn what was asked into the unit this phone chose since the page was made. */
  function follow() {
    const chosen = preferences().unit ?? unit;
    if (chosen !== unit) {
      for (const name of DISTANCES) {
        const typed = numberIn(form.elements[name]);
        if (typed) form.elements[name].value = whole(toM(typed, unit), chosen);
      }
      unit = chosen;
      form.elements.unit.value = unit;
      reach();
    }
    tell();
  }

  /** The slide runs from well below the shortest number to well above the longest. */
  function reach() {
    const carries = data.candidates.map((candidate) => fromM(candidate.carry_m, unit));
    slide.min = Math.max(1, Math.floor(Math.min(...carries) * 0.7));
    slide.max = Math.ceil(Math.max(...carries) * 1.15);
    slide.value = numberIn(flag) || whole(data.middle_m, unit);
  }

  function tell() {
    const { flag_m, roll_m, front_m, back_m } = lengths();
    const isRefused = [flag_m, roll_m, front_m, back_m].includes(undefined); // which is said under the box
    if (flag_m === null || isRefused) return said.replaceChildren();
    slide.value = fromM(flag_m, unit);
    try {
      const asked = question({ flag_m, roll_m: roll_m ?? 0, front_m, back_m, must_carry: form.elements.must.checked }, data.margin);
      said.replaceChildren(...drawn(answer(asked, data.candidates), asked, flag_m));
    } catch (problem) {
      said.replaceChildren(box("problems", problem.message));
    }
  }

  function lengths() {
    const length = (typed) => (typed === null || typed === undefined ? typed : toM(typed, unit));
    return Object.fromEntries(DISTANCES.map((name) => [`${name}_m`, length(numberIn(form.elements[name]))]));
  }

  function drawn(found, asked, flag_m) {
    axis = axisOf(flag_m, asked);
    const { front_m, back_m } = lengths();
    const heading = element("div", {}, groundDrawing(axis, flag_m, { front_m, back_m }, unit), element("h2", {}, askedWords(asked, flag_m, unit)));
    if (found.closest) return [heading, box("notice", nothingWords(found, asked, unit)), list([found.closest], asked)];
    const must = mustWords(found, asked, unit);
    const rest = found.ranked.slice(FIRST_SHOWN);
    const parts = [heading, must && box("notice", must), list(found.ranked.slice(0, FIRST_SHOWN), asked)];
    return [...parts, rest.length && folded(found.ranked.length, rest, asked)].filter(Boolean);
  }

  /** The rest is drawn only when looked at, so that the slide stays light; once open it stays open. */
  function folded(count, choices, asked) {
    const details = element("details", {}, element("summary", {}, `All ${count}`));
    const fill = () => { if (details.open && details.childElementCount === 1) details.append(list(choices, asked)); };
    details.addEventListener("toggle", fill);
    details.open = said.querySelector("details")?.open ?? false;
    fill();
    return details;
  }

  function list(choices, asked) {
    return element("ol", { class: "fits plain" }, ...choices.map((choice) => item(choice, asked)));
  }

  function item(choice, asked) {
    const { candidate } = choice;
    const balls = twenty(candidate.table, asked.front_m, asked.back_m);
    const name = element("p", { class: "fit-name" },
      armDrawing(candidate.swing_deg, preferences().mirrored ?? data.mirrored),
      element("span", { class: "tab" }, candidate.club), " ", element("span", { class: "fit-swing" }, candidate.swing));
    return element("li", { class: "fit", "data-cell": `${candidate.club_id}:${candidate.swing_deg}` },
      element("div", { class: "fit-head" }, name, element("p", { class: "fit-in", "data-part": "twenty" }, element("strong", {}, `${balls.inside} of 20`), " in")),
      ballsDrawing(axis, balls, asked),
      element("p", { class: "fit-rests" }, element("span", { "data-part": "rests" }, restsWords(candidate, unit)), " · ", element("span", { "data-part": "chance" }, chanceWords(choice))),
      element("p", { class: "fit-more", "data-part": "more" }, moreWords(candidate, asked, unit)));
  }
}

function box(name, text) {
  return element("div", { class: name, role: "status" }, element("p", {}, text));
}

function element(name, attributes, ...inside) {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  made.append(...inside);
  return made;
}
