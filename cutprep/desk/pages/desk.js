// The page's own life: what is changed is sent, what is made is fetched, and nothing is kept here but what is open.
import { pictures, places } from "./picture.js";
import { turns } from "./turn.js";
import { areas } from "./areas.js";
import { flats } from "./flat.js";
import { screens } from "./screen.js";
import { handings, handled } from "./handing.js";
import { afterwards } from "./hers.js";
import { hands } from "./sheets.js";
import { plays } from "./strokes.js";
import { dimensions, gallery } from "./templates.js";

document.documentElement.classList.add("scripted");
const job = document.body.dataset.job;
const at = (id) => document.getElementById(id);

// ---- what is still under way -----------------------------------------------------------------------
// The page is at rest when nothing is being sent or fetched, the worker has done, and all that it tells has been heard.
const open_ends = { sent: 0, fetched: 0, working: Boolean(job), heard: job ? -1 : 0, awaited: 0 };

function rest(change) {
  Object.assign(open_ends, change);
  const { sent, fetched, working, heard, awaited } = open_ends;
  document.body.dataset.busy = sent || fetched || working || heard < awaited ? "yes" : "no";
}

// While a pointer is down nothing is swapped under it: a press that ends on another element is none.
let pressing = false;
const lifted = [];
function presses() {
  document.addEventListener("pointerdown", () => { pressing = true; }, true);
  for (const kind of ["pointerup", "pointercancel"]) {
    document.addEventListener(kind, () => {
      pressing = false;
      window.setTimeout(() => { for (const go of lifted.splice(0)) { go(); } }); // once the press has been acted on
    }, true);
  }
}
const unpressed = () => new Promise((go) => { if (pressing) { lifted.push(go); } else { go(); } });

// ---- drop ------------------------------------------------------------------------------------------
function drops(root) {
  for (const form of root.querySelectorAll("form.drop")) {
    const input = form.querySelector("input[type=file]");
    form.addEventListener("dragover", (e) => { e.preventDefault(); form.classList.add("over"); });
    form.addEventListener("dragleave", () => form.classList.remove("over"));
    form.addEventListener("drop", (e) => {
      e.preventDefault();
      form.classList.remove("over");
      if (e.dataTransfer.files.length) { input.files = e.dataTransfer.files; form.requestSubmit(); }
    });
    input.addEventListener("change", () => { if (input.files.length && job) { form.requestSubmit(); } });
  }
}

// ---- what is sent ----------------------------------------------------------------------------------
function say(fault, told) {
  if (!at("fault")) { return; }
  at("fault").textContent = fault || "";
  at("fault").hidden = !fault;
  if (at("told")) { at("told").textContent = told || ""; }
}

// One change after the other: each is made on the version that the one before has given.
let sent = Promise.resolve();

function send(way, body, field) {
  rest({ sent: open_ends.sent + 1 });
  sent = sent.then(() => sendNow(way, body, field)).finally(() => rest({ sent: open_ends.sent - 1 }));
  return sent;
}

async function sendNow(way, body, field) {
  body.set("version", document.body.dataset.version);
  let answer;
  try {
    answer = await fetch(`/jobs/${job}/${way}`, { method: "POST", body, headers: { "x-desk": "1" } });
  } catch {
    say("The desk does not answer. Is it still running?");
    return false;
  }
  const data = await answer.json().catch(() => ({}));
  if (answer.status === 409) {
    say(`${data.problem} ${data.fix}`);
    renewed(data.version);
    refreshAll();
    return false;
  }
  if (!answer.ok) {
    wrongly(named(data.field, way, field), `${data.problem || "That can't be done."} ${data.fix || ""}`.trim());
    return false;
  }
  for (const one of field ? (way === "set" || !field.form ? [field] : field.form.elements) : []) { rightly(one); }
  say("", data.told);
  rest({ awaited: Math.max(open_ends.awaited, data.turn) });
  renewed(data.version, data.can);
  if (!events || events.readyState !== EventSource.OPEN) { refreshAll(); } // else the desk tells of the change
  return true;
}

function renewed(version, can) {
  if (String(version) === document.body.dataset.version && !can) { return; }
  document.body.dataset.version = version;
  if (can) {
    at("undo").disabled = !can[0];
    at("redo").disabled = !can[1];
  }
  for (const section of document.querySelectorAll(".section")) {
    if (section.dataset.version !== String(version)) { mark(section, "working"); }
  }
}

function mark(section, state) {
  section.classList.remove("working", "needs", "done", "look", "waiting", "stopped");
  section.classList.add(state);
  section.dataset.state = state;
}

// The field that is at fault, as the server names it: of the form that was sent, else of one that is sent the same way.
function named(name, way, field) {
  if (!name) { return field; }
  const forms = [field && field.form, ...document.querySelectorAll(`form[action$="/${CSS.escape(way)}"]`)].filter(Boolean);
  const all = forms.flatMap((form) => [...form.elements]);
  return all.find((one) => one.name === name && one.type !== "hidden") || field;
}

