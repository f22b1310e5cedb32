// Owns the touch on the dial: the number under the thumb turns its arm blue and fills the answer strip.

/** Let a touch, or a thumb swept along an arm, choose; keys and readers have the swing table. */
export function bindDial(root) {
  const dials = root.querySelectorAll(".dial");
  for (const dial of dials) {
    dial.addEventListener("click", (event) => {
      const key = keyAt(event.target);
      if (!key) return;
      event.preventDefault(); // without scripts the number leads to its shots; the strip does now
      choose(root, key);
    });
    dial.addEventListener("pointermove", (event) => {
      const key = event.buttons && keyAt(document.elementFromPoint(event.clientX, event.clientY));
      if (key) choose(root, key);
    });
  }
  const shown = root.querySelector(".answer:not([hidden])");
  if (shown) choose(root, shown.dataset.cell);
}

function choose(root, key) {
  const swing = key.split(":").at(-1);
  for (const answer of root.querySelectorAll(".answer")) answer.hidden = answer.dataset.cell !== key;
  for (const cell of root.querySelectorAll(".dial .cell")) {
    const chosen = cell.dataset.cell === key;
    cell.classList.toggle("chosen", chosen);
    if (chosen) cell.closest("a")?.parentNode.append(cell.closest("a")); // its box lies over its neighbours'
    cell.classList.toggle("on-arm", cell.dataset.cell.split(":").at(-1) === swing);
  }
  for (const part of root.querySelectorAll(".dial [data-swing]")) part.classList.toggle("chosen", part.dataset.swing === swing);
}

function keyAt(element) {
  return element?.closest(".dial a")?.querySelector(".cell").dataset.cell;
}
