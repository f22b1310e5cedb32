// Owns the question for a flag, its roll and its trouble: in the unit of this phone, with steps, shut by card only.

import { toM, whole } from "../rules/lengths.js";
import { isCardOnly } from "../ui/card_only.js";
import { element } from "../ui/elements.js";
import { preferred, preferences } from "../ui/preferences.js";
import { shutPage } from "../ui/round_lock.js";
import { numberIn } from "../ui/typed.js";

const PAUSE_MS = 700; // between the last key and the speaking: a reader would hear every answer to the end
const DISTANCES = ["flag", "roll", "front", "back"];

export class FlagForm {
  constructor(form) {
    this.form = form;
    this.unit = form.elements.unit.value;
  }

  /**
   * Call `tell` now and after every change; what it returns is spoken, once typing pauses, to who does not see. Steps go on from `from_m` where no flag is typed; `reach` is called before,
   * at first and whenever the unit is another one.
   */
  begin(from_m, tell, reach = () => {}) {
    const { form } = this;
    const { flag } = form.elements;
    const spoken = element("p", { id: "spoken", class: "visually-hidden", role: "status" });
    let timer = null;
    const answer = () => {
      const sentence = tell();
      clearTimeout(timer);
      timer = setTimeout(() => { spoken.textContent = sentence; }, PAUSE_MS);
    };
    reach();
    this.follow(reach);
    form.after(spoken);
    tell();
    form.addEventListener("input", answer);
    form.addEventListener("submit", (event) => { event.preventDefault(); answer(); });
    for (const button of form.querySelectorAll("[data-step]")) {
      button.addEventListener("click", () => {
        const from = numberIn(flag) || whole(from_m, this.unit);
        flag.value = Math.max(1, Math.round(from) + Number(button.dataset.step));
        answer();
      });
    }
    preferred.addEventListener("change", () => { this.follow(reach); answer(); });
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
