// The drawing to look at: zoom, move, rulers in millimetres and inches, measure, and ask what a line is for.
import { columns, fit, STYLES, whenOpen } from "./columns.js";
import { pixelsPerMm } from "./screen.js";

const INCH = 25.4;
const RULER = 22;
const AROUND = 60; // mm that are seen round a place
const NEAR = 12; // a finger's reach, CSS pixels

// Each place that is told leads to the picture of its drawing.
export function places(root) {
  for (const link of root.querySelectorAll("a.place")) {
    link.addEventListener("click", (e) => {
      const figure = document.querySelector(`#lines figure.picture[data-row="${link.dataset.row}"]`);
      if (!figure) { return; }
      e.preventDefault();
      document.getElementById("lines").open = true;
      figure.led = { at: link.dataset.at.split(",").map(Number), told: link.textContent };
      figure.dispatchEvent(new Event("lead"));
      figure.scrollIntoView({ block: "center" });
      figure.querySelector("canvas").focus({ preventScroll: true });
    });
  }
}

export function pictures(root, layer) {
  for (const figure of root.querySelectorAll("figure.picture")) { whenOpen(figure, () => show(figure, layer)); }
}

async function show(figure, layer) {
  const canvas = figure.querySelector("canvas"), said = figure.querySelector("output");
  const pen = canvas.getContext("2d");
  let data;
  try { data = await columns(figure.dataset.columns); } catch { said.textContent = "The picture is not there."; return; }
  const { head, numbers } = data, n = head.lines;
  const start = numbers.subarray(0, n + 1), kind = numbers.subarray(n + 1, 2 * n + 1);
  const owner = numbers.subarray(2 * n + 1, 3 * n + 1), xy = numbers.subarray(3 * n + 1);
  const [left, bottom, right, top] = head.bounds, step = head.step;
  const look = { scale: 1, x: 0, y: 0 };
  let measuring = false, ends = [], chosen = -1, ringed = null, size = fit(canvas), all = true; // nothing was moved yet: all of it is seen
  // What was drawn last, to be shifted and stretched while a hand moves the picture.
  const still = document.createElement("canvas");
  let stillLook = null, settle = 0;
  const boxes = boxesOf();

  function boxesOf() {
    const found = new Float32Array(4 * n);
    for (let i = 0; i < n; i += 1) {
      let a = Infinity, b = Infinity, c = -Infinity, d = -Infinity;
      for (let k = 2 * start[i]; k < 2 * start[i + 1]; k += 2) {
        const x = xy[k], y = xy[k + 1];
        if (x < a) { a = x; } if (x > c) { c = x; } if (y < b) { b = y; } if (y > d) { d = y; }
      }
      found.set([a * step, b * step, c * step, d * step], 4 * i);
    }
    return found;
  }

  function whole() {
    all = true;
    size = fit(canvas);
    const w = Math.max(right - left, 1), h = Math.max(top - bottom, 1);
    look.scale = Math.min((size.wide - RULER - 24) / w, (size.tall - RULER - 24) / h);
    middle();
  }
  function middle() {
    look.x = RULER + (size.wide - RULER) / 2 - look.scale * (left + right) / 2;
    look.y = (size.tall - RULER) / 2 + look.scale * (bottom + top) / 2;
  }
  const toX = (x) => look.x + look.scale * x, toY = (y) => look.y - look.scale * y;
  const fromX = (x) => (x - look.x) / look.scale, fromY = (y) => (look.y - y) / look.scale;

  function exact() {
    size = fit(canvas);
    still.width = canvas.width;
    still.height = canvas.height;
    const ink = still.getContext("2d");
    ink.setTransform(size.ratio, 0, 0, size.ratio, 0, 0);
    ink.clearRect(0, 0, size.wide, size.tall);
    const x0 = fromX(0), x1 = fromX(size.wide), y0 = fromY(size.tall), y1 = fromY(0), fine = 0.4 / look.scale;
    head.classes.forEach((name, c) => {
      const [colour, width, dash] = STYLES[name] || STYLES.draw;
      ink.strokeStyle = colour;
      ink.lineWidth = width;
      ink.setLineDash(dash);
      ink.beginPath();
      for (let i = 0; i < n; i += 1) {
        if (kind[i] !== c) { continue; }
        const b = 4 * i;
        if (boxes[b] > x1 || boxes[b + 2] < x0 || boxes[b + 1] > y1 || boxes[b + 3] < y0) { continue; }
        const first = 2 * start[i], last = 2 * start[i + 1];
        ink.moveTo(toX(xy[first] * step), toY(xy[first + 1] * step));
        if (boxes[b + 2] - boxes[b] < fine && boxes[b + 3] - boxes[b + 1] < fine) { // a speck: one dot will do
          ink.lineTo(toX(xy[first] * step) + 0.5, toY(xy[first + 1] * step));
          continue;
        }
        for (let k = first + 2; k < last; k += 2) { ink.lineTo(toX(xy[k] * step), toY(xy[k + 1] * step)); }
      }
      ink.stroke();
    });
    ink.setLineDash([]);
    stillLook = { ...look };
  }

  function draw() {
    pen.setTransform(size.ratio, 0, 0, size.ratio, 0, 0);
    pen.clearRect(0, 0, size.wide, size.tall);
    if (stillLook) {
      const k = look.scale / stillLook.scale;
      pen.drawImage(still, look.x - k * stillLook.x, look.y - k * stillLook.y, k * size.wide, k * size.tall);
    }
    if (chosen >= 0) {
      pen.strokeStyle = "#2a6f97";
      pen.lineWidth = 4;
      pen.globalAlpha = 0.6;
      pen.beginPath();
      for (let k = 2 * start[chosen]; k < 2 * start[chosen + 1]; k += 2) { pen.lineTo(toX(xy[k] * step), toY(xy[k + 1] * step)); }
      pen.stroke();
      pen.globalAlpha = 1;
    }
    measured();
    if (ringed) {
      pen.strokeStyle = "#9b1c1c";
      pen.lineWidth = 2.5;
      pen.beginPath();
      pen.arc(toX(ringed[0]), toY(ringed[1]), 14, 0, 7);
      pen.stroke();
    }
    rulers();
  }

  // To a place that the list of findings names: in the middle, some centimetres around it, with a ring.
  function lead() {
    if (!figure.led || !canvas.clientWidth) { return; }
    const { at: [x, y], told } = figure.led;
    figure.led = null;
    whole();
    ringed = [x, y];
    look.scale = Math.max(look.scale, Math.min(size.wide, size.tall) / AROUND);
    look.x = RULER + (size.wide - RULER) / 2 - look.scale * x;
    look.y = (size.tall - RULER) / 2 + look.scale * y;
    said.textContent = told;
    later();
  }

  function measured() {
    if (!ends.length) { return; }
    pen.strokeStyle = pen.fillStyle = "#2a5d80";
    pen.lineWidth = 1.5;
    pen.beginPath();
    ends.forEach(([x, y]) => { pen.moveTo(toX(x) + 4, toY(y)); pen.arc(toX(x), toY(y), 4, 0, 7); });
    if (ends.length === 2) { pen.moveTo(toX(ends[0][0]), toY(ends[0][1])); pen.lineTo(toX(ends[1][0]), toY(ends[1][1])); }
    pen.stroke();
  }

  function rulers() {
    pen.fillStyle = "#f6efe0";
    pen.fillRect(0, 0, RULER, size.tall);
    pen.fillRect(0, size.tall - RULER, size.wide, RULER);
    pen.fillStyle = pen.strokeStyle = "#5c5145";
    pen.lineWidth = 1;
    pen.font = "10px sans-serif";
    pen.beginPath();
    const steps = [1, 2, 5, 10, 20, 50, 100, 200, 500, 1000], mm = steps.find((s) => s * look.scale > 36) || 2000;
    for (let v = Math.ceil(fromX(RULER) / mm) * mm; toX(v) < size.wide - 26; v += mm) {
      pen.moveTo(toX(v), size.tall - RULER);
      pen.lineTo(toX(v), size.tall - RULER + 6);
      pen.fillText(`${v}`, toX(v) + 2, size.tall - RULER + 12);
    }
    const inches = [1 / 8, 1 / 4, 1 / 2, 1, 2, 5, 10, 20], inch = (inches.find((s) => s * INCH * look.scale > 30) || 50) * INCH;
    for (let v = Math.ceil(fromY(size.tall - RULER) / inch) * inch; toY(v) > 14; v += inch) {
      pen.moveTo(RULER - 6, toY(v));
      pen.lineTo(RULER, toY(v));
      pen.save();
      pen.translate(9, toY(v) + 2);
      pen.fillText(eighths(v / INCH), -8, 8);
      pen.restore();
    }
    pen.stroke();
    pen.fillText("mm", size.wide - 20, size.tall - 3);
    pen.fillText("in", 2, 10);
  }

  function eighths(v) {
    const e = Math.round(v * 8), whole = Math.trunc(e / 8), rest = Math.abs(e % 8);
    const names = ["", "⅛", "¼", "⅜", "½", "⅝", "¾", "⅞"];
    return rest ? `${whole || (e < 0 ? "-" : "")}${names[rest]}` : `${whole}`;
  }

  function later() {
    all = false;
    draw();
    window.clearTimeout(settle);
    settle = window.setTimeout(() => { exact(); draw(); }, 90);
  }

  function zoom(by, x, y) {
    const scale = Math.min(400, Math.max(0.01, look.scale * by)), k = scale / look.scale;
    look.x = x - k * (x - look.x);
    look.y = y - k * (y - look.y);
    look.scale = scale;
    later();
  }

  function nearest(x, y) { // the line nearest to a place in the picture, and that place on it
    let best = -1, far = NEAR / look.scale, spot = null;
    for (let i = 0; i < n; i += 1) {
      const b = 4 * i;
      if (boxes[b] - far > x || boxes[b + 2] + far < x || boxes[b + 1] - far > y || boxes[b + 3] + far < y) { continue; }
      for (let k = 2 * start[i]; k + 3 < 2 * start[i + 1]; k += 2) {
        const ax = xy[k] * step, ay = xy[k + 1] * step, dx = xy[k + 2] * step - ax, dy = xy[k + 3] * step - ay;
        const t = Math.min(1, Math.max(0, ((x - ax) * dx + (y - ay) * dy) / (dx * dx + dy * dy || 1)));
        const d = Math.hypot(ax + t * dx - x, ay + t * dy - y);
        if (d < far) { far = d; best = i; spot = [ax + t * dx, ay + t * dy, t < 0.5 ? [ax, ay] : [ax + dx, ay + dy]]; }
      }
    }
    return { line: best, spot };
  }

  function press(px, py) {
    ringed = null;
    const x = fromX(px), y = fromY(py), found = nearest(x, y);
    if (measuring) {
      let end = [x, y];
      if (found.spot) { // ends of lines draw the measure to them
        const tip = found.spot[2];
        end = Math.hypot(tip[0] - x, tip[1] - y) * look.scale < NEAR ? tip : found.spot.slice(0, 2);
      }
      ends = ends.length === 1 ? [ends[0], end] : [end];
      if (ends.length === 2) {
        const d = Math.hypot(ends[1][0] - ends[0][0], ends[1][1] - ends[0][1]);
        said.textContent = `${d.toFixed(2)} mm, ${(d / INCH).toFixed(3)} in`;
      } else { said.textContent = "now the other end"; }
    } else {
      chosen = found.line;
      if (chosen >= 0) {
        const name = head.layers[owner[chosen]];
        said.textContent = `${name || "(no layer)"}: ${head.classes[kind[chosen]]}`;
        layer.choose(name);
      } else { said.textContent = ""; }
    }
    draw();
  }

  const held = new Map();
  let moved = 0;
  canvas.addEventListener("pointerdown", (e) => {
    held.set(e.pointerId, [e.offsetX, e.offsetY]);
    moved = 0;
    canvas.setPointerCapture(e.pointerId);
  });
  canvas.addEventListener("pointermove", (e) => {
    const before = held.get(e.pointerId);
    if (!before) { return; }
    const others = [...held].filter(([id]) => id !== e.pointerId).map(([, p]) => p);
    if (others.length) {
      const [ox, oy] = others[0], was = Math.hypot(before[0] - ox, before[1] - oy) || 1;
      zoom(Math.hypot(e.offsetX - ox, e.offsetY - oy) / was, ox, oy);
    } else {
      look.x += e.offsetX - before[0];
      look.y += e.offsetY - before[1];
      later();
    }
    moved += Math.abs(e.offsetX - before[0]) + Math.abs(e.offsetY - before[1]);
    held.set(e.pointerId, [e.offsetX, e.offsetY]);
  });
  for (const name of ["pointerup", "pointercancel"]) {
    canvas.addEventListener(name, (e) => {
      if (name === "pointerup" && held.size === 1 && moved < 6) { press(e.offsetX, e.offsetY); }
      held.delete(e.pointerId);
    });
  }
  canvas.addEventListener("wheel", (e) => {
    e.preventDefault();
    zoom(Math.exp(-e.deltaY / 400), e.offsetX, e.offsetY);
  }, { passive: false });
  canvas.addEventListener("keydown", (e) => {
    const by = { ArrowLeft: [40, 0], ArrowRight: [-40, 0], ArrowUp: [0, 40], ArrowDown: [0, -40] }[e.key];
    if (by) { look.x += by[0]; look.y += by[1]; later(); }
    else if (e.key === "+" || e.key === "=") { zoom(1.25, size.wide / 2, size.tall / 2); }
    else if (e.key === "-") { zoom(0.8, size.wide / 2, size.tall / 2); }
    else if (e.key === "0") { later(); whole(); draw(); }
    else if (e.key === "1") { real(); }
    else if (e.key === "Enter") { press((size.wide + RULER) / 2, (size.tall - RULER) / 2); }
    else { return; }
    e.preventDefault();
  });

  function real() { size = fit(canvas); look.scale = pixelsPerMm(); middle(); later(); }
  for (const button of figure.querySelectorAll("[data-view]")) {
    button.addEventListener("click", () => {
      if (button.dataset.view === "whole") { later(); whole(); draw(); }
      else if (button.dataset.view === "real") { real(); }
      else {
        measuring = !measuring;
        ends = [];
        button.setAttribute("aria-pressed", String(measuring));
        said.textContent = measuring ? "press two ends" : "";
        draw();
      }
    });
  }

  let seen = false;
  new ResizeObserver(() => {
    if (!canvas.clientWidth) { return; }
    if (!seen || all) { seen = true; whole(); } else { size = fit(canvas); }
    exact();
    draw();
    lead();
    figure.dataset.ready = "yes";
  }).observe(canvas);
  figure.addEventListener("lead", lead);
  figure.look = look; // for tests: where the eye is
}
