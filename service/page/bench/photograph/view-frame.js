// Which part of a picture is shown, and how large: plain arithmetic between pixels of the picture and of the screen.

const MOST_SCALE = 8;

/** The frame that shows the whole picture in so many pixels of the screen: `{scale, x, y, least}`. */
export function whole(picture, width, height) {
  const scale = Math.min(width / picture.width, height / picture.height);
  return kept({ scale, x: 0, y: 0, least: scale }, picture, width, height);
}

/** The frame zoomed by a factor about a place of the screen. */
export function zoomed(frame, factor, at, picture, width, height) {
  const scale = Math.min(Math.max(frame.scale * factor, frame.least), Math.max(MOST_SCALE, frame.least));
  const [u, v] = toPicture(frame, at);
  return kept({ ...frame, scale, x: u - at[0] / scale, y: v - at[1] / scale }, picture, width, height);
}

/** The frame moved by so many pixels of the screen. */
export function moved(frame, [dx, dy], picture, width, height) {
  return kept({ ...frame, x: frame.x - dx / frame.scale, y: frame.y - dy / frame.scale }, picture, width, height);
}

/** The frame moved, as little as it takes, until a pixel of the picture is well inside. */
export function showing(frame, [u, v], picture, width, height) {
  const [x, y] = toScreen(frame, [u, v]);
  const room = 40;
  const by = [
    Math.max(room - x, 0) || Math.min(width - room - x, 0),
    Math.max(room - y, 0) || Math.min(height - room - y, 0),
  ];
  return by[0] || by[1] ? moved(frame, by, picture, width, height) : frame;
}

/** Where a pixel of the picture is on the screen. */
export function toScreen({ scale, x, y }, [u, v]) {
  return [(u - x) * scale, (v - y) * scale];
}

/** Which pixel of the picture is at a place of the screen. */
export function toPicture({ scale, x, y }, [left, top]) {
  return [x + left / scale, y + top / scale];
}

/** Whether anything is outside of what is shown. */
export function isZoomed({ scale, least }) {
  return scale > least * 1.001;
}

// The picture fills what is shown where it is larger, and lies in the middle where it is smaller.
function kept(frame, picture, width, height) {
  const within = (at, size, shown) =>
    size <= shown ? (size - shown) / 2 : Math.min(Math.max(at, 0), size - shown);
  return {
    ...frame,
    x: within(frame.x, picture.width, width / frame.scale),
    y: within(frame.y, picture.height, height / frame.scale),
  };
}
