// The folded parts, to turn and to fold: the same view as on the making sheet.
import { whenOpen } from "./columns.js";

export function turns(root) {
  for (const figure of root.querySelectorAll("figure.turntable")) {
    whenOpen(figure, async () => {
      const answer = await fetch(figure.dataset.fold);
      if (window.turntable) { window.turntable(window, figure.id, await answer.json()); }
    });
  }
}
