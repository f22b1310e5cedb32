// Owns the question for a flag, its roll and its trouble: in the unit of this phone, with steps, shut by card only.

import { toM, whole } from "../rules/lengths.js";
import { isCardOnly } from "../ui/card_only.js";
import { preferred, preferences } from "../ui/preferences.js";
import { shutPage } from "../ui/round_lock.js";
import { numberIn } from "../ui/typed.js";

const DISTANCES = ["flag", "roll", "front", "back"];

export class FlagForm {
  constructor(form) {
    this.form = form;
    this.unit = form.elements.unit.value;
  }

  /**
   * Call `tell` now and after every change. Steps go on from `from_m` where no flag is typed; `reach` is called before,
   * at first and whenever the unit is another one.
   */
  begin(from_m, tell, reach = () => {}) {
    const { form } = this;
    const { flag } = form.elements;
    reach();
    this.follow(reach);
    tell();
    form.addEventListener("input", tell);
    form.addEventListener("submit", (event) => { event.preventDefault(); tell(); });
    for (const button of form.querySelectorAll("[data-step]")) {
      button.addEventListener("click", () => {
        const from = numberIn(flag) || whole(from_m, this.unit);
        flag.value = Math.max(1, Math.round(from) + Number(button.dataset.step));
        tell();
      });
    }
    preferred.addEventListener("change", () => { this.follow(reach); tell(); });
    preferred.addEventListener("change", () => { if (isCardOnly()) shutPage(); });
  }

  /** What is asked, {flag_m, roll_m, front_m, back_m}: null where nothing is typed, undefined where it is refused. */
  lengths() {
    const length = (typed) => (typed === null || typed === undefined ? typed : toM(typed, this.unit));
    return Object.fromEntries(DISTANCES.map((name) => [`${name}_m`, length(numberIn(this.form.elements[name]))]));
  }

  /** Turn what was asked into the unit this phone chose since the page was made. */
  follow(reach) {
    const { elements } = this.form;
    const chosen = preferences().unit ?? this.unit;
    if (chosen === this.unit) return;
    for (const name of DISTANCES) {
      const typed = numberIn(elements[name]);
      if (typed) elements[name].value = whole(toM(typed, this.unit), chosen);
    }
    this.unit = elements.unit.value = chosen;
    reach();
  }
}
