// Owns the three sentences of a bucket's end, from its own balls; knows no page. The visit's page says more with signal.

import { whyNot } from "./counts.js";
import { whole } from "./lengths.js";

/** How many counted, how they were struck, and where the clean ones of the busiest cell ended; `names` names a cell. */
export function endWords(shots, bucket, names, unit) {
  const kept = shots.filter((shot) => !shot.aside);
  const counted = kept.filter((shot) => !whyNot(shot, bucket, bucket.ball));
  return [howMany(kept.length, counted.length), strikes(kept), carries(counted, names, unit)].filter(Boolean);
}

function howMany(n, counted) {
  if (!n) return "No ball was noted.";
  const balls = n === 1 ? "1 ball" : `${n} balls`;
  if (counted === n) return `${balls} noted, and ${n === 1 ? "it counts" : "all count"} for the card.`;
  return counted ? `${balls} noted, ${counted} of them count for the card.` : `${balls} noted; none counts for the card.`;
}

function strikes(shots) {
  const said = shots.filter(({ contact }) => contact);
  const clean = said.filter(({ contact }) => contact === "clean").length;
  return said.length ? `${clean} of ${said.length} were struck clean.` : "";
}

function carries(shots, names, unit) {
  const cells = new Map();
  for (const shot of shots) {
    if (shot.landed !== "seen" || shot.contact !== "clean") continue;
    const key = `${shot.club_id}:${shot.swing_deg}`;
    cells.set(key, [...(cells.get(key) ?? []), shot.carry_m]);
  }
  const [key, most] = [...cells].reduce((best, one) => (one[1].length > best[1].length ? one : best), ["", []]);
  if (!most.length) return "";
  const [low, high] = [whole(Math.min(...most), unit), whole(Math.max(...most), unit)];
  const where = low === high ? `carried ${low}` : `carried ${low} to ${high}`;
  return `Clean balls of your ${names[key]} ${where}.`;
}
