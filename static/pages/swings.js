// Owns the swing table folded over the patch: one touch on a cell chooses the next call, a press and slide its carry.

import { armDrawing } from "../ui/arm.js";
import { toM, whole } from "../rules/lengths.js";
import { cellOf } from "../rules/visit.js";
import { unchanged } from "./balls.js";

const SLIDE_PIXELS = 9; // a slide this long changes the meant carry by one unit
const SLIDE_FROM = 12; // pixels before a press counts as a slide

/**
 * Draw the table of cells as the card's lies: a wedge a column, the longest swing on top. `onpick({club_id, swing_deg,
 * meant_carry_m})` hears the choice, null meaning "typical".
 */
export function drawSwings(table, readout, { data, call, unit, onpick }) {
  if (unchanged(table, [unit, call.club_id, call.swing_deg])) return;
  const head = document.createElement("tr");
  head.append(document.createElement("td"), ...data.clubs.map((club) => headCell("col", club.name)));
  const rows = [...data.swings].sort((one, other) => other.swing_deg - one.swing_deg).map((swing) => {
    const row = document.createElement("tr");
    row.append(headCell("row", armDrawing(swing.swing_deg, data.mirrored), swing.name));
    for (const club of data.clubs) {
      const cell = cellOf(data, { club_id: club.id, swing_deg: swing.swing_deg });
      const button = cellButton(club, swing, cell, unit);
      if (club.id === call.club_id && swing.swing_deg === call.swing_deg) button.setAttribute("aria-current", "true");
      const pick = (meant_carry_m) => onpick({ club_id: club.id, swing_deg: swing.swing_deg, meant_carry_m });
      slidable(button, readout, whole(cell.typical_carry_m, unit), (meant) => pick(meant === null ? null : toM(meant, unit)));
      const place = document.createElement("td");
      place.append(button);
      row.append(place);
    }
    return row;
  });
  table.toggleAttribute("data-in-words", data.clubs.some(({ name }) => /[^\s-]{7}/.test(name)));
  table.replaceChildren(head, ...rows);
}

function cellButton(club, swing, cell, unit) {
  const button = document.createElement("button");
  button.type = "button";
  button.dataset.trust = cell.trust;
  const typical = whole(cell.typical_carry_m, unit);
  button.append(made("span", "number", typical), made("small", "", cell.trust));
  button.setAttribute("aria-label", `${club.name} ${swing.name}, ${typical}, ${cell.trust}`);
  return button;
}

function made(tag, className, textContent) {
  return Object.assign(document.createElement(tag), { className, textContent });
}

function slidable(button, readout, typical, onpick) {
  let start = null;
  const slid = (event) => Math.round((start.y - event.clientY) / SLIDE_PIXELS);
  const far = (event) => Math.abs(start.y - event.clientY) >= SLIDE_FROM;
  button.addEventListener("pointerdown", (event) => {
    if (event.button > 0) return;
    start = { y: event.clientY, slides: false };
    button.setPointerCapture(event.pointerId);
  });
  button.addEventListener("pointermove", (event) => {
    if (!start) return;
    start.slides ||= far(event);
    if (!start.slides) return;
    readout.hidden = false;
    readout.textContent = Math.max(typical + slid(event), 1);
  });
  button.addEventListener("pointerup", (event) => {
    if (!start) return;
    const meant = start.slides ? Math.max(typical + slid(event), 1) : null;
    start = null;
    readout.hidden = true;
    onpick(meant);
  });
  button.addEventListener("pointercancel", () => { start = null; readout.hidden = true; });
  button.addEventListener("click", (event) => { if (event.detail === 0) onpick(null); });
}

function headCell(scope, ...content) {
  const cell = document.createElement("th");
  cell.scope = scope;
  cell.append(...content);
  return cell;
}