function rightly(field) {
  const told = at(`${field.id}-wrongly`);
  if (!field.hasAttribute("aria-invalid") && !told) { return; }
  field.removeAttribute("aria-invalid");
  field.removeAttribute("aria-describedby");
  if (told) { told.remove(); }
}

function wrongly(field, words) {
  if (!field || !field.isConnected) { say(words); return; }
  if (!words) { rightly(field); return; }
  const id = `${field.id}-wrongly`;
  let told = at(id);
  field.setAttribute("aria-invalid", "true");
  for (let box = field.closest("details"); box; box = box.parentElement.closest("details")) { box.open = true; }
  if (!told) {
    told = document.createElement("span");
    told.id = id;
    told.className = "wrongly";
    told.setAttribute("role", "alert");
    field.after(told);
    field.setAttribute("aria-describedby", id);
  }
  told.textContent = words;
}

function forms(root) {
  for (const form of root.querySelectorAll("form.set")) {
    form.addEventListener("submit", (e) => e.preventDefault());
    form.addEventListener("change", (e) => {
      const field = e.target, body = new FormData();
      if (!field.name || !field.name.includes("/")) { return; }
      if (field.type === "checkbox") {
        for (const one of form.querySelectorAll(`[name="${CSS.escape(field.name)}"]`)) {
          if (one.type !== "checkbox" || one.checked) { body.append(field.name, one.value); }
        }
      } else { body.append(field.name, field.value); }
      send("set", body, field);
    });
  }
  for (const form of root.querySelectorAll("form.rule")) {
    form.addEventListener("submit", (e) => e.preventDefault());
    for (const field of form.elements) { // those that stand beside it, too
      field.addEventListener("change", (e) => send(form.getAttribute("action").split("/").pop(), new FormData(form), e.target));
    }
  }
  for (const form of root.querySelectorAll('form[action$="/undo"], form[action$="/redo"], form.act, form.save')) {
    form.addEventListener("submit", (e) => {
      e.preventDefault();
      const way = form.getAttribute("action").split("/").pop(), body = new FormData(form);
      for (const field of form.elements) { field.dataset.sent = field.value; } // she is no longer typing it
      if (way === "stop") { // it does not wait for what is being tried
        rest({ sent: open_ends.sent + 1 });
        sendNow(way, body).finally(() => rest({ sent: open_ends.sent - 1 }));
        return;
      }
      send(way, body, form.querySelector("input:not([type=hidden], [type=checkbox])"));
    });
  }
}

// What goes into a folded part: asked, and answered beside it; nothing is changed.
function fittings(root) {
  for (const form of root.querySelectorAll("form.holds")) {
    form.addEventListener("submit", async (e) => {
      e.preventDefault();
      for (const field of form.elements) { rightly(field); }
      const answer = await fetch(`${form.getAttribute("action")}?${new URLSearchParams(new FormData(form))}`, { headers: { "x-desk": "1" } }).catch(() => null);
      const data = answer ? await answer.json().catch(() => ({})) : { problem: "The desk does not answer." };
      form.querySelector("output").textContent = data.told || "";
      if (!data.told) { wrongly(named(data.field, "holds", form.elements.size), `${data.problem || "That can't be said."} ${data.fix || ""}`.trim()); }
    });
  }
}

// ---- what is made ----------------------------------------------------------------------------------
const asked = new Map(), opened = new Map(); // by section and words: it may be gone for a while, and come again
const called = (details) => `${details.querySelector("summary").textContent} ${details.dataset.turn || ""}`;

async function refresh(name) {
  const turn = (asked.get(name) || 0) + 1;
  asked.set(name, turn);
  rest({ fetched: open_ends.fetched + 1 });
  await exchange(name, () => asked.get(name) === turn).finally(() => rest({ fetched: open_ends.fetched - 1 }));
}

async function exchange(name, newest) {
  const answer = await fetch(`/jobs/${job}/sections/${name}`).catch(() => null);
  if (!answer) { window.setTimeout(() => { if (newest()) { refresh(name); } }, 1000); return; } // the line was cut
  const words = await answer.text();
  await unpressed();
  if (!answer.ok || !newest()) { return; }
  const box = document.createElement("template");
  box.innerHTML = words;
  const fresh = box.content.querySelector(".section"), old = at(name);
  if (!fresh || !old) { return; }
  if (old.words === words) { mark(old, fresh.dataset.state); behind(old); return; } // what she is at stays as it is
  const held = reached(old).indexOf(document.activeElement), active = held >= 0 ? document.activeElement : null;
  for (const one of old.querySelectorAll(".inside details")) { opened.set(`${name} ${called(one)}`, one.open); }
  const typing = active && active.matches("input:not([type=checkbox])") && ![active.defaultValue, active.dataset.sent].includes(active.value);
  if (typing) { old.addEventListener("focusout", () => refresh(name), { once: true }); return; }
  if (old.open || (fresh.open && document.querySelectorAll(".section.needs[open]").length)) { fresh.open = old.open; }
  const picked = typed(active) ? [active.selectionStart, active.selectionEnd] : null;
  fresh.words = words;
  old.replaceWith(fresh);
  behind(fresh);
  for (const one of fresh.querySelectorAll(".inside details")) { one.open = opened.get(`${name} ${called(one)}`) ?? one.open; }
  lively(fresh);
  const again = active && ((active.id && at(active.id)) || reached(fresh)[held]);
  if (again) { again.focus({ preventScroll: true }); } // whoever walks by keys stays where she is
  if (again && picked && typed(again)) { again.setSelectionRange(...picked); }
}

