// Owns a code that came in the address's fragment: it goes into its box, and out of the address; the history keeps no secret.

const box = document.querySelector("[data-fragment]");
if (box && location.hash.length > 1) {
  box.value = location.hash.slice(1);
  history.replaceState(history.state, "", location.pathname + location.search);
}
