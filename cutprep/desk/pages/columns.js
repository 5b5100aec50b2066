// Reads the columns that the worker keeps for a picture: a JSON head, then whole numbers.
export async function columns(address) {
  const answer = await fetch(address);
  if (!answer.ok) { throw new Error(address); }
  const data = await answer.arrayBuffer();
  const size = new DataView(data).getInt32(0, true);
  const head = JSON.parse(new TextDecoder().decode(new Uint8Array(data, 4, size)));
  return { head, numbers: new Int32Array(data, 4 + size) };
}

// Styles of lines: told apart by pattern and weight first, by colour second. Widths and dashes in CSS pixels.
export const STYLES = {
  cut: ["#2b2118", 1.8, []],
  "partial-cut": ["#2b2118", 1.3, [14, 3]],
  perforate: ["#00695f", 1.6, [2, 4]],
  score: ["#8a5300", 1.5, [8, 4]],
  valley: ["#8a5300", 1.5, [8, 4]],
  mountain: ["#8a5300", 1.5, [10, 3, 1.5, 3]],
  draw: ["#6b3f8f", 1.1, []],
  guide: ["#8d8478", 0.8, [2, 4]],
  print: ["#44607a", 0.8, []],
  unplaced: ["#9b1c1c", 2.4, [4, 2]],
};

export function fit(canvas) {
  const ratio = window.devicePixelRatio || 1;
  const wide = Math.max(1, canvas.clientWidth), tall = Math.max(1, canvas.clientHeight);
  if (canvas.width !== Math.round(wide * ratio) || canvas.height !== Math.round(tall * ratio)) {
    canvas.width = Math.round(wide * ratio);
    canvas.height = Math.round(tall * ratio);
  }
  return { ratio, wide, tall };
}

// A closed section has no size: what it shows is fetched and drawn when it is opened.
export function whenOpen(figure, make) {
  const watch = new ResizeObserver(() => {
    if (!figure.clientWidth) { return; }
    watch.disconnect();
    make();
  });
  watch.observe(figure);
}
