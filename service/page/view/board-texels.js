// The boards as the shader reads them: nine texels a board, in the order that `shaders/wood.js` takes them.

import { BOARD_TEXELS, MOST_BOARDS } from "./shaders/wood.js";

/** The texels of the rings that the service tells. */
export function boardTexels({ boards }) {
  const told = boards.slice(0, MOST_BOARDS);
  const values = told.flatMap((one) => [
    [one.left_mm, one.right_mm, one.number, one.ring_width_mm],
    [...one.middle_mm, one.wander_mm],
    [...one.signs, one.taper_mm_per_m / 1000],
    [...one.fibre, one.pith_aside_mm],
    one.wander_phases,
    [...one.year_phases, one.pith_away_mm],
    [...one.look.early, one.look.pores_share],
    [...one.look.late, one.look.rays_share],
    [one.look.contrast_share, 0, 0, 0],
  ]);
  return { count: told.length, width: BOARD_TEXELS, values: new Float32Array(values.flat()) };
}
