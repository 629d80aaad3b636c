"""Names of matplotlib, for all pictures, loaded when the first is drawn: to load it takes longer than most commands."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from matplotlib.axes import Axes as Axes
    from matplotlib.backends.backend_agg import FigureCanvasAgg as FigureCanvasAgg
    from matplotlib.colors import BoundaryNorm as BoundaryNorm
    from matplotlib.colors import LightSource as LightSource
    from matplotlib.colors import LinearSegmentedColormap as LinearSegmentedColormap
    from matplotlib.colors import ListedColormap as ListedColormap
    from matplotlib.colors import to_rgb as to_rgb
    from matplotlib.figure import Figure as Figure
    from matplotlib.font_manager import findfont as findfont
    from matplotlib.font_manager import get_font as get_font
    from matplotlib.patches import Circle as Circle
    from matplotlib.patches import Polygon as Polygon
    from matplotlib.patches import Rectangle as Rectangle
    from matplotlib.patheffects import withStroke as withStroke
    from matplotlib.style import context as context
    from matplotlib.text import Text as Text

_FROM = {
    "axes": "Axes",
    "backends.backend_agg": "FigureCanvasAgg",
    "colors": "BoundaryNorm LightSource LinearSegmentedColormap ListedColormap to_rgb",
    "figure": "Figure",
    "font_manager": "findfont get_font",
    "patches": "Circle Polygon Rectangle",
    "patheffects": "withStroke",
    "style": "context",
    "text": "Text",
}
_PLACES = {name: module for module, names in _FROM.items() for name in names.split()}

if not TYPE_CHECKING:

    def __getattr__(name: str) -> Any:
        """Return a name of matplotlib's, and keep it."""
        if name not in _PLACES:
            raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
        found = getattr(import_module(f"matplotlib.{_PLACES[name]}"), name)
        globals()[name] = found
        return found
