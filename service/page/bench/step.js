// Step: at the bench. Marks of the fitting, what the client says, and the gauge; each a part of its own, for one hand.

import { h, fill } from "../parts/element.js";
import { cautions } from "../parts/cautions.js";
import { gauge } from "../gauge/gauge-part.js";
import { isReady } from "../order/order-of-job.js";
import { marks } from "./marks-part.js";
import { photograph } from "./photograph/photograph-part.js";
import { refusalPlace } from "../service/refusals.js";
import { remarks } from "./remarks-part.js";
import { shape } from "../seat/shaped-seat.js";
import { needsSitter } from "../seat/step.js";

const PARTS = [
  { id: "marks", title: "Fitting marks", make: marks },
  { id: "photograph", title: "Photograph", make: photograph },
  { id: "remarks", title: "Client’s remarks", make: remarks },
  { id: "gauge", title: "Gauge", make: gauge },
];

export function bench({ part }) {
  const root = h("div");
  // One crossing fills the window, in type that is read at arm’s length.
  if (part === "read" && isReady()) {
    fill(root, refusalPlace(root, "bench"), gauge({ large: true }));
    shape();
    return root;
  }
  const now = PARTS.find((one) => one.id === part) ?? PARTS[0];
  fill(
    root,
    h(
      "nav",
      { class: "parts", "aria-label": "Parts of the bench" },
      PARTS.map((one) => h("a", { href: `#bench/${one.id}`, "aria-current": one === now ? "page" : null }, one.title)),
    ),
    refusalPlace(root, "bench"),
    isReady() ? now.make() : needsSitter(),
    cautions(
      ...(now.id === "gauge" ? ["cutters", "strength"] : now.id === "remarks" ? ["pressure", "strength"] : ["pressure"]),
    ),
  );
  shape();
  return root;
}
