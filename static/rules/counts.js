// Owns whether a ball counts for the card and why it does not, as store/derived.py and card/shots_behind.py decide it.
// Knows no page and no estimate.

/** The card for which balls of a kind count, beside the shown card of `ball`. */
export function cardOf(kind, ball) {
  return kind === ball ? "card" : `${kind}-ball card`;
}

/** Why a ball (a shot's body) does not count for the card of a kind of ball, in a few words; "" when it does. */
export function whyNot(shot, bucket, ball) {
  const [wind, force] = shot.wind ? [shot.wind, shot.wind_force] : [bucket.wind ?? "calm", bucket.wind_force ?? "light"];
  const lie = shot.lie ?? "level";
  const reasons = [
    [shot.aside, "set aside"],
    [bucket.aside, "bucket set aside"],
    [shot.course, "course note"],
    [shot.mode === "distance", "hit to a number"],
    [lie !== "level", `${lie} lie`],
    [shot.flight, shot.flight],
    [bucket.ball !== ball, `${bucket.ball} ball`],
    [bucket.monitor_note === "indoor" && !bucket.indoor_counts, "indoor estimate"],
    [wind !== "calm" && force === "strong", "strong wind"],
  ];
  return reasons.find(([holds]) => holds)?.[1] ?? "";
}
