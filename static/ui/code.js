// Owns a code that comes in the address's fragment: it goes into its box, and out of the address; the history keeps no secret.

const box = document.querySelector("[data-fragment]");
if (box) {
  addEventListener("hashchange", takeCode); // another code opened in this tab loads no page
  takeCode();
}

function takeCode() {
  if (location.hash.length < 2) return;
  box.value = location.hash.slice(1);
  history.replaceState(history.state, "", location.pathname + location.search);
}
