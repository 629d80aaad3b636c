// A worker that paints maps, so that the page stays quick in the hand meanwhile.

import { paintPixels } from "./paint-pixels.js";

self.addEventListener("message", async ({ data: { number, what } }) => {
  const { width, height, pixels } = paintPixels(what);
  if (typeof OffscreenCanvas === "undefined") {
    self.postMessage({ number, width, height, pixels }, [pixels.buffer]);
    return;
  }
  const canvas = new OffscreenCanvas(width, height);
  canvas.getContext("2d").putImageData(new ImageData(pixels, width, height), 0, 0);
  self.postMessage({ number, blob: await canvas.convertToBlob() });
});
