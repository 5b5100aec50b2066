// The hand on the sheets: copies are moved by pointer or keys, and the server proves each place. What lies on another
// piece, or beyond the sheet, is marked while it is moved: a preview, not the proof.
const SVG = "http://www.w3.org/2000/svg";

export function hands(root, send) {
  const button = root.querySelector("#move-by-hand");
  if (!button) { return; }
  button.addEventListener("click", async () => {
    button.disabled = true;
    const figures = [...root.querySelectorAll("figure.sheet")];
    const sheets = await Promise.all(figures.map((f) => fetch(f.dataset.places).then((a) => a.json())));
    figures.forEach((figure, i) => lay(figure, sheets, i, figures, send));
  });
}

function all(sheets, figures) { // every sheet as often as it is run
  const found = [];
  sheets.forEach((sheet, i) => {
    const spots = sheet.spots.filter((s) => !s.gone).map((s) => ({ file: sheet.shapes[s.shape].file, card: figures[i].dataset.card, x: s.x, y: s.y, turn: s.turn, mirror: s.mirror }));
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
  const pieces = sheet.spots.map((spot) => {
    const piece = document.createElementNS(SVG, "g");
    piece.setAttribute("tabindex", "0");
    piece.setAttribute("role", "button");
    piece.setAttribute("class", "piece");
    piece.setAttribute("aria-label", `copy ${spot.copy}: the arrow keys move it by 1 mm, with Shift by 10 mm, R turns it, N lays it on the next sheet, Delete puts it onto the pile, Enter leaves it there, Escape takes it back`);
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

  async function leave(i, before) {
    const now = sheet.spots[i];
    if (now.x === before.x && now.y === before.y && now.turn === before.turn) { return; }
    const body = new FormData();
    body.set("sheets", JSON.stringify(all(sheets, figures)));
    pieces[i].classList.add("held");
    if (!await send("place", body)) { sheet.spots[i] = before; put(i); }
    pieces[i].classList.remove("held");
    plain();
  }

  async function away(i) { // onto the pile
    sheet.spots[i].gone = true;
    const body = new FormData();
    body.set("sheets", JSON.stringify(all(sheets, figures)));
    if (!await send("place", body)) { sheet.spots[i].gone = false; }
  }

  async function onward(i) { // to the next sheet, where it lies on this one
    const next = sheets[index + 1], spot = sheet.spots[i], placed = all(sheets.map((s) => (s === sheet ? { ...s, spots: s.spots.filter((one) => one !== spot) } : s)), figures);
    const moved = { file: sheet.shapes[spot.shape].file, card: figure.dataset.card, x: spot.x, y: spot.y, turn: spot.turn, mirror: spot.mirror };
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

  pieces.forEach((piece, i) => {
    let held = null, before = null, keyed = null;
    piece.addEventListener("pointerdown", (e) => {
      held = [e.clientX, e.clientY];
      before = { ...sheet.spots[i] };
      piece.setPointerCapture(e.pointerId);
      piece.classList.add("held");
    });
    piece.addEventListener("pointermove", (e) => {
      if (!held) { return; }
      const scale = (sheet.width + 4) / picture.getBoundingClientRect().width;
      sheet.spots[i] = { ...before, x: before.x + scale * (e.clientX - held[0]), y: before.y - scale * (e.clientY - held[1]) };
      put(i);
      look(i);
    });
    piece.addEventListener("pointerup", () => { if (held) { held = null; piece.classList.remove("held"); leave(i, before); } });
    piece.addEventListener("pointercancel", () => { if (held) { held = null; piece.classList.remove("held"); sheet.spots[i] = before; put(i); plain(); } });
    piece.addEventListener("focus", () => { chosen = i; for (const one of acts) { one.disabled = false; } });
    piece.addEventListener("keydown", (e) => {
      const far = e.shiftKey ? 10 : 1;
      const by = { ArrowLeft: [-far, 0], ArrowRight: [far, 0], ArrowUp: [0, far], ArrowDown: [0, -far] }[e.key];
      const turn = e.key.toLowerCase() === "r";
      if (by || turn) {
        keyed = keyed || { ...sheet.spots[i] };
        const spot = sheet.spots[i];
        sheet.spots[i] = turn ? turned(spot) : { ...spot, x: spot.x + by[0], y: spot.y + by[1] };
        put(i);
        look(i);
      } else if (e.key === "Escape" && held) { held = null; piece.classList.remove("held"); sheet.spots[i] = before; put(i); plain(); }
      else if (e.key === "Escape" && keyed) { sheet.spots[i] = keyed; keyed = null; put(i); plain(); }
      else if (e.key === "Delete" || e.key === "Backspace") { keyed = null; away(i); }
      else if (e.key.toLowerCase() === "n") { keyed = null; onward(i); }
      else if ((e.key === "Enter" || e.key === " ") && keyed) { const from = keyed; keyed = null; leave(i, from); }
      else { return; }
      e.preventDefault();
    });
    piece.addEventListener("blur", () => { if (keyed) { const from = keyed; keyed = null; leave(i, from); } });
  });
  figure.querySelector("img").replaceWith(picture);
  picture.after(row);
  figure.dataset.ready = "yes";
}
