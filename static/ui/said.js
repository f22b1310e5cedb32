// Owns the line at the head of a page that says what came of a deed.

/** Say it, and bring the line into sight: the button that was touched may lie far below it. */
export function say(text) {
  const line = document.getElementById("said");
  line.textContent = text;
  line.hidden = false;
  line.scrollIntoView({ block: "center" });
}
