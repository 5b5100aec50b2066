// Used areas of the card: drawn over the picture of the sheet, or written into the fields beside it.
export function areas(root, send) {
  const form = root.querySelector("form.area");
  if (!form) { return; }
  form.addEventListener("submit", (e) => {
    e.preventDefault();
    send("area", new FormData(form), form.querySelector("input[name=left]"));
  });
  const place = root.querySelector(".draw-area"), picture = place && place.querySelector("img");
  if (!picture) { return; }
  const frame = document.createElement("div");
  frame.className = "frame";
  frame.hidden = true;
  place.append(frame);
  let from = null;

  function spot(e) { // mm on the sheet, within it
    const box = picture.getBoundingClientRect(), w = Number(place.dataset.width), h = Number(place.dataset.height);
    const [side, , below] = place.dataset.room.split(" ").map(Number), mm = box.width / (w + 2 * side);
    const clamp = (v, most) => Math.min(most, Math.max(0, v));
    return [clamp((e.clientX - box.left) / mm - side, w), clamp((box.bottom - e.clientY) / mm - below, h)];
  }
  place.addEventListener("pointerdown", (e) => { from = { at: spot(e), x: e.clientX, y: e.clientY }; place.setPointerCapture(e.pointerId); e.preventDefault(); });
  place.addEventListener("pointermove", (e) => {
    if (!from) { return; }
    const box = place.getBoundingClientRect();
    frame.hidden = false;
    frame.style.left = `${Math.min(from.x, e.clientX) - box.left}px`;
    frame.style.top = `${Math.min(from.y, e.clientY) - box.top}px`;
    frame.style.width = `${Math.abs(e.clientX - from.x)}px`;
    frame.style.height = `${Math.abs(e.clientY - from.y)}px`;
  });
  place.addEventListener("pointerup", (e) => {
    if (!from) { return; }
    const a = from.at, b = spot(e);
    from = null;
    if (Math.abs(a[0] - b[0]) < 1 || Math.abs(a[1] - b[1]) < 1) { frame.hidden = true; return; }
    const sides = { left: Math.min(a[0], b[0]), bottom: Math.min(a[1], b[1]), right: Math.max(a[0], b[0]), top: Math.max(a[1], b[1]) };
    for (const [side, mm] of Object.entries(sides)) { form.querySelector(`[name=${side}]`).value = `${mm.toFixed(1)}mm`; }
    form.querySelector("button").focus();
  });
  place.addEventListener("pointercancel", () => { from = null; frame.hidden = true; });
}
