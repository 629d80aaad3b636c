// What was removed by a press can be put back by another, as long as its notice stands.

import { change } from "./job.js";
import { notice, unsay } from "../service/notices.js";
import { shape } from "../seat/shaped-seat.js";

/** Say that something was removed; `back` changes the job so that it is there again, `redraw` shows it. */
export function sayRemoved(words, back, redraw) {
  const onclick = () => {
    change(back);
    unsay("removed");
    redraw();
    shape();
  };
  unsay("removed");
  notice("removed", `${words} removed.`, { words: "Put it back", onclick });
}
