// Owns where a struck ball comes down: the flight of webapp/physics/, in the plane of the shot, with its constants.
// Knows nothing of clubs, cards, pages or storage.

import { FLIGHT } from "./more_constants.js";

const { air, ball, step_s, first_step_s, growth, longest_s, tiny_mps, newton_rounds, rpm_radps } = FLIGHT;

const HEIGHT = 1;
const CLIMB = 3;
const CLOSE_S = 1e-12;

/** The air of a day: density [kg/m3], wind along the shot [m/s, + helping] and how it grows with height. */
export function skyOf({ temperature_c, altitude_m, tail_mps, wind_at }) {
  const geopotential_m = (air.earth_radius_m * altitude_m) / (air.earth_radius_m + altitude_m);
  const share = 1 - (air.lapse_k_m * geopotential_m) / air.temperature_k;
  const pressure_pa = air.pressure_pa * share ** (air.gravity_mps2 / (air.gas_j_kg_k * air.lapse_k_m));
  return {
    density_kgm3: pressure_pa / (air.gas_j_kg_k * (temperature_c + air.kelvin_at_0_degc)),
    tail_mps,
    wind_exponent: air.wind_exponents[wind_at],
  };
}

/**
 * The carry [m] of a ball of pure backspin.
 *
 * @param {[number, number, number]} launch ball speed [m/s], angle up from level [deg], spin [rpm]
 * @param {{density_kgm3: number, tail_mps: number, wind_exponent: number}} sky
 * @param {number} target_up_m height of the target above the ball [m]
 * @returns {number|null} null for a ball that never rises to its target
 */
export function carryM([speed_mps, launch_deg, spin_rpm], sky, target_up_m) {
  const up = (launch_deg * Math.PI) / 180;
  const start = [0, 0, speed_mps * Math.cos(up), speed_mps * Math.sin(up), spin_rpm * rpm_radps];
  const rate = rateOf(sky);
  // The wind grows fastest just above the ground, so the ball leaves it in short steps.
  const first_s = sky.wind_exponent ? Math.min(step_s, first_step_s) : step_s;
  const top = followed(start, first_s, rate, CLIMB, 0);
  if (!top || top[HEIGHT] < target_up_m) return null;
  const last = followed(top, step_s, rate, HEIGHT, target_up_m);
  return last && last[0];
}

/** The equations of motion: drag against the air's stream, lift square to it, gravity, spin that decays. */
function rateOf({ density_kgm3, tail_mps, wind_exponent }) {
  const k = (density_kgm3 * ball.area_m2) / (2 * ball.mass_kg);
  const decay = ball.spin_decay / ball.radius_m;
  return ([, z, vx, vz, omega]) => {
    const height2 = (z * z + air.roughness_m ** 2) / air.forecast_height_m ** 2;
    const ux = vx - tail_mps * height2 ** (wind_exponent / 2);
    const speed = Math.hypot(ux, vz) + tiny_mps;
    const spin = (ball.radius_m * omega) / speed;
    const back = k * speed * ball.drag_calibration * (ball.drag_still + (ball.drag_spun * spin) / (ball.drag_half + spin));
    const turn = (k * speed * ball.lift_most * spin) / (ball.lift_half + spin);
    return [vx, vz, -turn * vz - back * ux, turn * ux - back * vz - air.gravity_mps2, -decay * speed * omega];
  };
}

/** The state once `state[place]` has sunk to `level`, or null for a ball that is up too long. */
function followed(from, first_s, rate, place, level) {
  let state = from;
  let stride = first_s;
  let time_s = 0;
  for (let ahead = advanced(state, stride, rate); ahead[place] > level; ahead = advanced(state, stride, rate)) {
    state = ahead;
    time_s += stride;
    if (time_s > longest_s) return null;
    stride = Math.min(step_s, growth * stride);
  }
  let part_s = stride;
  for (let round = 0; round < newton_rounds; round += 1) {
    const ahead = advanced(state, part_s, rate);
    const change_s = (ahead[place] - level) / (rate(ahead)[place] || -tiny_mps);
    part_s = Math.min(Math.max(part_s - change_s, 0), stride);
    if (Math.abs(change_s) < CLOSE_S) break;
  }
  return advanced(state, part_s, rate);
}

/** One step of the classical fourth-order Runge-Kutta scheme. */
function advanced(state, dt, rate) {
  const along = (by, slope) => state.map((value, i) => value + by * slope[i]);
  const a = rate(state);
  const b = rate(along(dt / 2, a));
  const c = rate(along(dt / 2, b));
  const d = rate(along(dt, c));
  return state.map((value, i) => value + (dt / 6) * (a[i] + 2 * (b[i] + c[i]) + d[i]));
}
