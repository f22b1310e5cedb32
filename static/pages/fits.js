// Owns the page that asks for a carry: every change of the question is answered at once, without the server.

import { keyOf, twenty } from "../rules/cell.js";
import { answer, question } from "../rules/fitting.js";
import { askedWords, chanceWords, moreWords, mustWords, nothingWords, restsWords } from "../rules/fitting_words.js";
import { fromM, whole } from "../rules/lengths.js";
import { armDrawing } from "../ui/arm.js";
import { isCardOnly } from "../ui/card_only.js";
import { box, element, folded } from "../ui/elements.js";
import { preferences } from "../ui/preferences.js";
import { shutPage } from "../ui/round_lock.js";
import { tellAge } from "../ui/since.js";
import { numberIn } from "../ui/typed.js";
import { axisOf, ballsDrawing, groundDrawing } from "./fits_picture.js";
import { FlagForm } from "./flag_form.js";

const FIRST_SHOWN = 4;

export function start(data) {
  if (isCardOnly()) return shutPage();
  const form = document.getElementById("ask");
  if (!form) return;
  const said = document.getElementById("said");
  const slide = document.getElementById("slide");
  const { flag } = form.elements;
  const asking = new FlagForm(form);
  let axis = null;

  slide.addEventListener("input", () => { flag.value = slide.value; });
  asking.begin(data.middle_m, tell, reach);
  tellAge(data);

  /** The slide runs from well below the shortest number to well above the longest. */
  function reach() {
    const carries = data.candidates.map((candidate) => fromM(candidate.carry_m, asking.unit));
    slide.min = Math.max(1, Math.floor(Math.min(...carries) * 0.7));
    slide.max = Math.ceil(Math.max(...carries) * 1.15);
    slide.value = numberIn(flag) || whole(data.middle_m, asking.unit);
  }

  /** Show the answer, and return its first sentence. */
  function tell() {
    const { flag_m, roll_m, front_m, back_m } = asking.lengths();
    const isRefused = [flag_m, roll_m, front_m, back_m].includes(undefined); // which is said under the box
    if (flag_m === null || isRefused) {
      said.replaceChildren();
      return "";
    }
    slide.value = fromM(flag_m, asking.unit);
    try {
      const asked = question({ flag_m, roll_m: roll_m ?? 0, front_m, back_m, must_carry: form.elements.must.checked }, data.margin);
      const found = answer(asked, data.candidates);
      said.replaceChildren(...drawn(found, asked, flag_m));
      return found.closest ? nothingWords(found, asked, asking.unit) : firstWords(found.ranked[0], asked);
    } catch (problem) {
      said.replaceChildren(box("problems", problem.message));
      return problem.message;
    }
  }

  function firstWords({ candidate }, asked) {
    return `${candidate.club} ${candidate.swing}: ${twenty(candidate.table, asked.front_m, asked.back_m).inside} of 20 in.`;
  }

  function drawn(found, asked, flag_m) {
    axis = axisOf(flag_m, asked);
    const { front_m, back_m } = asking.lengths();
    const heading = element("div", {}, groundDrawing(axis, flag_m, { front_m, back_m }, asking.unit), element("h2", {}, askedWords(asked, flag_m, asking.unit)));
    if (found.closest) return [heading, box("notice", nothingWords(found, asked, asking.unit)), list([found.closest], asked)];
    const must = mustWords(found, asked, asking.unit);
    const rest = found.ranked.slice(FIRST_SHOWN);
    const parts = [heading, must && box("notice", must), list(found.ranked.slice(0, FIRST_SHOWN), asked)];
    // Folded, so that the slide stays light.
    const all = () => folded(`All ${found.ranked.length}`, () => list(rest, asked), said.querySelector("details"));
    return [...parts, rest.length && all()].filter(Boolean);
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
    return element("li", { class: "fit", "data-cell": keyOf(candidate) },
      element("div", { class: "fit-head" }, name, element("p", { class: "fit-in", "data-part": "twenty" }, element("strong", {}, `${balls.inside} of 20`), " in")),
      ballsDrawing(axis, balls, asked),
      element("p", { class: "fit-rests" }, element("span", { "data-part": "rests" }, restsWords(candidate, asking.unit)), " · ", element("span", { "data-part": "chance" }, chanceWords(choice))),
      element("p", { class: "fit-more", "data-part": "more" }, moreWords(candidate, asked, asking.unit)));
  }
}
