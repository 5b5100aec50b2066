// What she does when a job is cut: presses the figure of a trial that was best, and the pieces that were spoilt.
const SVG = "http://www.w3.org/2000/svg";

function pressed(one, act) {
  one.addEventListener("click", act);
  one.addEventListener("keydown", (e) => { if (e.key === "Enter" || e.key === " ") { e.preventDefault(); act(); } });
}

export function afterwards(root, send) {
  for (const one of root.querySelectorAll(".tried .choice")) {
    pressed(one, () => {
      const body = new FormData();
      body.set("kind", one.dataset.kind);
      body.set("figure", one.dataset.figure);
      send("best", body);
    });
  }
  const details = root.querySelector("details.after"), place = details && details.querySelector(".spoilt");
  if (!place) { return; }
  details.addEventListener("toggle", async () => {
    if (!details.open || place.dataset.begun) { return; } // it may be told twice that it is open
    place.dataset.begun = "yes";
    const figures = [...document.querySelectorAll("#sheets figure.sheet")];
    for (const figure of figures) {
      const answer = await fetch(figure.dataset.places);
      if (answer.ok) { show(place, await answer.json(), Number(figure.dataset.runs), details.querySelector("#spoilt-marks")); }
    }
  });
  if (details.open) { details.dispatchEvent(new Event("toggle")); }
}

// Pressed and not pressed: the field holds what counts, so that marks may also be typed.
function toggle(field, mark) {
  const marks = field.value.split(",").map((one) => one.trim().toUpperCase()).filter(Boolean), at = marks.indexOf(mark);
  if (at < 0) { marks.push(mark); } else { marks.splice(at, 1); }
  field.value = marks.join(", ");
  return at < 0;
}

function show(place, sheet, runs, field) {
  const inset = 2, count = new Set(sheet.spots.map((spot) => spot.copy)).size;
  const figure = document.createElement("figure"), picture = document.createElementNS(SVG, "svg");
  figure.className = "plate moving";
  picture.setAttribute("viewBox", `${-inset} ${-inset} ${sheet.width + 2 * inset} ${sheet.height + 2 * inset}`);
  picture.setAttribute("role", "group");
  picture.setAttribute("aria-label", "pieces of a sheet: press those that were spoilt");
  const base = document.createElementNS(SVG, "path");
  base.setAttribute("class", "base");
  base.setAttribute("d", `M0 0H${sheet.width}V${sheet.height}H0Z`);
  picture.append(base);
  figure.append(picture);
  const run = runs > 1 ? chooser(figure, runs) : { value: "0" };
  const pieces = [];
  for (const spot of sheet.spots) {
    const shape = sheet.shapes[spot.shape], piece = document.createElementNS(SVG, "g");
    const mark = () => `${shape.mark}${spot.copy + Number(run.value) * count}`;
    piece.setAttribute("tabindex", "0");
    piece.setAttribute("role", "button");
    piece.setAttribute("class", "spoilable");
    const flip = spot.mirror ? -1 : 1, a = spot.turn * Math.PI / 180, c = Math.cos(a), s = Math.sin(a);
    for (const outline of shape.outlines) {
      const path = document.createElementNS(SVG, "path");
      path.setAttribute("d", `M${outline.map(([x, y]) => `${spot.x + c * flip * x - s * y} ${sheet.height - (spot.y + s * flip * x + c * y)}`).join("L")}Z`);
      piece.append(path);
    }
    const name = document.createElementNS(SVG, "text");
    piece.append(name);
    picture.append(piece);
    const look = () => {
      const on = field.value.toUpperCase().split(",").some((one) => one.trim() === mark());
      name.textContent = mark();
      piece.classList.toggle("chosen", on);
      piece.setAttribute("aria-pressed", on ? "true" : "false");
      piece.setAttribute("aria-label", `piece ${mark()} was spoilt`);
    };
    pressed(piece, () => { toggle(field, mark()); field.dispatchEvent(new Event("input")); });
    pieces.push(look);
  }
  const all = () => { for (const look of pieces) { look(); } };
  field.addEventListener("input", all);
  if (run.addEventListener) { run.addEventListener("change", all); }
  place.append(figure);
  // The size of a letter is of the screen, so it is known once the picture stands.
  const size = 12 * (sheet.width + 2 * inset) / Math.max(1, picture.getBoundingClientRect().width);
  for (const name of picture.querySelectorAll("text")) {
    const box = name.parentNode.firstChild.getBBox();
    name.setAttribute("font-size", size);
    name.setAttribute("x", box.x + box.width / 2);
    name.setAttribute("y", box.y + box.height / 2 + size / 3);
  }
  all();
}

function chooser(figure, runs) {
  const row = document.createElement("figcaption"), choice = document.createElement("select");
  choice.setAttribute("aria-label", "which run of the sheet");
  for (let k = 0; k < runs; k += 1) {
    const one = document.createElement("option");
    one.value = String(k);
    one.textContent = `run ${k + 1} of ${runs}`;
    choice.append(one);
  }
  row.append(choice);
  figure.append(row);
  return choice;
}
