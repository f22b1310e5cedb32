// Owns the page of what to leave: the line, and every change of the question answered at once, without the server.

import { FLAG_MISSING } from "../rules/more_constants.js";
import { restsWords } from "../rules/fitting_words.js";
import { leave, listed } from "../rules/leave.js";
import { answerWords, bestWords, chancesWords, inWords, missWords, troubleWords, worstM } from "../rules/leave_words.js";
import { whole } from "../rules/lengths.js";
import { armDrawing } from "../ui/arm.js";
import { isCardOnly } from "../ui/card_only.js";
import { box, element, folded } from "../ui/elements.js";
import { preferences } from "../ui/preferences.js";
import { shutPage } from "../ui/round_lock.js";
import { tellAge } from "../ui/since.js";
import { FlagForm } from "./flag_form.js";
import { leaveLine } from "./leave_picture.js";

export function start(data) {
  if (isCardOnly()) return shutPage();
  const form = document.getElementById("ask");
  if (!form) return;
  const line = document.getElementById("line");
  const said = document.getElementById("said");
  const asking = new FlagForm(form);
  asking.begin(Math.max(...data.candidates.map(({ carry_m }) => carry_m)), tell);
  tellAge(data);

  /** Show the answer, and return its first sentence. */
  function tell() {
    const asked = asking.lengths();
    const typed = Object.values(asked);
    if (typed.includes(undefined)) {
      said.replaceChildren(); // what is refused is said under its box
      return "";
    }
    try {
      if (asked.flag_m === null && typed.some((length) => length !== null)) throw new Error(FLAG_MISSING);
      const ahead = asked.flag_m === null ? null : { ...asked, roll_m: asked.roll_m ?? 0, must_carry: form.elements.must.checked };
      const found = leave(data.candidates, data.margin, asking.unit, ahead);
      show(found, ahead);
      return ahead ? answerWords(found, data.candidates, ahead.flag_m, asking.unit) : bestWords(found, data.candidates, asking.unit);
    } catch (problem) {
      said.replaceChildren(box("problems", problem.message));
      return problem.message;
    }
  }

  function show(found, ahead) {
    const { unit } = asking;
    const best = listed(found, ahead && ahead.flag_m, unit);
    const drawing = found.distances.length ? [
      leaveLine(found, worstM(found), ahead && best[0].left_m, unit),
      element("h2", {}, bestWords(found, data.candidates, unit)),
      element("p", { class: "hint" }, chancesWords(found)),
    ] : [];
    line.replaceChildren(...drawing);
    const trouble = ahead && troubleWords(found, ahead, unit);
    said.replaceChildren(...[
      ahead && element("h2", { class: "leave-answer" }, answerWords(found, data.candidates, ahead.flag_m, unit)),
      trouble && box("notice", trouble),
      element("ol", { class: "fits plain" }, ...best.map(item)),
      found.distances.length && folded("Every distance, as a table", () => rows(found.distances), said.querySelector("details")),
    ].filter(Boolean));
  }

  function item(one) {
    const { best } = one;
    const { unit } = asking;
    const name = element("p", { class: "fit-name" },
      element("span", { class: "leave-at" }, whole(one.left_m, unit)),
      armDrawing(best.swing_deg, preferences().mirrored ?? data.mirrored),
      element("span", { class: "tab" }, best.club), " ", element("span", { class: "fit-swing" }, best.swing));
    return element("li", { class: "fit", "data-left": whole(one.left_m, unit) },
      element("div", { class: "fit-head" }, name, element("p", { class: "fit-in" }, element("strong", {}, inWords(one)), " in")),
      element("p", { class: "fit-rests" }, `${restsWords(best, unit)} · ${missWords(one, unit)}`));
  }

  function rows(distances) {
    const { unit } = asking;
    const heads = [unit, "shot", "in, of 100", "off"].map((word) => element("th", { scope: "col" }, word));
    const row = (one) => element("tr", {},
      element("th", { scope: "row" }, whole(one.left_m, unit)),
      element("td", {}, `${one.best.club} ${one.best.swing}${one.guess ? ", a guess" : ""}`),
      ...[inWords(one), missWords(one, unit)].map((words) => element("td", {}, words.split(" ")[0])));
    return element("table", { class: "figures leave-table" },
      element("thead", {}, element("tr", {}, ...heads)), element("tbody", {}, ...distances.map(row)));
  }
}
