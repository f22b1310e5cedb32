// Owns the controls of a page that choose something for this phone alone; what was chosen is kept by preferences.js.

import { prefer, preferences } from "./preferences.js";
import "./relabel.js"; // a unit chosen here is shown at once, also without signal

/** Let the controls marked data-prefer="unit" (or thumb, ...) speak for this phone. */
export function bindPreferences(root) {
  const controls = [...root.querySelectorAll("[data-prefer]")];
  for (const control of controls.filter(isTouched)) prefer({ [control.dataset.prefer]: valueOf(control) });
  for (const control of controls) {
    const name = control.dataset.prefer;
    const chosen = preferences()[name];
    if (control.type === "checkbox") control.checked = chosen ?? control.checked;
    else if (control.type === "radio") control.checked = chosen === undefined ? control.checked : String(chosen) === control.value;
    else if (chosen !== undefined && chosen !== null) control.value = String(chosen);
    control.addEventListener("change", () => prefer({ [name]: valueOf(control) }));
  }
}

/**
 * Whether a player was faster than this script: what was chosen before it had come is chosen too. No browser fills these
 * controls when Back brings their page: they bear autocomplete="off".
 */
function isTouched({ type, checked, defaultChecked }) {
  return type === "checkbox" ? checked !== defaultChecked : type === "radio" && checked && !defaultChecked;
}

function valueOf(control) {
  if (control.type === "checkbox") return control.checked;
  const words = { true: true, false: false, null: null };
  return control.value in words ? words[control.value] : control.value;
}
