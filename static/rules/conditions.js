// Owns what a carry plays and flies today, from the card's ladder of flights that the server sent.
// Knows nothing of pages, units of length on show or storage; webapp/conditions/today.py holds the same rule.

import { COLD_BALL_DEGC, LEAST_GAIN, MORE_M, OPEN_SHARE, WIDEST_SHARE } from "./more_constants.js";
import { carryM, skyOf } from "./flight.js";

const OWN = 0;
const CORNERS = [1, 2, 3, 4];
const MORE = 5;

/**
 * The card's ladder flown at home and on one day, one cause after the other.
 *
 * @param {{rungs: {key: string, card_m: number, flights: number[][]}[], home: object}} data the page's ladder and home
 * @param {{temperature_c: number, altitude_m: number, tail_mps: number, wind_at: string, target_up_m: number}} today
 */
export function dayOf(data, today) {
  const { rungs, home } = data;
  const steps = oneByOne(home, today);
  const atHome = rungs.map(({ card_m, flights }) => flights.map((_, place) => card_m + (place === MORE ? MORE_M : 0)));
  const flown = steps.map(([, here]) => {
    const sky = skyOf(here);
    return rungs.map(({ flights }) => flights.map((launch) => carryM(launch, sky, here.target_up_m)));
  });
  return {
    rungs,
    causes: steps.map(([cause]) => cause),
    carries_m: [atHome, ...flown],
    tail_mps: today.tail_mps,
    at_least: home.temperature_c - today.temperature_c >= COLD_BALL_DEGC,
  };
}

/**
 * The carry of the card to play for a target [m].
 *
 * @returns {{carry_m: number, low_m: number, high_m: number, at_least: boolean,
 *   parts: {cause: string, change_m: number}[]}|{refused: string, reach_m: number, open_m: number}}
 */
export function plays(day, target_m) {
  if (!day.rungs.length) return refused("no card");
  const line = lineOf(day, columnOf(day, -1, OWN));
  const reach_m = Math.max(0, ...line.map(([, today_m]) => today_m));
  if (!line.length || target_m < line[0][1]) return refused(day.carries_m.at(-1)[0][OWN] === null ? "steep" : "short", reach_m);
  if (target_m > reach_m) return refused("long", reach_m);
  const launches = CORNERS.map((corner) => columnOf(day, -1, corner));
  if ([...launches, gainsOf(day)].some((values) => values.every((value) => value === null))) return refused("steep", reach_m);
  const played_m = readBackM(day, -1, OWN, target_m);
  if (atCard(day, gainsOf(day), played_m) < LEAST_GAIN) return refused("no gain", reach_m);
  const open_m = spread(windOf(day).map((changes) => atCard(day, changes, played_m)));
  return answer(day, target_m, open_m, (step, flight) => readBackM(day, step, flight, target_m));
}

/** What the number on rung `place` of the ladder becomes today; answers as `plays`. */
export function flies(day, place) {
  const carries_m = day.carries_m.map((rungs) => rungs[place]);
  if (carries_m.at(-1).includes(null)) return refused("steep");
  const open_m = spread(windOf(day).map((changes) => changes[place]));
  return answer(day, day.rungs[place].card_m, open_m, (step, flight) => carries_m.at(step)[flight]);
}

function answer(day, asked_m, open_m, carryOf) {
  if (open_m > WIDEST_SHARE * asked_m) return refused("wide", 0, open_m);
  const own_m = day.carries_m.map((_, step) => carryOf(step, OWN));
  const parts = day.causes.map((cause, step) => ({ cause, change_m: own_m[step + 1] - own_m[step] }));
  const isAir = ({ cause }) => ["temperature", "altitude"].includes(cause) || (cause === "wind" && day.tail_mps < 0);
  const air_m = OPEN_SHARE * parts.filter(isAir).reduce((sum, { change_m }) => sum + Math.abs(change_m), 0);
  const edges = [OWN, ...CORNERS].map((flight) => carryOf(-1, flight));
  const carry_m = own_m.at(-1);
  return {
    carry_m,
    low_m: Math.min(...edges, carry_m - air_m),
    high_m: Math.max(...edges, carry_m + air_m),
    at_least: day.at_least,
    parts,
  };
}

