"""Keys of the table [wishes]: what the maker wants of the shape. A form asks for them in this order."""

from __future__ import annotations

from seatmesh.files.keys.key import Key, Slider
from seatmesh.files.keys.number import Number, degrees, millimetres
from seatmesh.files.keys.table import KeyTable
from seatmesh.files.keys.words import WordKind
from seatmesh.fit.wished.characters import CHARACTER_NAMES, wishes_of
from seatmesh.fit.wished.wishes import FORMS, RIM_KINDS, Wishes

WISHES = KeyTable(
    name="wishes",
    meaning="what you want of the shape, below",
    make=lambda values, _where: wishes_of(values),
    fields=Wishes,
    keys=(
        Key(
            "character",
            "Character",
            "a set of wishes to start from; what is given besides changes it; left out: usual",
            WordKind(CHARACTER_NAMES),
            asked="first",
        ),
        Key(
            "form",
            "Form",
            "fair: a bowl round down to its lowest place that runs out to a rim; least pressure: form given up for the "
            "least peak",
            WordKind(FORMS),
            asked="further",
        ),
        Key(
            "depth_mm",
            "Depth of the hollow",
            "depth of the hollow at its deepest",
            millimetres(0.0, 60.0),
            asked="first",
            slider=Slider(4.0, 30.0, ("a shallow dish", "deep")),
        ),
        Key(
            "closeness",
            "Closeness to the body",
            "0 a gentle common dish that lets the sitter shift, 1 follows the body",
            Number(0.0, 1.0),
            asked="first",
            slider=Slider(0.0, 1.0, ("a common dish, free to shift", "follows the body")),
        ),
        Key(
            "roundness",
            "Roundness of the bowl",
            "how round the bowl is across its lowest place: 0 lets it be flat, 1 is as round as an even dish",
            Number(0.0, 1.0),
            asked="first",
            slider=Slider(0.0, 1.0, ("a flat bottom", "an even dish")),
        ),
        Key(
            "rim",
            "Rim",
            "how the hollow ends: crisp in a line, eased into sides and deck, or where the body's print ends",
            WordKind(RIM_KINDS),
            asked="first",
        ),
        Key(
            "rim_mm",
            "Rim, from the outline",
            "from the outline in to the rim of the hollow",
            millimetres(5.0, 120.0),
            asked="further",
        ),
        Key(
            "rim_ease_mm",
            "Rim, ease",
            "width over which an eased rim runs out",
            millimetres(20.0, 100.0),
            asked="further",
        ),
        Key(
            "pommel_mm",
            "Pommel, height",
            "greatest height of the ridge between the thighs",
            millimetres(0.0, 40.0),
            asked="first",
            slider=Slider(0.0, 20.0, ("none", "a high ridge")),
        ),
        Key(
            "pommel_length_mm",
            "Pommel, length",
            "from the front edge back to where the ridge has gone",
            millimetres(20.0, 400.0),
            asked="first",
            slider=Slider(40.0, 240.0, ("short", "far back")),
        ),
        Key(
            "pommel_width_mm",
            "Pommel, width",
            "greatest width of the ridge at its foot; left out: out to the hollows beside it",
            millimetres(20.0, 300.0),
            asked="further",
        ),
        Key(
            "pommel_fade_mm",
            "Pommel, fade",
            "rear part of the ridge's length over which it runs out; left out: all of it",
            millimetres(10.0, 400.0),
            asked="further",
        ),
        Key(
            "front_roll_mm",
            "Front roll",
            "radius of the roll along the front edge; 0 is none",
            millimetres(0.0, 80.0),
            asked="first",
            slider=Slider(0.0, 50.0, ("a crisp edge", "a full roll")),
        ),
        Key(
            "front_roll_length_mm",
            "Front roll, length",
            "from the front edge back to where the seat begins to ease down; left out: the roll's arc alone",
            millimetres(0.0, 300.0),
            asked="further",
        ),
        Key(
            "tailbone_relief_mm",
            "Relief for the tailbone",
            "further depth under the tip of the tailbone; a fair seat takes on about half of it",
            millimetres(0.0, 15.0),
            asked="first",
            slider=Slider(0.0, 8.0, ("none", "generous")),
        ),
        Key(
            "deepest_y_mm",
            "Deepest line, from the rear edge",
            "deepest line from the rear edge; left out: between sit bones and tailbone, where it presses least",
            millimetres(20.0, 600.0),
            asked="first",
            slider=Slider(90.0, 260.0, ("to the rear", "forward")),
        ),
        Key(
            "rear_rise_mm",
            "Rise to the rear",
            "how much more than the body asks for the seat rises from the deepest line to the deck",
            millimetres(0.0, 25.0),
            asked="further",
        ),
        Key(
            "thigh_splay_deg",
            "Splay of the leg hollows",
            "how far the leg hollows point outward; left out: each sitter's own habit",
            degrees(-10.0, 45.0),
            asked="further",
        ),
    ),
)
