// How the numbers move by the balls of visits that the server has not counted yet: all of them, not the touched one alone.
// Knows no page, storage or network; webapp/estimate/phone.py holds the same rule and says why balls are heard twice.

import { HIGHEST_LEVERAGE, MISHIT_DENSITY, T_BY_DF, WAY_SDS } from "./more_constants.js";

/**
 * The cells after the balls of each visit, in the order they were hit.
 *
 * @param {{m: number[], V: string, ways: string[], s2: number[], omega_a2: number, omega_b2: number,
 *   pi: Object<string, number>}} state means of ln(typical carry [m]) of the cells, then of the ways of judging; the
 *   upper triangle of their covariance; variances of clean balls by cell, of a visit's shift and of a cell's in it; the
 *   chance by contact that a ball was clean
 * @param {{cell: number, carry_m: number|null, contact: string, judged_by: string}[][]} visits a ball without a carry and
 *   a shank move nothing
 * @returns {{m: number[], v: number[], weights: number[][]}}
 */
export function replay(state, visits) {
  const start = withShifts(state, visits);
  const end = copyOf(start);
  const forward = start.balls.map((ball) => {
    const { r, q } = apart(ball, end);
    const w = weight(ball, r, q + ball.s2);
    hear(ball, w, end);
    return w;
  });
  const weights = start.balls.map((ball, at) => withoutItself(ball, forward[at], end));
  start.balls.forEach((ball, at) => hear(ball, weights[at], start));
  const given = weights[Symbol.iterator]();
  return {
    m: start.m.slice(0, state.s2.length),
    v: state.s2.map((_, cell) => start.V[cell][cell]),
    weights: visits.map((balls) => balls.map((ball) => (tells(state, ball) ? given.next().value : 0))),
  };
}

/** Half the width [m] of the range that holds the typical carry four times in five. */
export function halfWidthM(m, v, df) {
  const after = Math.max(1, T_BY_DF.findIndex(([known], at) => known >= df || at === T_BY_DF.length - 1));
  const [[df0, t0], [df1, t1]] = T_BY_DF.slice(after - 1, after + 1);
  const share = Math.min(Math.max((df - df0) / (df1 - df0), 0), 1);
  return Math.exp(m) * Math.sinh((t0 + share * (t1 - t0)) * Math.sqrt(v));
}

// The unknowns before any ball is heard: cells, ways, the visits' shifts and those of each cell in them.
function withShifts(state, visits) {
  const cells = state.s2.length;
  const variances = [];
  const places = new Map(state.ways.map((way, at) => [way, cells + at]));
  const place = (name, variance) => {
    if (!places.has(name)) places.set(name, state.m.length + variances.push(variance) - 1);
    return places.get(name);
  };
  const balls = visits.flatMap((visit, number) =>
    visit.filter((ball) => tells(state, ball)).map((ball) => ({
      places: [
        ball.cell,
        place(ball.judged_by, WAY_SDS[ball.judged_by] ** 2),
        place(`visit ${number}`, state.omega_a2),
        place(`visit ${number} cell ${ball.cell}`, state.omega_b2),
      ],
      y: Math.log(ball.carry_m),
      s2: state.s2[ball.cell],
      chance: state.pi[ball.contact],
    })),
  );
  const known = unpacked(state.V, state.m.length);
  const more = variances.map(() => 0);
  const V = known.map((row) => [...row, ...more]);
  variances.forEach((variance, at) => V.push([...state.m.map(() => 0), ...variances.map((_, k) => (k === at ? variance : 0))]));
  return { m: [...state.m, ...more], V, balls };
}

// The covariance whose upper triangle was packed row by row in single precision, as rows.
function unpacked(text, size) {
  const bytes = Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0));
  const view = new DataView(bytes.buffer);
  const V = Array.from({ length: size }, () => new Array(size).fill(0));
  let at = 0;
  for (let i = 0; i < size; i += 1) {
    for (let k = i; k < size; k += 1, at += 4) V[i][k] = V[k][i] = view.getFloat32(at, true);
  }
  return V;
}

function tells(state, ball) {
  return ball.carry_m > 0 && state.pi[ball.contact] !== undefined;
}

// How far the ball is from its level, and the variance of that level.
function apart(ball, { m, V }) {
  let r = ball.y;
  let q = 0;
  for (const i of ball.places) {
    r -= m[i];
    for (const k of ball.places) q += V[i][k];
  }
  return { r, q };
}

// The weight of a ball by the forecast made without it, from the state that holds it with weight w.
function withoutItself(ball, w, state) {
  const { r, q } = apart(ball, state);
  const keep = 1 - Math.min((w * q) / ball.s2, HIGHEST_LEVERAGE);
  return weight(ball, r / keep, q / keep + ball.s2);
}

function weight(ball, r, spread) {
  const clean = (ball.chance * Math.exp((-r * r) / (2 * spread))) / Math.sqrt(2 * Math.PI * spread);
  const either = clean + (1 - ball.chance) * mishitDensity(r);
  return either ? clean / either : 0; // so far out that neither density is more than 0
}

function hear(ball, w, { m, V }) {
  const { r, q } = apart(ball, { m, V });
  const u = V.map((row) => ball.places.reduce((sum, i) => sum + row[i], 0));
  const kappa = w / (w * q + ball.s2);
  for (let i = 0; i < u.length; i += 1) {
    m[i] += kappa * r * u[i];
    for (let k = 0; k < u.length; k += 1) V[i][k] -= kappa * u[i] * u[k];
  }
}

function copyOf({ m, V }) {
  return { m: [...m], V: V.map((row) => [...row]) };
}

function mishitDensity(r) {
  return MISHIT_DENSITY.reduce(
    (sum, [share, mean, sd]) => sum + (share * Math.exp(-0.5 * ((r - mean) / sd) ** 2)) / (sd * Math.sqrt(2 * Math.PI)),
    0,
  );
}
