// Where the two sections of the seat run, for whoever draws them, and where they meet the outline.

const listeners = new Set();
const at = { across: null, along: 0 };

/** The section's place: from the rear edge across, from the centre line along; null where nobody chose one. */
export function sectionAt(way) {
  return at[way];
}

/** Choose a place where none was chosen yet. */
export function beginSection(way, place) {
  at[way] ??= place;
}

export function putSection(way, place) {
  at[way] = place;
  for (const listener of [...listeners]) listener(way);
}

/** Be told which section was moved; returns what ends that. */
export function onSection(listener) {
  listeners.add(listener);
  return () => listeners.delete(listener);
}

/** Where a section runs through an outline: from and to, in mm. */
export function spanAt(way, place, outline) {
  const [fixed, free] = way === "across" ? [1, 0] : [0, 1];
  const cuts = outline.flatMap((from, number) => {
    const to = outline[(number + 1) % outline.length];
    if ((from[fixed] - place) * (to[fixed] - place) > 0) return [];
    const run = to[fixed] - from[fixed];
    return run === 0 ? [from[free], to[free]] : [from[free] + ((place - from[fixed]) / run) * (to[free] - from[free])];
  });
  return cuts.length ? [Math.min(...cuts), Math.max(...cuts)] : [0, 0];
}
