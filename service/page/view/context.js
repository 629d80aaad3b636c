// The page's one canvas with its one WebGL 2 context: made once, moved to where it is shown, brought back when it was lost.

let made = null;

/** The canvas and its context, the same each time; `gl` is null where the browser has no WebGL 2. */
export function theContext() {
  made ??= begin();
  return made;
}

function begin() {
  const canvas = document.createElement("canvas");
  const how = { alpha: true, antialias: true, premultipliedAlpha: true, powerPreference: "low-power" };
  let gl = null;
  try {
    gl = canvas.getContext("webgl2", how);
  } catch {
    /* as if there were none */
  }
  return { canvas, gl };
}

/** Compile and link a program; returns it with a function that finds its uniforms. Raises with the compiler's words. */
export function programOf(gl, vertex, fragment) {
  const program = gl.createProgram();
  for (const [kind, text] of [
    [gl.VERTEX_SHADER, vertex],
    [gl.FRAGMENT_SHADER, fragment],
  ]) {
    const shader = gl.createShader(kind);
    gl.shaderSource(shader, text);
    gl.compileShader(shader);
    gl.attachShader(program, shader);
    gl.deleteShader(shader);
  }
  gl.linkProgram(program);
  if (!gl.getProgramParameter(program, gl.LINK_STATUS) && !gl.isContextLost())
    throw new Error(
      [gl.getProgramInfoLog(program), ...gl.getAttachedShaders(program).map((one) => gl.getShaderInfoLog(one))].join("\n"),
    );
  const found = {};
  const at = (name) => (found[name] ??= gl.getUniformLocation(program, name));
  return { program, at };
}

const KINDS = {
  R: ["R16F", "RED", "FLOAT"],
  RG: ["RG16F", "RG", "FLOAT"],
  RGBA: ["RGBA16F", "RGBA", "FLOAT"],
  EXACT: ["RGBA32F", "RGBA", "FLOAT"],
  RG8: ["RG8", "RG", "UNSIGNED_BYTE"],
};

/** A texture whose size may change; `put` sends values, into the same memory as long as the size stays. */
export function textureOf(gl, kind) {
  const [inside, format, type] = KINDS[kind].map((name) => gl[name]);
  const texture = gl.createTexture();
  const smooth = kind === "EXACT" ? gl.NEAREST : gl.LINEAR;
  let size = "";
  gl.bindTexture(gl.TEXTURE_2D, texture);
  for (const [name, value] of [
    [gl.TEXTURE_MIN_FILTER, smooth],
    [gl.TEXTURE_MAG_FILTER, smooth],
    [gl.TEXTURE_WRAP_S, gl.CLAMP_TO_EDGE],
    [gl.TEXTURE_WRAP_T, gl.CLAMP_TO_EDGE],
  ])
    gl.texParameteri(gl.TEXTURE_2D, name, value);
  return {
    texture,
    put(width, height, values) {
      gl.bindTexture(gl.TEXTURE_2D, texture);
      gl.pixelStorei(gl.UNPACK_ALIGNMENT, 1);
      if (size === `${width} ${height}`) gl.texSubImage2D(gl.TEXTURE_2D, 0, 0, 0, width, height, format, type, values);
      else gl.texImage2D(gl.TEXTURE_2D, 0, inside, width, height, 0, format, type, values);
      size = `${width} ${height}`;
    },
  };
}

/** A mesh on the card: attributes of floats side by side, their numbers in `sizes`, and its triangles. */
export function meshOf(gl, sizes) {
  const array = gl.createVertexArray();
  const [vertices, indices] = [gl.createBuffer(), gl.createBuffer()];
  let count = 0;
  const stride = 4 * sizes.reduce((sum, one) => sum + one, 0);
  return {
    put(values, triangles) {
      gl.bindVertexArray(array);
      gl.bindBuffer(gl.ARRAY_BUFFER, vertices);
      gl.bufferData(gl.ARRAY_BUFFER, values, gl.STATIC_DRAW);
      gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, indices);
      gl.bufferData(gl.ELEMENT_ARRAY_BUFFER, triangles, gl.STATIC_DRAW);
      let from = 0;
      sizes.forEach((size, number) => {
        gl.enableVertexAttribArray(number);
        gl.vertexAttribPointer(number, size, gl.FLOAT, false, stride, from);
        from += 4 * size;
      });
      count = triangles.length;
      gl.bindVertexArray(null);
    },
    draw() {
      gl.bindVertexArray(array);
      gl.drawElements(gl.TRIANGLES, count, gl.UNSIGNED_INT, 0);
      gl.bindVertexArray(null);
    },
  };
}
