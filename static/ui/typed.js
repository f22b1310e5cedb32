// Owns the boxes that take a number: what was typed is read here, and what is none is refused in a line under the box.
// A box bears its name in data-typed and its bounds, in SI, in data-low and data-high (webapp/forms/numbers.py).

import { UNIT_NAMES } from "../rules/constants.js";
import { TEMPERATURE_NAMES } from "../rules/more_constants.js";
import { fromM, toM } from "../rules/lengths.js";
import { temperature } from "../rules/readings.js";
import { boundsWords, numberTyped } from "../rules/typed.js";

const BEGUN = /^[\s+\-\u2212.,]+$/; // a sign or a mark alone: the digits are still to come
const PLACE = ".field, .far, .inline, fieldset, p"; // the part of a form that a box stands in

let bound = false;

/** Read every box as it is typed into, before the page's own script does; no form is sent while one holds no number. */
export function bindNumbers(page) {
  if (bound) return;
  bound = true;
  // What was typed while this script was on its way is read now.
  for (const box of page.querySelectorAll("[data-typed]")) if (box.value) tell(box, BEGUN.test(box.value) ? "" : check(box));
  page.addEventListener("input", ({ target }) => {
    if (!isNumberBox(target)) return;
    const wrong = check(target);
    tell(target, BEGUN.test(target.value) ? "" : wrong);
  }, true);
  page.addEventListener("change", ({ target }) => { if (isNumberBox(target)) tell(target, check(target)); }, true);
  page.addEventListener("invalid", (event) => {
    const box = event.target;
    if (!isNumberBox(box) || !box.validity.customError) return;
    event.preventDefault();
    tell(box, box.validationMessage);
    box.focus();
  }, true);
}

/** The number in a box, null where it is empty; undefined where it is refused, and the line under the box says why. */
export function numberIn(box) {
  const wrong = check(box);
  tell(box, wrong);
  return wrong ? undefined : numberTyped(box.value);
}

/** The same within the bounds of a box whose number has no unit to be typed in. */
export function numberWithin(box) {
  return bounded(box, (number) => number, (stored) => stored, "");
}

/** The unit that a form shows its lengths in and is read in; on a page kept from before it said so, the page's. */
export function unitOf({ elements }) {
  return elements.lengths_in?.value ?? document.body.dataset.unit;
}

/** The length in a box [m], typed in `unit`; null and undefined as for numberIn. */
export function lengthIn(box, unit) {
  return bounded(box, (length) => toM(length, unit), (length_m) => fromM(length_m, unit), UNIT_NAMES[unit]);
}

/** The temperature in a box [degC], typed in `unit`; null and undefined as for numberIn. */
export function temperatureIn(box, unit) {
  const { toStored, fromStored } = temperature;
  return bounded(box, (degrees) => toStored(degrees, unit), (degc) => fromStored(degc, unit), TEMPERATURE_NAMES[unit]);
}

function bounded(box, toStored, fromStored, unitName) {
  const number = numberIn(box);
  if (number === null || number === undefined) return number;
  const stored = toStored(number);
  const { low = -Infinity, high = Infinity } = box.dataset;
  if (stored >= Number(low) && stored <= Number(high)) return stored;
  tell(box, refusal(box, boundsWords(fromStored(Number(low)), fromStored(Number(high)), unitName)));
  return undefined;
}

/** What is wrong with what stands in a box, in a sentence, or ""; the browser is told too, so that no form goes. */
function check(box) {
  let wrong = "";
  try {
    numberTyped(box.value);
  } catch ({ message }) {
    wrong = refusal(box, message);
  }
  box.setCustomValidity(wrong);
  return wrong;
}

function refusal({ dataset: { typed: what } }, wrong) {
  return `${what[0].toUpperCase()}${what.slice(1)} ${wrong}.`;
}

/** Show what is wrong under the box, also where it is folded away; "" takes the line back. */
export function tell(box, wrong) {
  const id = `wrong-${box.id || box.name}`;
  const line = document.getElementById(id) ?? Object.assign(document.createElement("span"), { id, className: "wrong", role: "alert" });
  if (!wrong) {
    line.remove();
    if (box.getAttribute("aria-describedby") === id) for (const name of ["aria-describedby", "aria-invalid"]) box.removeAttribute(name);
    return;
  }
  if (!line.isConnected) (box.closest(PLACE) ?? box.parentElement).append(line);
  if (line.textContent !== wrong) line.textContent = wrong;
  box.setAttribute("aria-describedby", id);
  box.setAttribute("aria-invalid", "true");
  for (let around = box.closest("details"); around; around = around.parentElement.closest("details")) around.open = true;
}

function isNumberBox(target) {
  return target.dataset?.typed !== undefined;
}
