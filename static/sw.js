// Owns what is kept for the day without signal: the shell and the pages of one book; it never sees a fact.
// The server puts `const SHELL = {version, files}` in front of this file, made from static/.

const SHELL_CACHE = `shell-${SHELL.version}`;
const NEVER_KEPT = /^\/(api|w|recovery|export|job)(\/|$)/;
const PATIENCE_MS = 2500; // a bar of signal that answers nothing must not keep the player from the next ball

const fill = async () => (await caches.open(SHELL_CACHE)).addAll(SHELL.files);

addEventListener("install", (event) => event.waitUntil(fill()));

addEventListener("activate", (event) => {
  event.waitUntil(dropOldShells().then(() => clients.claim()));
});

// The player asks for the new version; it is never forced on a page in use. A page that misses the shell has it filled.
addEventListener("message", (event) => {
  if (event.data === "switch") skipWaiting();
  if (event.data === "fill") event.waitUntil(fill().then(() => event.source.postMessage("filled")));
});

addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== location.origin || NEVER_KEPT.test(url.pathname)) return;
  if (url.pathname.startsWith("/static/")) event.respondWith(fromShell(request, url));
  else if (request.mode === "navigate") event.respondWith(fromServer(event, url));
});

/** A page kept under another version asks for that version's file: without signal this version's stands in. */
async function fromShell(request, url) {
  const shell = await caches.open(SHELL_CACHE);
  const kept = await shell.match(url, { ignoreVary: true });
  if (kept) return kept;
  const name = url.pathname.replace(/^\/static\/[^/]+/, "");
  return fetch(request).catch(async () => (await shell.match(`/static/${SHELL.version}${name}`, { ignoreVary: true })) ?? Response.error());
}

/** Ask the server, and give the kept page when it is away, silent, or says that the page is still the same. */
async function fromServer(event, url) {
  const kept = await keptPage(url.pathname === "/" ? new URL("/card", url) : url); // the first page leads to the card
  const tag = kept?.headers.get("ETag");
  const answer = fetch(url, {
    headers: { Accept: "text/html", "X-Kept-Page": "1", ...(tag ? { "If-None-Match": tag } : {}) },
    credentials: "same-origin",
    redirect: "manual",
    cache: "no-store",
  }).then(async (response) => {
    // A full phone keeps nothing more, and shows what has come.
    await keep(url, response, (kept?.headers.get("X-Kept-For") ?? "").replace(/^\d+/, response.headers.get("X-Cursor") ?? "0")).catch(() => {});
    return response;
  });
  event.waitUntil(answer.catch(() => {}));
  if (!kept) return answer.catch(() => notHere(url));
  const silence = new Promise((resolve) => { setTimeout(resolve, PATIENCE_MS, kept); });
  const stands = ({ status }) => status >= 500 || status === 304;
  return Promise.race([answer.then((response) => (stands(response) ? kept : response), () => kept), silence]);
}

/** Only pages that name their book are kept; keeping.js says what the mark means, and this page may be of a later fact. */
async function keep(url, response, mark) {
  const book = response.headers.get("X-Book");
  if (!response.ok || !book) return;
  const cache = await caches.open(`pages-${book}`);
  const headers = new Headers([...response.headers, ["X-Kept-For", mark]]);
  // "The last visit" is also kept under the address that the page itself is opened by.
  const addresses = [url, new URL(response.headers.get("Content-Location") ?? url, url)];
  for (const address of new Set(addresses.map(String))) await cache.put(address, new Response(response.clone().body, { headers }));
}

/** What is said instead of a page that this phone never had; the server made both pages with this version's shell. */
async function notHere({ pathname }) {
  const said = await (await caches.open(SHELL_CACHE)).match(pathname === "/" ? "/start/without-signal" : "/without-signal");
  return said ? new Response(said.body, { status: 503, headers: said.headers }) : Response.error();
}

async function keptPage(url) {
  for (const name of await caches.keys()) {
    if (!name.startsWith("pages-")) continue;
    const kept = await (await caches.open(name)).match(url, { ignoreVary: true });
    if (kept) return kept;
  }
  return undefined;
}

async function dropOldShells() {
  for (const name of await caches.keys()) {
    if (name.startsWith("shell-") && name !== SHELL_CACHE) await caches.delete(name);
  }
}
