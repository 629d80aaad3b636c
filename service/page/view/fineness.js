// How fine the picture is drawn: as fine as the screen where that takes a moment; where it takes longer, as without a
// graphics card, coarser for as long as something moves, and fine again once it stands still.

const [MOMENT_MS, STILL_MS, MOST_TIMED] = [40, 600, 3];
const SHARES = [1, 0.75, 0.5, 0.35];

// What a dot took in the last drawings, the least of which counts: others waited for something else; and what is timed now.
const took = [];
let timed = null;
let later = null;

/** The share of the screen's dots, across and down, that so many dots are drawn with while something moves. */
export function shareOf(dots, msOfADot) {
  return SHARES.find((share) => dots * share * share * msOfADot <= MOMENT_MS) ?? SHARES.at(-1);
}

/** The share for the next drawing; `again` is called once things stand still, where it is not all of them. */
export function shareNow(dots, isFine, again) {
  clearTimeout(later);
  const share = isFine ? 1 : shareOf(dots, took.length ? Math.min(...took) : 0);
  if (share < 1) later = setTimeout(again, STILL_MS);
  return share;
}

/** Find out how long the drawing that was just sent takes: until the card says that it is done. */
export function timeDrawing(gl, dots) {
  if (timed) return;
  const begun = performance.now();
  timed = gl.fenceSync(gl.SYNC_GPU_COMMANDS_COMPLETE, 0);
  gl.flush();
  const look = () => {
    if (gl.isContextLost() || !timed) timed = null;
    else if (gl.getSyncParameter(timed, gl.SYNC_STATUS) !== gl.SIGNALED) setTimeout(look, 4);
    else {
      gl.deleteSync(timed);
      timed = null;
      took.unshift((performance.now() - begun) / dots);
      took.length = Math.min(took.length, MOST_TIMED);
    }
  };
  setTimeout(look);
}
