// Owns the course notes page: the card's numbers under the thumb, and a note kept on this phone without the server.

import { add, newFact } from "../outbox.js";
import { keepOrSend } from "../ui/keep_or_send.js";
import { tellAge, tellUnit } from "../ui/since.js";
import { lengthIn, unitOf } from "../ui/typed.js";

const ABOUT = "course";

export function start(data) {
  tellUnit(data.unit);
  tellAge(data);
  const form = document.getElementById("note");
  const { meant } = form.elements;
  for (const button of form.querySelectorAll("[data-meant]")) {
    button.addEventListener("click", () => { meant.value = button.dataset.meant; show(); });
  }
  meant.addEventListener("input", show);
  keepOrSend(form, async ({ submitter }) => {
    const meant_m = lengthIn(meant, unitOf(form));
    if (!meant_m) return say(meant_m === null ? "Say how far it was meant to carry. Nothing was noted yet." : "Nothing was noted yet.");
    const landed = submitter.value;
    const words = `meant_m=${meant_m.toFixed(4)} landed=${landed} lie=${form.elements.lie.value}`;
    await add(document.body.dataset.book, [newFact("note", { words, about: ABOUT })]);
    document.getElementById("none-yet")?.replaceChildren("The note is counted here at the next look.");
    say(`Saved on this phone: meant ${meant.value}, landed ${landed}.`);
    meant.value = "";
    show();
  });

  function show() {
    for (const button of form.querySelectorAll("[data-meant]")) {
      button.setAttribute("aria-pressed", String(button.dataset.meant === meant.value));
    }
  }

  function say(text) {
    let line = form.querySelector("[data-said]");
    if (!line) {
      line = Object.assign(document.createElement("p"), { className: "notice" });
      line.dataset.said = "";
      line.setAttribute("role", "status");
      form.append(line);
    }
    line.textContent = text;
  }
}