function refused(why, reach_m = 0, open_m = 0) {
  return { refused: why, reach_m, open_m };
}

/** Home turned into today one cause at a time, so that the parts add up; causes that are as at home are left out. */
function oneByOne({ temperature_c, altitude_m }, today) {
  const home = { temperature_c, altitude_m, tail_mps: 0, wind_at: "forecast", target_up_m: 0 };
  const warm = { ...home, temperature_c: today.temperature_c };
  const high = { ...warm, altitude_m: today.altitude_m };
  const windy = { ...high, tail_mps: today.tail_mps, wind_at: today.wind_at };
  const steps = [
    ["temperature", warm, today.temperature_c !== home.temperature_c],
    ["altitude", high, today.altitude_m !== home.altitude_m],
    ["wind", windy, today.tail_mps !== 0],
    ["height", today, today.target_up_m !== 0],
  ];
  return steps.filter(([, , differs]) => differs);
}

/** What the wind does to every rung [m] under each corner launch; nothing without wind. */
function windOf(day) {
  const after = day.causes.indexOf("wind") + 1;
  if (!after) return [];
  return CORNERS.map((corner) => {
    const [windy, still] = [columnOf(day, after, corner), columnOf(day, after - 1, corner)];
    return windy.map((carry_m, place) => (carry_m === null || still[place] === null ? null : carry_m - still[place]));
  });
}

/** How many yards a yard more on the card brings today, for every rung. */
function gainsOf(day) {
  const [more, own] = [columnOf(day, -1, MORE), columnOf(day, -1, OWN)];
  return more.map((carry_m, place) => (carry_m === null || own[place] === null ? null : (carry_m - own[place]) / MORE_M));
}

function columnOf(day, step, flight) {
  return day.carries_m.at(step).map((carries) => carries[flight]);
}

function spread(values) {
  return values.length ? Math.max(...values) - Math.min(...values) : 0;
}

/** A value of every rung, at any carry of the card on a straight line between two of them. */
function atCard(day, values, card_m) {
  const line = lineOf(day, values);
  if (card_m <= line[0][0]) return line[0][1];
  const next = line.findIndex(([longer_m]) => longer_m >= card_m);
  if (next < 0) return line.at(-1)[1];
  const [[from_m, from], [to_m, to]] = [line[next - 1], line[next]];
  return from + ((to - from) * (card_m - from_m)) / (to_m - from_m);
}

/** The carry of the card whose `flight` meets the target after `step` causes; the line goes on beyond its ends. */
function readBackM(day, step, flight, target_m) {
  const line = lineOf(day, columnOf(day, step, flight));
  for (let place = 0; place + 1 < line.length; place += 1) {
    const [[card_m, today_m], [longer_m, longer_today_m]] = [line[place], line[place + 1]];
    if (today_m <= target_m && target_m <= longer_today_m && longer_today_m > today_m) {
      return card_m + ((longer_m - card_m) * (target_m - today_m)) / (longer_today_m - today_m);
    }
  }
  const [[first_m, first_today_m], [last_m, last_today_m]] = [line[0], line.at(-1)];
  if (target_m < first_today_m) return first_m - (first_today_m - target_m);
  const [more_m, own_m] = [MORE, OWN].map((launch) => day.carries_m.at(step).at(-1)[launch]);
  const gain = more_m === null || own_m === null ? 0 : (more_m - own_m) / MORE_M;
  return last_m + (target_m - last_today_m) / Math.max(gain, LEAST_GAIN);
}

/** Each rung's carry on the card with its value, short to long; rungs less than a yard apart count as their mean. */
function lineOf({ rungs }, values) {
  const groups = [];
  rungs.forEach(({ card_m }, place) => {
    if (values[place] === null) return;
    const last = groups.at(-1);
    if (last && card_m - last[0][0] < MORE_M) last.push([card_m, values[place]]);
    else groups.push([[card_m, values[place]]]);
  });
  const mean = (group, at) => group.reduce((sum, pair) => sum + pair[at], 0) / group.length;
  return groups.map((group) => [mean(group, 0), mean(group, 1)]);
}
