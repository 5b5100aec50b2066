// The hand on the sheets: copies are moved by pointer or keys, and the server proves each place. What lies on another
// piece, or beyond the sheet, is marked while it is moved: a preview, not the proof.
const SVG = "http://www.w3.org/2000/svg";

let moving = false, last = null; // by hand, until she says that she is done; the piece that was moved last

export function hands(root, send) {
  const button = root.querySelector("#move-by-hand");
  if (!button) { return; }
  const begin = async (place) => {
    moving = true;
    button.textContent = "done moving";
    const figures = [...root.querySelectorAll("figure.sheet")];
    const sheets = await Promise.all(figures.map((f) => fetch(f.dataset.places).then((a) => a.json())));
    figures.forEach((figure, i) => lay(figure, sheets, i, figures, send));
    const active = document.activeElement;
    if (place && (active === document.body || root.contains(active))) { // she goes on where she was
      const again = figures.flatMap((f, i) => sheets[i].spots.map((s, k) => [s, f, k])).find(([s]) => s.x === place.x && s.y === place.y && s.turn === place.turn);
      if (again) { again[1].querySelectorAll(".piece")[again[2]].focus({ preventScroll: true }); }
    }
  };
  button.addEventListener("click", () => {
    if (!moving) { last = null; begin(null); return; }
    moving = false;
    button.textContent = "move pieces by hand";
    for (const figure of root.querySelectorAll("figure.moving")) { figure.dispatchEvent(new Event("still")); }
  });
  if (moving) { begin(last); }
}

const STICK = 5, NEAR = 2; // mm: a piece that is brought so near to the edge of its room, from beyond it or from within, lies on it

// Where the origin of a piece may lie beside the others, as the server says; nothing while it does not know.
async function roomOf(index, i, spot) {
  const job = document.body.dataset.job, words = new URLSearchParams({ sheet: index, spot: i, turn: spot.turn, mirror: spot.mirror ? "yes" : "no" });
  const answer = await fetch(`/jobs/${job}/room?${words}`).catch(() => null);
  return answer && answer.ok ? (await answer.json()).rings : [];
}

// The place in a room that is meant by another one near its edge.
function stuck(rings, [x, y]) {
  let best = null, far = Infinity;
  for (const ring of rings) {
    for (let k = 1; k < ring.length; k += 1) {
      const [ax, ay] = ring[k - 1], [bx, by] = ring[k], dx = bx - ax, dy = by - ay;
      const t = Math.min(1, Math.max(0, ((x - ax) * dx + (y - ay) * dy) / (dx * dx + dy * dy || 1)));
      const d = Math.hypot(ax + t * dx - x, ay + t * dy - y);
      if (d < far) { far = d; best = [ax + t * dx, ay + t * dy]; }
    }
  }
  const free = rings.reduce((odd, ring) => (within([x, y], ring) ? !odd : odd), false);
  return { free, at: far < (free ? NEAR : STICK) ? best : null };
}

function all(sheets, figures) { // every sheet as often as it is run
  const found = [];
  sheets.forEach((sheet, i) => {
    const spots = sheet.spots.filter((s) => !s.gone).map((s) => ({ file: sheet.shapes[s.shape].file, card: figures[i].dataset.card, x: s.x, y: s.y, turn: s.turn, mirror: s.mirror, hand: Boolean(s.hand) }));
    for (let k = 0; k < Number(figures[i].dataset.runs); k += 1) { found.push(spots); }
  });
  return found;
}

const crosses = ([ax, ay], [bx, by], [cx, cy], [dx, dy]) => {
  const side = (px, py, qx, qy, rx, ry) => (qx - px) * (ry - py) - (qy - py) * (rx - px);
  return side(ax, ay, bx, by, cx, cy) * side(ax, ay, bx, by, dx, dy) < 0 && side(cx, cy, dx, dy, ax, ay) * side(cx, cy, dx, dy, bx, by) < 0;
};
const within = ([x, y], ring) => ring.reduce((odd, [bx, by], i) => {
  const [ax, ay] = ring[(i || ring.length) - 1];
  return (ay > y) !== (by > y) && x < ax + (bx - ax) * (y - ay) / (by - ay) ? !odd : odd;
}, false);
const boxOf = (ring) => [Math.min(...ring.map((p) => p[0])), Math.min(...ring.map((p) => p[1])), Math.max(...ring.map((p) => p[0])), Math.max(...ring.map((p) => p[1]))];

function meet(a, b) { // two outlines on the sheet
  const [al, ab, ar, at] = boxOf(a), [bl, bb, br, bt] = boxOf(b);
  if (al > br || bl > ar || ab > bt || bb > at) { return false; }
  const cut = a.some((p, i) => b.some((q, k) => crosses(a[(i || a.length) - 1], p, b[(k || b.length) - 1], q)));
  return cut || within(a[0], b) || within(b[0], a);
}

