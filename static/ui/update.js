// Owns the worker's registration and the change to a new version: ask, switch, one reload.

// Chromium may keep a worker for minutes that is asked for a file while it is to go; loading the page anew lets it go.
const LONGEST_SWITCH_MS = 3000;

/** Register the worker; when a newer one stands ready, offer it in a line that never covers what the player is doing. */
export async function keepUpToDate() {
  if (!navigator.serviceWorker) return;
  let asked = false;
  navigator.serviceWorker.addEventListener("controllerchange", () => {
    // The first worker of all takes over too, and needs no reload; only a switch the player asked for does.
    if (asked) location.reload();
  });
  const registration = await navigator.serviceWorker.register("/sw.js");
  refill(navigator.serviceWorker.controller);
  const offer = (worker) => showOffer(() => {
    asked = true;
    worker.postMessage("switch");
    setTimeout(() => location.reload(), LONGEST_SWITCH_MS);
  });
  if (registration.waiting && navigator.serviceWorker.controller) offer(registration.waiting);
  registration.addEventListener("updatefound", () => {
    const worker = registration.installing;
    worker.addEventListener("statechange", () => {
      if (worker.state === "installed" && navigator.serviceWorker.controller) offer(worker);
    });
  });
}

/** A browser that made room may have thrown the program's files away; the worker fetches them anew. */
async function refill(worker) {
  if (worker && !(await caches.match(import.meta.url, { ignoreVary: true }))) worker.postMessage("fill");
}

/** Say that a new version is ready, once a page; `onswitch` hears that the player takes it. */
function showOffer(onswitch) {
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
