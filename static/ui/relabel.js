// Owns the lengths written on a page: each carries its metres in data-m, so that nothing is rounded twice.

import { UNIT_NAMES } from "../rules/constants.js";
import { whole } from "../rules/lengths.js";

/** Show every length under `root` in `unit`. */
export function relabel(root, unit) {
  for (const element of root.querySelectorAll("[data-m]")) {
    if (element.dataset.m !== "") element.textContent = whole(Number(element.dataset.m), unit);
  }
  for (const element of root.querySelectorAll("[data-unit-name]")) {
    if (!element.closest("form")?.elements.lengths_in) element.textContent = UNIT_NAMES[unit]; // such a form is read as it came
  }
  for (const ticks of root.querySelectorAll("[data-ticks]")) ticks.toggleAttribute("data-other", ticks.dataset.ticks !== unit);
}
