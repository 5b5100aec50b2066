// The flat view beside the folded one: a panel that is pointed at in one is marked in the other; scores and sides are pressed.
import { whenOpen } from "./columns.js";

const SVG = "http://www.w3.org/2000/svg";
const REACH = 2; // mm on either side of a line in which it is hit
const SAME = 0.05; // mm: ends of one and the same score

export function flats(root, send) {
  for (const place of root.querySelectorAll("details.flat")) {
    whenOpen(place.querySelector(".plate"), async () => {
      const answer = await fetch(place.dataset.fold);
      if (answer.ok) { show(place, await answer.json(), send); }
    });
  }
}

function make(name, kind, words) {
  const one = document.createElementNS(SVG, name);
  one.setAttribute("class", kind);
  if (words) {
    one.setAttribute("tabindex", "0");
    one.setAttribute("role", "button");
    one.setAttribute("aria-label", words);
  }
  return one;
}

function pressed(one, act) {
  one.addEventListener("click", act);
  one.addEventListener("keydown", (e) => { if (e.key === "Enter" || e.key === " ") { e.preventDefault(); act(); } });
}

function show(place, part, send) {
  const points = part.panels.flatMap((p) => p.outline), xs = points.map((p) => p[0]), ys = points.map((p) => p[1]);
  const left = Math.min(...xs), right = Math.max(...xs), bottom = Math.min(...ys), top = Math.max(...ys), room = 4;
  const picture = document.createElementNS(SVG, "svg");
  picture.setAttribute("viewBox", `${left - room} ${-top - room} ${right - left + 2 * room} ${top - bottom + 2 * room}`);
  picture.setAttribute("role", "group");
  picture.setAttribute("aria-label", "flat view: scores and sides");
  const turned = document.getElementById(place.dataset.turn);
  part.panels.forEach((panel, i) => {
    const path = make("path", "panel");
    path.setAttribute("d", [panel.outline, ...panel.holes].map((ring) => `M${ring.map(([x, y]) => `${x} ${-y}`).join("L")}Z`).join(""));
    path.addEventListener("pointerenter", () => turned.dispatchEvent(new CustomEvent("mark", { detail: i })));
    path.addEventListener("pointerleave", () => turned.dispatchEvent(new CustomEvent("mark", { detail: -1 })));
    picture.append(path);
    const name = make("text", "name");
    name.setAttribute("x", panel.mark[0]);
    name.setAttribute("y", -panel.mark[1]);
    name.textContent = panel.name;
    picture.append(name);
  });
  turned.addEventListener("marked", (e) => {
    picture.querySelectorAll(".panel").forEach((one, i) => one.classList.toggle("lit", i === e.detail));
  });

  function line(kind, words, [ax, ay], [bx, by]) {
    const one = make("g", kind, words), drawn = make("line", "drawn"), reach = make("path", "reach");
    for (const [key, value] of [["x1", ax], ["y1", -ay], ["x2", bx], ["y2", -by]]) { drawn.setAttribute(key, value); }
    const far = Math.hypot(bx - ax, by - ay) || 1, ox = REACH * (by - ay) / far, oy = REACH * (bx - ax) / far;
    reach.setAttribute("d", `M${ax + ox} ${-ay + oy}L${bx + ox} ${-by + oy}L${bx - ox} ${-by - oy}L${ax - ox} ${-ay - oy}Z`);
    one.append(reach, drawn);
    picture.append(one);
    return one;
  }

  const scores = [...place.querySelectorAll("tr[data-ends]")].map((row) => {
    const ends = row.dataset.ends.split(" ").map((word) => word.split(",").map(Number));
    const field = row.querySelector("input[name=degrees]");
    pressed(line("score", `score ${row.cells[0].textContent}: say its angle`, ...ends), () => field.focus());
    return ends;
  });
  const near = (p, q) => Math.hypot(p[0] - q[0], p[1] - q[1]) < SAME;
  const onScore = (p, q) => scores.some(([a, b]) => (near(p, a) && near(q, b)) || (near(p, b) && near(q, a)));
  let held = null;
  part.panels.forEach((panel) => panel.outline.forEach((p, i) => {
    const q = panel.outline[(i + 1) % panel.outline.length];
    if (onScore(p, q)) { return; }
    const side = line("side", `side ${i + 1} of panel ${panel.name}`, p, q), at = `${(p[0] + q[0]) / 2},${(p[1] + q[1]) / 2}`;
    pressed(side, () => {
      if (!held || held.side === side) {
        side.classList.toggle("held");
        held = held ? null : { side, at };
        return;
      }
      const body = new FormData(place.querySelector("form.seam"));
      body.set("a", held.at);
      body.set("b", at);
      held = null;
      send("seam", body);
    });
  }));
  place.querySelector(".plate").append(picture);
  place.dataset.ready = "yes";
}
