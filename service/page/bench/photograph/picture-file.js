// A picture from a camera or a file: read in the browser, upright, and never sent anywhere.

// More than this is drawn smaller; places are counted in the picture's own pixels all the same.
const MOST_DRAWN = 16e6;
const LEAST_SIDE = 400;

/** Read a picture: `{bitmap, width, height, name}`, its size in its own pixels. Raises an Error in words. */
export async function readPicture(file) {
  const named = `“${file.name || "The picture"}”`;
  if (file.type && !file.type.startsWith("image/"))
    throw new Error(`${named} is no picture: open a JPEG, PNG or WebP file.`);
  const [width, height] = await sizeOf(file, named);
  if (Math.min(width, height) < LEAST_SIDE)
    throw new Error(`${named} has ${width} × ${height} pixels: too few to point at anything; take a larger one.`);
  const smaller = Math.min(1, Math.sqrt(MOST_DRAWN / (width * height)));
  const fitted =
    smaller < 1 && { resizeWidth: Math.round(width * smaller), resizeHeight: Math.round(height * smaller), resizeQuality: "high" };
  try {
    const bitmap = await createImageBitmap(file, { imageOrientation: "from-image", ...fitted });
    return { bitmap, width, height, name: file.name };
  } catch {
    throw new Error(`${named} has ${width} × ${height} pixels, which this browser has no room for: save it smaller.`);
  }
}

/** Its width and height once it is turned upright, as the camera says it was held. */
async function sizeOf(file, named) {
  const address = URL.createObjectURL(file);
  const image = new Image();
  image.src = address;
  try {
    await image.decode();
  } catch {
    const heic = /hei[cf]/i.test(`${file.type} ${file.name}`);
    throw new Error(
      heic
        ? `This browser cannot read ${named}, a HEIC picture: set the camera to JPEG (“most compatible”), or save the picture as JPEG.`
        : `${named} cannot be read as a picture: open a JPEG, PNG or WebP file.`,
    );
  } finally {
    URL.revokeObjectURL(address);
  }
  return [image.naturalWidth, image.naturalHeight];
}
