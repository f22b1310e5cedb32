// Owns the page of what to leave: the line, and every change of the question answered at once, without the server.

import { FLAG_MISSING } from "../rules/constants.js";
import { restsWords } from "../rules/fitting_words.js";
import { byChance, leave } from "../rules/leave.js";
import { answerWords, chancesWords, inWords, missWords, mustWords, nobodysM, yoursWords } from "../rules/leave_words.js";
import { toM, whole } from "../rules/lengths.js";
import { armDrawing } from "../ui/arm.js";
import { isCardOnly } from "../ui/card_only.js";
import { preferred, preferences } from "../ui/preferences.js";
import { shutPage } from "../ui/round_lock.js";
import { numberIn } from "../ui/typed.js";
import { leaveLine } from "./leave_picture.js";

const FIRST_SHOWN = 4;
const DISTANCES = ["flag", "roll", "front", "back"];

export function start(data) {
  if (isCardOnly()) return shutPage();
  const form = document.getElementById("ask");
  if (!form) return;
  const line = document.getElementById("line");
  const said = document.getElementById("said");
  const { flag } = form.elements;
  let unit = form.elements.unit.value;

  follow();
  form.addEventListener("input", tell);
  form.addEventListener("submit", (event) => { event.preventDefault(); tell(); });
  for (const button of form.querySelectorAll("[data-step]")) {
    button.addEventListener("click", () => {
      const longest = Math.max(...data.candidates.map(({ carry_m }) => carry_m));
      flag.value = Math.max(1, Math.round(numberIn(flag) || whole(longest, unit)) + Number(button.dataset.step));
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
    }
    tell();
  }

  function tell() {
    const typed = DISTANCES.map((name) => numberIn(form.elements[name]));
    if (typed.includes(undefined)) return said.replaceChildren(); // what is refused is said under its box
    const [flag_m, roll_m, front_m, back_m] = typed.map((length) => (length === null ? null : toM(length, unit)));
    try {
      if (flag_m === null && typed.some((length) => length !== null)) throw new Error(FLAG_MISSING);
      const ahead = flag_m === null ? null : { flag_m, roll_m: roll_m ?? 0, front_m, back_m, must_carry: form.elements.must.checked };
      show(leave(data.candidates, data.margin, unit, ahead), ahead);
    } catch (problem) {
      said.replaceChildren(box("problems", problem.message));
    }
  }

  function show(found, ahead) {
    const best = byChance(found);
    const drawing = found.distances.length ? [
      leaveLine(found, nobodysM(found), ahead && best[0].left_m, unit),
      element("h2", {}, yoursWords(found, unit)),
      element("p", { class: "hint" }, chancesWords(found)),
    ] : [];
    line.replaceChildren(...drawing);
    const must = ahead && mustWords(found, ahead);
    said.replaceChildren(...[
      ahead && element("h2", { class: "leave-answer" }, answerWords(found, data.candidates, ahead.flag_m, unit)),
      must && box("notice", must),
      element("ol", { class: "fits plain" }, ...best.slice(0, FIRST_SHOWN).map(item)),
      found.distances.length && table(found.distances),
    ].filter(Boolean));
  }

  function item(one) {
    const { best } = one;
    const name = element("p", { class: "fit-name" },
      element("span", { class: "leave-at" }, whole(one.left_m, unit)),
      armDrawing(best.swing_deg, preferences().mirrored ?? data.mirrored),
      element("span", { class: "tab" }, best.club), " ", element("span", { class: "fit-swing" }, best.swing));
    return element("li", { class: "fit", "data-left": whole(one.left_m, unit) },
      element("div", { class: "fit-head" }, name, element("p", { class: "fit-in" }, element("strong", {}, inWords(one)), " in")),
      element("p", { class: "fit-rests" }, `${restsWords(best, unit)} · ${missWords(one, unit)}`));
  }

  /** The table is filled only when looked at; once open it stays open. */
  function table(distances) {
    const details = element("details", {}, element("summary", {}, "Every distance, as a table"));
    const fill = () => { if (details.open && details.childElementCount === 1) details.append(rows(distances)); };
    details.addEventListener("toggle", fill);
    details.open = said.querySelector("details")?.open ?? false;
    fill();
    return details;
  }

  function rows(distances) {
    const heads = [unit, "shot", "in, of 100", "off"].map((word) => element("th", { scope: "col" }, word));
    const row = (one) => element("tr", {},
      element("th", { scope: "row" }, whole(one.left_m, unit)),
      element("td", {}, `${one.best.club} ${one.best.swing}${one.guess ? ", a guess" : ""}`),
      ...[inWords(one), missWords(one, unit)].map((words) => element("td", {}, words.split(" ")[0])));
    return element("table", { class: "figures leave-table" },
      element("thead", {}, element("tr", {}, ...heads)), element("tbody", {}, ...distances.map(row)));
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
