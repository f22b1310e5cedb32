// Owns what is said of how many balls were struck today; it advises and never stops anybody. Not medical advice.
// Knows no page; webapp/practice/limits.py says the same.

import { STILL_TODAY_MS, REST_EVERY, WEEK_MS } from "./more_constants.js";

/**
 * Balls struck, warm-up included, as {today, week}: days are those of the player's clock, `utc_offset_min` ahead of UTC.
 * `counted` are the buckets that the server knew when it made the page, `here` those on this phone, each
 * {id, begun_at, utc_offset_min, n}; of a bucket that both know the larger n holds, since either may have missed balls,
 * and the server's time, since it cuts off what a clock that ran ahead told.
 */
export function struck(counted, here, now_ms, utc_offset_min) {
  const buckets = new Map(counted.map((one) => [one.id, one]));
  for (const one of here) buckets.set(one.id, { ...one, ...buckets.get(one.id), n: Math.max(one.n, buckets.get(one.id)?.n ?? 0) });
  const dayOf = ({ begun_at, utc_offset_min: ahead_min }) => dayAt(Date.parse(begun_at), ahead_min ?? 0);
  const today = dayAt(now_ms, utc_offset_min);
  const before = dayAt(now_ms - WEEK_MS, utc_offset_min);
  const week = [...buckets.values()].filter((one) => dayOf(one) > before);
  // Practice that runs past midnight is still today's.
  const isToday = (one) => dayOf(one) >= today || now_ms - Date.parse(one.begun_at) < STILL_TODAY_MS;
  const balls = (some) => some.reduce((sum, { n }) => sum + n, 0);
  return { today: balls(week.filter(isToday)), week: balls(week) };
}

function dayAt(ms, ahead_min) {
  return new Date(ms + ahead_min * 60_000).toISOString().slice(0, 10);
}

/** At the player's own limit, and at every twentieth ball, a sentence; before a plan of `more` balls one that goes beyond it. */
export function limitWords(struck_today, limit, more = 0) {
  if (more) {
    const already = struck_today ? ` with the ${struck_today} struck today` : "";
    return limit !== null && struck_today + more > limit ? `${more} balls${already} are more than your limit of ${limit} a day.` : "";
  }
  if (limit !== null && struck_today >= limit) {
    return `${struck_today} balls today, and your limit is ${limit}. Stopping here is fine; noting goes on.`;
  }
  return struck_today && !(struck_today % REST_EVERY) ? `${struck_today} balls today: take a rest.` : "";
}