function typed(field) { return Boolean(field) && field.matches("input:not([type]), input[type=text]"); }

// What was made before the last change is out of date, until its successor comes.
function behind(section) {
  if (section.dataset.version !== document.body.dataset.version) { mark(section, "working"); }
}

function reached(section) {
  return [...section.querySelectorAll("summary, a, button, input:not([type=hidden]), select, canvas, [tabindex]")];
}

function refreshAll() {
  for (const section of document.querySelectorAll(".section")) { refresh(section.id); }
}

// ---- work that goes on -----------------------------------------------------------------------------
let showing = 0;

function busy(words, share) {
  const line = at("work"), bar = line.querySelector("progress");
  line.querySelector(".words").textContent = words;
  if (share) { bar.value = share; } else { bar.removeAttribute("value"); }
  at("keep-first").hidden = !document.querySelector("#sheets form.keep");
  if (line.hidden && !showing) { showing = window.setTimeout(() => { line.hidden = false; }, 400); } // what is short is not told
}

function idle() {
  rest({ working: false });
  window.clearTimeout(showing);
  showing = 0;
  at("work").hidden = true;
}

function going(name, words, share) {
  if (at(name)) { mark(at(name), "working"); }
  busy(words, share);
}

let events = null;

function listen() {
  events = new EventSource(`/jobs/${job}/events`);
  events.addEventListener("error", () => { // a line that is cut is taken up again by the browser; one that is refused is not
    if (events.readyState === EventSource.CLOSED) { say("The desk was closed. Start it again, and open the address that it shows."); }
  });
  events.addEventListener("message", (e) => {
    const event = JSON.parse(e.data);
    if (event.is === "handing") { handled(job, unpressed); return; }
    if (event.is === "state" || event.is === "changed") {
      rest({ heard: event.turn, working: event.working !== false });
      renewed(event.version, event.can);
      if (event.is === "changed" || event.paper !== document.body.dataset.paper) { refreshAll(); } // else the page stands as it was made just now
      delete document.body.dataset.paper;
      if (event.working !== false) { busy("at work", 0); } else { idle(); }
      return;
    }
    // What is still told of another version, from before a change or an undo, is out of date.
    if (String(event.version) !== document.body.dataset.version) { return; }
    if (event.is === "progress") {
      going(event.section, event.words, event.share);
    } else if (event.is === "section") {
      refresh(event.section);
    } else if (event.is === "done" || event.is === "stopped") {
      idle();
      refreshAll();
    } else if (event.is === "lost") {
      idle();
      say("The work was broken off. Change anything, or load the page again, to go on.");
    } else if (event.is === "fault") {
      idle();
      say(event.told);
    }
  });
}

// ---- all of it -------------------------------------------------------------------------------------
function lively(root) {
  drops(root);
  forms(root);
  const layer = {
    choose: (name) => {
      const row = root.querySelector(`tr[data-layer="${CSS.escape(name)}"]`);
      for (const one of root.querySelectorAll("tr.shown")) { one.classList.remove("shown"); }
      if (row) { row.classList.add("shown"); row.scrollIntoView({ block: "nearest" }); row.querySelector("select").focus(); }
    },
  };
  pictures(root, layer);
  places(root);
  turns(root);
  flats(root, send);
  fittings(root);
  areas(root, send);
  screens(root);
  hands(root, send);
  handings(root, job, wrongly);
  afterwards(root, send);
  plays(root);
  fetched(root);
}

// A browser prints at once: what stands in closed sections must be there by then, so it is fetched when all is quiet.
function fetched(root) {
  const idle = window.requestIdleCallback || ((then) => setTimeout(then, 500));
  idle(() => {
    for (const image of root.querySelectorAll("#folds .still img, #sheets .sheets img")) image.loading = "eager";
  });
}

// On paper a closed section keeps its pictures and its cautions: so much of it is opened while it is printed.
function prints() {
  window.addEventListener("beforeprint", () => {
    for (const one of document.querySelectorAll("#folds:not([open]), #sheets:not([open]), #cutting:not([open])")) {
      one.classList.add("as-closed");
      one.open = true;
    }
  });
  window.addEventListener("afterprint", () => {
    for (const one of document.querySelectorAll(".as-closed")) {
      one.classList.remove("as-closed");
      one.open = false;
    }
  });
}

rest({});
presses();
prints();
lively(document);
gallery();
dimensions(wrongly);
if (job) {
  at("print").addEventListener("click", () => window.print());
  document.addEventListener("keydown", (e) => {
    if ((e.ctrlKey || e.metaKey) && e.key.toLowerCase() === "z" && !e.target.matches("input, select, textarea")) {
      e.preventDefault();
      send(e.shiftKey ? "redo" : "undo", new FormData());
    }
  });
  listen();
  handled(job, unpressed);
}
