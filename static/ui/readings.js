// Owns a box for a reading beside the choice of its unit; knows no conversion.

import { preferences, prefer, preferred } from "./preferences.js";

/**
 * Let the choice beside a box speak for this phone. A number that was typed keeps its digits when the unit changes;
 * a number that the page showed (data-kept holds what is stored) is shown again in the new unit.
 */
export function bindUnit(box, choice, name, { shown }) {
  const isTyped = () => box.value !== "" && (box.dataset.kept === undefined || box.value !== box.defaultValue);
  const showKept = () => {
    if (box.dataset.kept === undefined || isTyped()) return;
    box.defaultValue = box.value = shown(Number(box.dataset.kept), choice.value);
  };
  const follow = () => {
    if (isTyped()) return;
    choice.value = preferences()[name] ?? choice.value;
    showKept();
  };
  choice.addEventListener("change", () => {
    showKept();
    prefer({ [name]: choice.value });
  });
  preferred.addEventListener("change", follow);
  if (isTouched(choice)) prefer({ [name]: choice.value });
  follow();
}

/** Whether a player was faster than this script: a unit chosen before it had come is chosen too. */
function isTouched({ options, selectedOptions: [chosen] }) {
  return !chosen.defaultSelected && [...options].some(({ defaultSelected }) => defaultSelected);
}