function lay(figure, sheets, index, figures, send) {
  const sheet = sheets[index], height = sheet.height;
  const picture = document.createElementNS(SVG, "svg");
  picture.setAttribute("viewBox", `-2 -2 ${sheet.width + 4} ${height + 4}`);
  figure.classList.add("moving");
  const base = document.createElementNS(SVG, "path");
  base.setAttribute("class", "base");
  base.setAttribute("d", `M0 0H${sheet.width}V${height}H0Z`);
  picture.append(base);
  const free = document.createElementNS(SVG, "path"); // where what is held at the piece may go
  free.setAttribute("class", "free");
  picture.append(free);
  const pieces = sheet.spots.map((spot) => {
    const piece = document.createElementNS(SVG, "g");
    piece.setAttribute("tabindex", "0");
    piece.setAttribute("role", "button");
    piece.setAttribute("class", spot.hand ? "piece laid" : "piece");
    piece.setAttribute("aria-label", `copy ${spot.copy}${spot.hand ? ", laid by you" : ""}: the arrow keys move it by 1 mm, with Shift by 10 mm, R turns it, N lays it on the next sheet, Delete puts it onto the pile, Enter leaves it there, Escape takes it back`);
    for (const outline of sheet.shapes[spot.shape].outlines) {
      const path = document.createElementNS(SVG, "path");
      path.setAttribute("d", `M${outline.map((p) => p.join(" ")).join("L")}Z`);
      piece.append(path);
    }
    picture.append(piece);
    return piece;
  });

  function put(i, spot = sheet.spots[i]) {
    const flip = spot.mirror ? -1 : 1, a = spot.turn * Math.PI / 180, c = Math.cos(a), s = Math.sin(a);
    // y is up on the sheet and down in the picture
    pieces[i].setAttribute("transform", `matrix(${c * flip} ${-s * flip} ${-s} ${-c} ${spot.x} ${height - spot.y})`);
  }
  sheet.spots.forEach((_, i) => put(i));

  function lying(i) { // its outlines on the sheet
    const spot = sheet.spots[i], flip = spot.mirror ? -1 : 1, a = spot.turn * Math.PI / 180, c = Math.cos(a), s = Math.sin(a);
    return sheet.shapes[spot.shape].outlines.map((ring) => ring.map(([x, y]) => [spot.x + c * flip * x - s * y, spot.y + s * flip * x + c * y]));
  }
  function look(i) { // mark what can't stay
    const mine = lying(i), beyond = mine.flat().some(([x, y]) => x < 0 || y < 0 || x > sheet.width || y > height);
    let hit = false;
    pieces.forEach((piece, k) => {
      const on = k !== i && !sheet.spots[k].gone && lying(k).some((ring) => mine.some((own) => meet(own, ring)));
      piece.classList.toggle("hit", on);
      hit = hit || on;
    });
    pieces[i].classList.toggle("hit", hit || beyond);
  }
  function plain() { for (const piece of pieces) { piece.classList.remove("hit"); } }

  let rings = [], asked = 0;
  async function room(i, [gx, gy]) { // shown for the point at which the piece is held, given from its origin
    const turn = asked += 1;
    rings = [];
    const found = await roomOf(index, i, sheet.spots[i]);
    if (turn !== asked) { return; }
    rings = found;
    free.setAttribute("d", found.map((ring) => `M${ring.map(([x, y]) => `${x + gx} ${height - y - gy}`).join("L")}Z`).join(""));
  }
  function noRoom() { asked += 1; rings = []; free.removeAttribute("d"); }
  function middle(i) { // from its origin
    const [a, b, c, d] = boxOf(lying(i).flat()), spot = sheet.spots[i];
    return [(a + c) / 2 - spot.x, (b + d) / 2 - spot.y];
  }

  async function leave(i, before) {
    const now = sheet.spots[i];
    noRoom();
    if (now.x === before.x && now.y === before.y && now.turn === before.turn) { return; }
    sheet.spots[i] = { ...now, hand: true };
    last = now;
    const body = new FormData();
    body.set("sheets", JSON.stringify(all(sheets, figures)));
    pieces[i].classList.add("held");
    if (!await send("place", body)) { sheet.spots[i] = last = before; put(i); }
    pieces[i].classList.remove("held");
    plain();
  }

  async function away(i) { // onto the pile
    sheet.spots[i].gone = true;
    last = null;
    noRoom();
    const body = new FormData();
    body.set("sheets", JSON.stringify(all(sheets, figures)));
    if (!await send("place", body)) { sheet.spots[i].gone = false; }
  }

  async function onward(i) { // to the next sheet, where it lies on this one
    const next = sheets[index + 1], spot = sheet.spots[i], placed = all(sheets.map((s) => (s === sheet ? { ...s, spots: s.spots.filter((one) => one !== spot) } : s)), figures);
    const moved = { file: sheet.shapes[spot.shape].file, card: figure.dataset.card, x: spot.x, y: spot.y, turn: spot.turn, mirror: spot.mirror, hand: true };
    last = null;
    const at = figures.slice(0, index + 1).reduce((sum, f) => sum + Number(f.dataset.runs), 0);
    if (next && figures[index + 1].dataset.card === figure.dataset.card) { placed[at] = [...placed[at], moved]; } else { placed.splice(at, 0, [moved]); }
    const body = new FormData();
    body.set("sheets", JSON.stringify(placed));
    await send("place", body);
  }

  function turned(spot) { // by a quarter, about the middle of what is seen
    const shape = sheet.shapes[spot.shape].outlines.flat(), at = (s) => shape.map(([x, y]) => {
      const f = s.mirror ? -x : x, a = s.turn * Math.PI / 180, c = Math.cos(a), n = Math.sin(a);
      return [c * f - n * y, n * f + c * y];
    });
    const mid = (points) => [0, 1].map((k) => (Math.min(...points.map((p) => p[k])) + Math.max(...points.map((p) => p[k]))) / 2);
    const next = { ...spot, turn: (spot.turn + 90) % 360 }, a = mid(at(spot)), b = mid(at(next));
    return { ...next, x: spot.x + a[0] - b[0], y: spot.y + a[1] - b[1] };
  }

  let chosen = -1;
  const row = document.createElement("p"), acts = [["turn it", (i) => { const from = { ...sheet.spots[i] }; sheet.spots[i] = turned(from); put(i); leave(i, from); }], ["to the next sheet", onward], ["onto the pile", away]].map(([words, act]) => {
    const one = document.createElement("button");
    one.type = "button";
    one.textContent = words;
    one.disabled = true;
    one.addEventListener("click", () => { if (chosen >= 0) { act(chosen); } });
    row.append(one, " ");
    return one;
  });
  row.className = "hand-acts";
  const hint = document.createElement("small");
  hint.textContent = "While a piece is held, the field shows where the point that you hold may go; near its edge the piece lies on it.";
  row.append(hint);

  pieces.forEach((piece, i) => {
    let held = null, before = null, keyed = null;
    piece.addEventListener("pointerdown", (e) => {
      held = [e.clientX, e.clientY];
      before = { ...sheet.spots[i] };
      const edge = picture.getBoundingClientRect(), scale = (sheet.width + 4) / edge.width;
      room(i, [scale * (e.clientX - edge.left) - 2 - before.x, height + 2 - scale * (e.clientY - edge.top) - before.y]);
      piece.setPointerCapture(e.pointerId);
      piece.classList.add("held");
    });
    piece.addEventListener("pointermove", (e) => {
      if (!held) { return; }
      const scale = (sheet.width + 4) / picture.getBoundingClientRect().width;
      const to = [before.x + scale * (e.clientX - held[0]), before.y - scale * (e.clientY - held[1])], near = stuck(rings, to);
      const [x, y] = (near.at || to).map((v) => (near.at ? Math.round(v * 1e7) / 1e7 : Math.round(v * 100) / 100)); // the proof sees a millionth
      sheet.spots[i] = { ...before, x, y };
      put(i);
      look(i);
    });
    piece.addEventListener("pointerup", () => { if (held) { held = null; piece.classList.remove("held"); leave(i, before); } });
    piece.addEventListener("pointercancel", () => { if (held) { held = null; piece.classList.remove("held"); sheet.spots[i] = before; put(i); plain(); noRoom(); } });
    piece.addEventListener("focus", () => { chosen = i; for (const one of acts) { one.disabled = false; } });
    piece.addEventListener("keydown", (e) => {
      const far = e.shiftKey ? 10 : 1;
      const by = { ArrowLeft: [-far, 0], ArrowRight: [far, 0], ArrowUp: [0, far], ArrowDown: [0, -far] }[e.key];
      const turn = e.key.toLowerCase() === "r";
      if (by || turn) {
        const first = !keyed;
        keyed = keyed || { ...sheet.spots[i] };
        const spot = sheet.spots[i];
        sheet.spots[i] = turn ? turned(spot) : { ...spot, x: spot.x + by[0], y: spot.y + by[1] };
        put(i);
        look(i);
        if (first || turn) { room(i, middle(i)); }
      } else if (e.key === "Escape" && held) { held = null; piece.classList.remove("held"); sheet.spots[i] = before; put(i); plain(); noRoom(); }
      else if (e.key === "Escape" && keyed) { sheet.spots[i] = keyed; keyed = null; put(i); plain(); noRoom(); }
      else if (e.key === "Delete" || e.key === "Backspace") { keyed = null; away(i); }
      else if (e.key.toLowerCase() === "n") { keyed = null; onward(i); }
      else if ((e.key === "Enter" || e.key === " ") && keyed) { const from = keyed; keyed = null; leave(i, from); }
      else { return; }
      e.preventDefault();
    });
    piece.addEventListener("blur", () => { if (keyed) { const from = keyed; keyed = null; leave(i, from); } });
  });
  const shown = figure.querySelector("img");
  shown.replaceWith(picture);
  picture.after(row);
  figure.addEventListener("still", () => {
    picture.replaceWith(shown);
    row.remove();
    figure.classList.remove("moving");
    delete figure.dataset.ready;
  }, { once: true });
  figure.dataset.ready = "yes";
}
