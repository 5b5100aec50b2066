// To the machine: the form that begins, and what is told while it goes on, always within reach, with its stop.
let seen = "", asked = 0;

export function handings(root, job, wrongly) {
  for (const form of root.querySelectorAll("form.send")) {
    form.addEventListener("submit", async (e) => {
      e.preventDefault();
      for (const field of form.elements) { if (field.id) { wrongly(field, ""); } }
      const button = form.querySelector("button");
      button.disabled = true; // until it is proved, which takes a moment: pressed again it would be refused
      const told = await act(job, new FormData(form));
      button.disabled = false;
      if (told) { wrongly(form.querySelector(`[name="${told.field || "to"}"]`), `${told.problem} ${told.fix}`); }
    });
  }
}

// Sends one wish; what is wrong with it, or nothing.
async function act(job, body) {
  const answer = await fetch(`/jobs/${job}/handing`, { method: "POST", body, headers: { "x-desk": "1" } }).catch(() => null);
  if (!answer) { return { problem: "The desk does not answer: use the machine's own switch.", fix: "" }; }
  return answer.ok ? null : answer.json();
}

export async function handled(job, unpressed) {
  const turn = asked += 1;
  const answer = await fetch(`/jobs/${job}/handing`).catch(() => null);
  if (!answer || !answer.ok) { return; }
  const box = document.createElement("template");
  box.innerHTML = await answer.text();
  await unpressed();
  if (turn !== asked) { return; }
  show(job, box.content.querySelector("#handed"));
}

function show(job, fresh) {
  const bar = document.getElementById("handing"), place = bar.querySelector(".live"), away = bar.querySelector(".away");
  const atWork = fresh.dataset.atWork === "yes", first = !seen;
  if (fresh.outerHTML === seen) { return; }
  seen = fresh.outerHTML;
  const held = document.activeElement && document.activeElement.id;
  const asks = fresh.dataset.kind === "asks" && place.firstElementChild && place.firstElementChild.dataset.kind !== "asks";
  place.replaceChildren(fresh);
  bar.classList.toggle("at-work", atWork);
  away.hidden = atWork;
  away.onclick = () => { bar.hidden = true; };
  // What is over is shown to whoever saw it happen; a break also to whoever comes later.
  bar.hidden = !atWork && first && !["stopped", "lost"].includes(fresh.dataset.kind);
  for (const button of fresh.querySelectorAll("button")) {
    button.addEventListener("click", async (e) => {
      e.preventDefault();
      button.disabled = button.value !== "stop"; // until there is something new; stop may always be pressed again
      const body = new FormData();
      body.set("do", button.value);
      const told = await act(job, body);
      if (told) { fresh.querySelector(".words").textContent = `${told.problem} ${told.fix}`; }
    });
  }
  const again = held && fresh.querySelector(`#${CSS.escape(held)}`);
  if (again) { again.focus(); } else if (asks && held && held.startsWith("hand-")) { fresh.querySelector("button").focus(); }
}
