// The way out when a worker misbehaves: served as /sw.js it clears every cache and takes itself off; facts stay untouched.

addEventListener("install", () => skipWaiting());

addEventListener("activate", (event) => {
  event.waitUntil(leave());
});

async function leave() {
  for (const name of await caches.keys()) await caches.delete(name);
  await registration.unregister();
  for (const client of await clients.matchAll({ type: "window" })) client.navigate(client.url);
}
