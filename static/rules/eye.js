// Owns what pairs of a distance said by eye and then measured tell, in a sentence; knows no page.

import { EYE } from "./more_constants.js";
import { whole } from "./lengths.js";
import { counted } from "./words.js";

/** "You see 55 where it is 52, give or take 3 (10 balls)."; "" without a pair. `pairs` hold said_m and measured_m. */
export function eyeWords(pairs, unit) {
  const kept = pairs.filter(({ said_m, measured_m }) => Math.abs(Math.log(said_m / measured_m)) < Math.log(EYE.slip));
  if (kept.length < EYE.pairs) return pairs.length ? `${counted(pairs.length, "ball")} checked: three tell something, ten tell more.` : "";
  const ratios = kept.map(({ said_m, measured_m }) => Math.log(said_m / measured_m));
  const bias = mean(ratios);
  const sd = Math.sqrt(ratios.reduce((sum, ratio) => sum + (ratio - bias) ** 2, 0) / (ratios.length - 1));
  const measured_m = Math.exp(mean(kept.map((pair) => Math.log(pair.measured_m))));
  const said_m = measured_m * Math.exp(bias);
  const [said, measured] = [whole(said_m, unit), whole(measured_m, unit)];
  const slips = pairs.length - kept.length;
  const left = slips ? ` ${counted(slips, "pair")} left out: one number is twice the other or more.` : "";
  const rest = `, give or take ${whole(Math.max(EYE.least_m, said_m * sd), unit)} (${counted(kept.length, "ball")}).${left}`;
  const sure = EYE.errors[Math.min(kept.length - EYE.pairs, EYE.errors.length - 1)];
  const biased = Math.abs(bias) > sure * (sd / Math.sqrt(kept.length));
  return biased ? `You see ${said} where it is ${measured}${rest}` : `No bias shows: at ${measured} you say ${said}${rest}`;
}

function mean(values) {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}
