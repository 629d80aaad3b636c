"""A drawing as SVG at full size: width and height in mm, one group a layer, the same bytes for the same drawing."""

from __future__ import annotations

from xml.etree import ElementTree

from seatmesh.paper.drawing import Circle, Drawing, Item, Line, Look, Point

SPACE = "http://www.w3.org/2000/svg"
MARGIN_MM = 10.0
ANCHOR = {"left": "start", "middle": "middle", "right": "end"}


def svg_bytes(drawing: Drawing) -> bytes:
    """Return the drawing as SVG; y runs down there, so heights are turned over within the sheet.

    A point (x, y) of the drawing lies at (x - x0, y1 - y), where x0 and y1 are the sheet's left and upper edges in
    the drawing; both are said in the file's `desc`.
    """
    x0, y0, x1, y1 = drawing.bounds_mm
    x0, y0, x1, y1 = x0 - MARGIN_MM, y0 - MARGIN_MM, x1 + MARGIN_MM, y1 + MARGIN_MM
    width, height = _number(x1 - x0), _number(y1 - y0)
    root = ElementTree.Element(
        "svg",
        {
            "xmlns": SPACE,
            "width": f"{width}mm",
            "height": f"{height}mm",
            "viewBox": f"0 0 {width} {height}",
            "font-family": "DejaVu Sans, Verdana, sans-serif",
        },
    )
    ElementTree.SubElement(root, "title").text = _plain(drawing.title)
    ElementTree.SubElement(
        root, "desc"
    ).text = f"Full size, mm. The drawing's origin lies at x {_number(-x0)}, y {_number(y1)}."
    for layer in drawing.layers:
        group = ElementTree.SubElement(root, "g", {"id": layer.name.replace(" ", "-"), **_look(layer.look)})
        for item in layer.items:
            _add(group, item, layer.look, (x0, y1))
    ElementTree.indent(root, " ")
    data: bytes = ElementTree.tostring(root, encoding="utf-8", xml_declaration=True)
    return data + b"\n"


def _look(look: Look) -> dict[str, str]:
    out = {
        "fill": look.fill or "none",
        "stroke": look.colour if look.width_mm > 0.0 else "none",
        "stroke-width": _number(look.width_mm),
        "stroke-linejoin": "round",
    }
    if look.dashes_mm:
        out["stroke-dasharray"] = " ".join(map(_number, look.dashes_mm))
    return out


def _add(group: ElementTree.Element, item: Item, look: Look, corner: Point) -> None:
    def at(point: Point) -> tuple[str, str]:
        return _number(point[0] - corner[0]), _number(corner[1] - point[1])

    if isinstance(item, Line):
        points = " ".join(",".join(at(point)) for point in item.points_mm)
        ElementTree.SubElement(group, "polygon" if item.closed else "polyline", {"points": points})
    elif isinstance(item, Circle):
        x, y = at(item.centre_mm)
        ElementTree.SubElement(group, "circle", {"cx": x, "cy": y, "r": _number(item.radius_mm)})
    else:
        x, y = at(item.at_mm)
        attributes = {
            "x": x,
            "y": y,
            "font-size": _number(item.size_mm),
            "text-anchor": ANCHOR[item.align],
            "fill": look.colour,
            "stroke": "none",
        }
        if item.bold:
            attributes["font-weight"] = "bold"
        if item.turn_deg:
            attributes["transform"] = f"rotate({_number(-item.turn_deg)} {x} {y})"
        ElementTree.SubElement(group, "text", attributes).text = _plain(item.text)


def _plain(text: str) -> str:
    """Return text without the control signs that XML 1.0 forbids."""
    return "".join(sign if sign >= " " else " " for sign in text)


def _number(value: float) -> str:
    """Return a length to 1/10000 mm."""
    return f"{round(value, 4) + 0.0:g}" if abs(value) < 10.0 else f"{value:.4f}".rstrip("0").rstrip(".")
