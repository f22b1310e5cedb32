// Owns the arm drawing, the sign for a length of swing everywhere: a circle with one thick hand at the lead arm's angle.

const SVG = "http://www.w3.org/2000/svg";

/** An SVG of the arm at `swing_deg` from address; right-handed seen from the front goes left, mirrored goes right. */
export function armDrawing(swing_deg, mirrored) {
  const angle = (swing_deg * Math.PI) / 180;
  const reach = 30;
  const x = 40 + (mirrored ? 1 : -1) * reach * Math.sin(angle);
  const y = 40 + reach * Math.cos(angle);
  const drawing = svg("svg", { viewBox: "0 0 80 80", class: "arm", "aria-hidden": "true" });
  drawing.append(
    svg("circle", { cx: 40, cy: 40, r: 34, fill: "none", stroke: "currentColor", "stroke-width": 4 }),
    svg("line", { x1: 40, y1: 40, x2: x.toFixed(1), y2: y.toFixed(1), stroke: "currentColor", "stroke-width": 11, "stroke-linecap": "round" }),
  );
  return drawing;
}

/** One SVG element with its attributes; `text` becomes its content. */
export function svg(name, attributes = {}, text = "") {
  const element = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  if (text !== "") element.textContent = text;
  return element;
}
