// Whose pressure is shown, where several sit.

import { h, fill, newId } from "../parts/element.js";
import { onSeatWhileShown } from "../service/refusals.js";
import { choose, seat } from "./shaped-seat.js";

export function sitterChoice() {
  const place = h("div");
  const name = newId("shown");
  let names = null;
  const draw = () => {
    const now = seat.sittings.map((one) => one.body).join("\n");
    if (now === names) return;
    names = now;
    fill(
      place,
      seat.sittings.length < 2
        ? null
        : h(
            "fieldset",
            { class: "field" },
            h("legend", {}, "Pressure of"),
            h(
              "div",
              { class: "choices" },
              seat.sittings.map((one, number) =>
                h(
                  "label",
                  {},
                  h("input", {
                    type: "radio",
                    name,
                    checked: number === Math.min(seat.chosen, seat.sittings.length - 1),
                    onchange: () => choose(number),
                  }),
                  h("span", {}, one.body),
                ),
              ),
            ),
          ),
    );
  };
  draw();
  onSeatWhileShown(place, draw);
  return place;
}
