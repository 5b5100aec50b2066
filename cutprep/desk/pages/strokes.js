// What the machine does, played: strokes appear as the time goes on.
import { columns, fit, whenOpen } from "./columns.js";

const COLOURS = ["#2b2118", "#8a5300", "#00695f", "#6b3f8f", "#9b1c1c"];
const LONGEST = 12; // s: a sheet is played within this

export function plays(root) {
  for (const figure of root.querySelectorAll("figure.strokes")) { whenOpen(figure, () => show(figure)); }
}

async function show(figure) {
  const canvas = figure.querySelector("canvas"), pen = canvas.getContext("2d");
  const slider = figure.querySelector("input"), said = figure.querySelector("output"), run = figure.querySelector(".run");
  let data;
  try { data = await columns(figure.dataset.columns); } catch { said.textContent = "not there"; return; }
  const { head, numbers } = data, k = head.moves, step = head.step;
  const xy = numbers.subarray(0, 2 * k), tool = numbers.subarray(2 * k, 3 * k), ends = numbers.subarray(3 * k);
  const tools = Object.keys(head.tools);
  let going = 0;

  function words(seconds) {
    const m = Math.floor(seconds / 60), s = Math.round(seconds % 60);
    return m ? `${m} min ${String(s).padStart(2, "0")} s` : `${s} s`;
  }

  function draw() {
    const { ratio, wide, tall } = fit(canvas), until = 1000 * head.seconds * slider.value / 1000;
    const scale = Math.min((wide - 12) / head.width, (tall - 12) / head.height);
    const toX = (x) => 6 + scale * x, toY = (y) => tall - 6 - scale * y;
    pen.setTransform(ratio, 0, 0, ratio, 0, 0);
    pen.clearRect(0, 0, wide, tall);
    pen.strokeStyle = "#8d8478";
    pen.lineWidth = 1;
    pen.strokeRect(toX(0), toY(head.height), scale * head.width, scale * head.height);
    let low = 0, high = k;
    while (low < high) { const mid = (low + high) >> 1; if (ends[mid] <= until) { low = mid + 1; } else { high = mid; } }
    tools.concat(["up"]).forEach((name, c) => {
      const wanted = name === "up" ? -1 : Number(name) + 256;
      pen.strokeStyle = name === "up" ? "#b9c3cb" : COLOURS[c % COLOURS.length];
      pen.lineWidth = name === "up" ? 0.6 : 1.4;
      pen.beginPath();
      let x = head.home[0], y = head.home[1], open = false;
      for (let i = 0; i < low; i += 1) {
        const nx = xy[2 * i] * step, ny = xy[2 * i + 1] * step;
        const mine = name === "up" ? tool[i] < 256 : tool[i] === wanted;
        if (mine) {
          if (!open) { pen.moveTo(toX(x), toY(y)); }
          pen.lineTo(toX(nx), toY(ny));
        }
        open = mine;
        x = nx;
        y = ny;
      }
      pen.stroke();
    });
    if (low && low < k) {
      pen.fillStyle = "#9b1c1c";
      pen.beginPath();
      pen.arc(toX(xy[2 * low - 2] * step), toY(xy[2 * low - 1] * step), 4, 0, 7);
      pen.fill();
      said.textContent = `${words(until / 1000)} of ${words(head.seconds)}, ${head.tools[String(tool[low - 1] % 256)] || ""}`;
    } else { said.textContent = low ? words(head.seconds) : "begin"; }
  }

  function play() {
    const begun = performance.now(), from = Number(slider.value) >= 1000 ? 0 : Number(slider.value);
    const lasting = 1000 * Math.min(LONGEST, Math.max(2, head.seconds));
    run.textContent = "stop";
    const frame = (now) => {
      slider.value = Math.min(1000, from + 1000 * (now - begun) / lasting);
      draw();
      if (Number(slider.value) < 1000) { going = requestAnimationFrame(frame); } else { halt(); }
    };
    going = requestAnimationFrame(frame);
  }
  function halt() { cancelAnimationFrame(going); going = 0; run.textContent = "play"; }

  run.addEventListener("click", () => { if (going) { halt(); } else { play(); } });
  slider.addEventListener("input", () => { if (going) { halt(); } draw(); });
  new ResizeObserver(() => { if (canvas.clientWidth) { draw(); figure.dataset.ready = "yes"; } }).observe(canvas);
}
