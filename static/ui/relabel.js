// Owns the lengths written on a page: each carries its metres in data-m, so that nothing is rounded twice.

import { UNIT_NAMES } from "../rules/constants.js";
import { whole } from "../rules/lengths.js";

/** Show every length under `root` in `unit`. */
export function relabel(root, unit) {
  for (const element of root.querySelectorAll("[data-m]")) {
    if (element.dataset.m !== "") element.textContent = whole(Number(element.dataset.m), unit);
  }
  for (const element of root.querySelectorAll("[data-unit-name]")) element.textContent = UNIT_NAMES[unit];
  for (const ticks of root.querySelectorAll("[data-ticks]")) ticks.toggleAttribute("data-other", ticks.dataset.ticks !== unit);
}
