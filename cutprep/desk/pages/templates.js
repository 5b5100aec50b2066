// Templates to begin with: the gallery on the first page, and a picture that is redrawn as she types.
export function gallery() {
  const place = document.getElementById("templates");
  if (!place) { return; }
  // Only once the page stands: the list comes from a process that has to start first.
  window.requestIdleCallback(async () => {
    const answer = await fetch("/templates").catch(() => null);
    if (!answer || !answer.ok) { return; }
    const box = document.createElement("template");
    box.innerHTML = await answer.text();
    place.replaceChildren(box.content.querySelector("#kinds"));
  });
}

export function dimensions(wrongly) {
  const form = document.querySelector("form.template");
  if (!form) { return; }
  const picture = document.getElementById("drawn"), address = `${form.getAttribute("action")}/picture`;
  let touched = null, waiting = 0, drawing = false, again = false, shown = "";

  async function draw() {
    if (drawing) { again = true; return; }
    drawing = true;
    again = false;
    const typed = new URLSearchParams([...new FormData(form)].filter(([, value]) => value.trim()));
    const answer = await fetch(`${address}?${typed}`).catch(() => null);
    if (answer && answer.ok) {
      const old = shown;
      shown = URL.createObjectURL(await answer.blob());
      picture.src = shown;
      if (old) { URL.revokeObjectURL(old); }
      for (const field of form.querySelectorAll("[aria-invalid=true]")) { wrongly(field, ""); }
    } else if (answer) {
      const told = await answer.json().catch(() => ({})), fault = (told.field && form.elements.namedItem(told.field)) || touched;
      for (const field of form.querySelectorAll("[aria-invalid=true]")) { if (field !== fault) { wrongly(field, ""); } }
      wrongly(fault, `${told.problem || "That can't be drawn."} ${told.fix || ""}`.trim());
    }
    drawing = false;
    if (again) { draw(); }
  }

  form.addEventListener("input", (e) => {
    touched = e.target;
    window.clearTimeout(waiting);
    waiting = window.setTimeout(draw, 250);
  });
  if ([...new FormData(form)].some(([, value]) => value.trim())) { draw(); }
}
