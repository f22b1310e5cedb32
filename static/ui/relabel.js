// Owns the lengths written on a page: each carries its metres in data-m, so that nothing is rounded twice.

import { UNIT_NAMES } from "../rules/constants.js";
import { whole } from "../rules/lengths.js";

/** Show every length under `root` in `unit`. */
export function relabel(root, unit) {
  for (const element of root.querySelectorAll("[data-m]")) {
    if (element.dataset.m) element.textContent = whole(element.dataset.m, unit);
  }
  for (const element of root.querySelectorAll("[data-unit-name]")) {
    if (!element.closest("form")?.elements.lengths_in) element.textContent = element.dataset.unitName ? unit : UNIT_NAMES[unit]; // such a form is read as it came
  }
  for (const element of root.querySelectorAll("[data-ticks]")) element.toggleAttribute("data-other", element.dataset.ticks !== unit);
}
