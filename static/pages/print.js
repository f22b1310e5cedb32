// Owns the bar of the print page, which opens the browser's own print; without a script its menu does.

export function start() {
  document.getElementById("print")?.addEventListener("click", () => print());
}
