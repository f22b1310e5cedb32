// Owns the line that offers a new version; update.js knows when there is one and what taking it means.

/** Say that a new version is ready, once a page; `onswitch` hears that the player takes it. */
export function showOffer(onswitch) {
  if (document.querySelector("[data-update]")) return;
  const line = document.createElement("p");
  line.dataset.update = "";
  line.className = "update-offer";
  line.setAttribute("role", "status");
  const button = Object.assign(document.createElement("button"), { type: "button", textContent: "switch to it" });
  button.addEventListener("click", () => {
    // The old worker first finishes what it is fetching, which may take seconds.
    Object.assign(button, { disabled: true, textContent: "switching" });
    onswitch();
  });
  line.append("A new version is ready. ", button);
  (document.querySelector("main") ?? document.body).prepend(line);
}
