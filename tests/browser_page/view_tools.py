"""The seat in 3D as a test looks at it: opened in a browser that draws, turned, and asked what is drawn where."""

from __future__ import annotations

from typing import Any

from .browser import own_module

COUNT_CONTEXTS = """
(() => {
  const made = new Set();
  const get = HTMLCanvasElement.prototype.getContext;
  window.contextsMade = () => made.size;
  HTMLCanvasElement.prototype.getContext = function (kind, ...others) {
    const one = get.call(this, kind, ...others);
    if (/webgl/.test(kind) && one) made.add(one);
    return one;
  };
})();
"""
SCENE = f"const {{ show, showFine, shown, cameraNow }} = await {own_module('view/scene.js')};"
CAMERA = own_module("view/camera.js")
CANVAS = "canvas.view"


def drawn(page: Any) -> None:
    """Wait until the best shape stands, and is drawn."""
    page.wait_for_selector("body[data-seat=shaped]")
    page.wait_for_selector(f"{CANVAS}[data-drawn]")


def stand(page: Any) -> tuple[float, float, float]:
    """Return where one looks from: degrees round the seat, degrees up, and how far."""
    told = page.locator(CANVAS).evaluate("(one) => ({ ...one.dataset })")
    return float(told["around"]), float(told["up"]), float(told["away"])


def data(page: Any, name: str) -> str:
    """Return what the canvas tells of its last drawing."""
    return str(page.locator(CANVAS).get_attribute(f"data-{name}"))


def until(page: Any, name: str, wanted: str) -> None:
    """Wait for a drawing that tells this."""
    page.wait_for_selector(f'{CANVAS}[data-{name}="{wanted}"]')


def on_screen(page: Any, places: list[list[float]]) -> list[list[float]]:
    """Return where places [x, y, z] of the blank are seen, in pixels of the window."""
    script = f"""async (places) => {{
        {SCENE} const {{ seenAt }} = await {CAMERA};
        const box = document.querySelector('{CANVAS}').getBoundingClientRect();
        return places.map((one) => {{
            const [x, y] = seenAt(cameraNow(), one);
            return [box.left + box.width * (1 + x) / 2, box.top + box.height * (1 - y) / 2];
        }});
    }}"""
    found: list[list[float]] = page.evaluate(script, places)
    return found


def colours_at(page: Any, places: list[list[float]]) -> list[list[int]]:
    """Draw anew and return the colours of the canvas where places [x, y, z] of the blank are seen."""
    script = f"""async (places) => {{
        {SCENE} const {{ seenAt }} = await {CAMERA};
        const canvas = document.querySelector('{CANVAS}');
        const gl = canvas.getContext('webgl2');
        showFine();
        return new Promise((resolve) => requestAnimationFrame(() => resolve(places.map((one) => {{
            const [x, y] = seenAt(cameraNow(), one);
            const dot = new Uint8Array(4);
            const at = [Math.floor(canvas.width * (1 + x) / 2), Math.floor(canvas.height * (1 + y) / 2)];
            gl.readPixels(...at, 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, dot);
            return [...dot];
        }}))));
    }}"""
    found: list[list[int]] = page.evaluate(script, places)
    return found
