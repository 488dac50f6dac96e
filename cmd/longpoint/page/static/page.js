// What saves a step where scripts are allowed. Every page works without this.
"use strict";

// draw asks the server for the frames of the job form as one types.
function draws(form) {
  let wait = 0, asked = 0;
  const rows = () => [...form.querySelectorAll("tr[data-row]")];
  const slipOf = (row, name, words) => {
    const field = row.querySelector(`[name="${name}"]`), place = row.querySelector(`[data-slip="${name}"]`);
    if (!field || !place) return;
    field.toggleAttribute("aria-invalid", !!words);
    if (words) field.setAttribute("aria-invalid", "true");
    place.replaceChildren();
    if (words) {
      const said = document.createElement("span");
      said.className = "slip";
      said.textContent = words;
      place.append(said);
    }
  };
  async function draw() {
    const mine = ++asked;
    try {
      const answer = await fetch(form.dataset.draw, { method: "POST", body: new URLSearchParams(new FormData(form)) });
      if (!answer.ok || mine !== asked) return;
      const drawn = await answer.json();
      rows().forEach((row, i) => {
        const now = drawn.rows[i];
        if (!now) return;
        row.nextElementSibling.firstElementChild.innerHTML = now.html; // made by our own server, all that was typed escaped
        for (const field of row.querySelectorAll("[data-slip]")) slipOf(row, field.dataset.slip, now.slips[field.dataset.slip]);
      });
    } catch { /* the server is away: the form still works when it is back */ }
  }
  form.addEventListener("input", () => { clearTimeout(wait); wait = setTimeout(draw, 150); });

  // more adds a row, and moves on to it.
  function more() {
    const all = rows(), last = all[all.length - 1], picture = last.nextElementSibling;
    const row = last.cloneNode(true), below = picture.cloneNode(true), n = all.length;
    row.dataset.row = n;
    below.firstElementChild.dataset.drawn = n;
    below.firstElementChild.replaceChildren();
    for (const field of row.querySelectorAll("input")) field.value = field.name === "frame" ? n + 1 : "";
    for (const field of row.querySelectorAll("[aria-label]")) field.setAttribute("aria-label", field.getAttribute("aria-label").replace(/row \d+/, `row ${n + 1}`));
    for (const field of row.querySelectorAll("[data-slip]")) slipOf(row, field.dataset.slip, "");
    row.querySelectorAll("select").forEach((s, i) => { s.value = last.querySelectorAll("select")[i].value; });
    picture.after(row, below);
    return row;
  }
  const begin = row => row.querySelector('[name="width"]').focus();
  form.querySelector("[data-more]").addEventListener("click", e => { e.preventDefault(); begin(more()); });
  form.addEventListener("keydown", e => {
    const row = e.target.closest && e.target.closest("tr[data-row]");
    if (e.key !== "Enter" || !row || e.target.tagName === "BUTTON") return;
    e.preventDefault();
    const all = rows(), i = all.indexOf(row);
    begin(i + 1 < all.length ? all[i + 1] : more());
  });
}

// planning shows a plan as it gets better, and leads to it.
function planning(place) {
  const events = new EventSource(place.dataset.planning);
  events.onmessage = e => {
    const now = JSON.parse(e.data);
    if (now.over) {
      events.close();
      location.replace(now.plan ? `/plan/of/${now.plan}` : "/plan/now");
      return;
    }
    for (const name of ["line", "best", "bound", "gap"]) place.querySelector(`[data-${name}]`).textContent = now[name];
    place.querySelector("[data-share]").value = now.share;
  };
}

// typedIn gives the fields of a form that a person fills in, but for files and pass phrases.
const typedIn = form => [...form.elements].filter(f => f.name && !["hidden", "file", "password", "submit", "button"].includes(f.type) && f.tagName !== "BUTTON");
const here = () => location.pathname + location.search;

// What was sent last is kept until the browser's tab is closed: where it did not work, the page that says so leads back to the form, and all is in it again.
const sent = {
  get: () => { try { return JSON.parse(sessionStorage.getItem("sent")); } catch { return null; } },
  put: what => { try { sessionStorage.setItem("sent", JSON.stringify(what)); } catch { /* too long, or not allowed: one goes back by hand */ } },
};
let unsent = [...document.querySelectorAll("form[data-unsent=yes]")].length > 0;
document.addEventListener("submit", e => {
  unsent = false;
  if (e.target.method !== "post") return;
  sent.put({ page: here(), form: [...document.forms].indexOf(e.target), fields: typedIn(e.target).map(f => [f.name, f.value, f.checked === true]) });
});
document.addEventListener("input", e => { if (e.target.form && "unsent" in e.target.form.dataset) unsent = true; });
addEventListener("beforeunload", e => { if (unsent) e.preventDefault(); });

for (const place of document.querySelectorAll("[data-again]")) {
  const was = sent.get();
  if (!was) continue;
  sent.put({ ...was, failed: true });
  place.querySelector("a").href = was.page;
  place.hidden = false;
  document.querySelector("[data-byhand]").hidden = true;
}
function again() {
  const was = sent.get(), form = was && was.failed && was.page === here() && document.forms[was.form];
  if (!form) return;
  const left = typedIn(form);
  for (const [name, value, checked] of was.fields) {
    const at = left.findIndex(f => f.name === name && (f.type !== "radio" || f.value === value));
    if (at < 0) continue;
    const [field] = left.splice(at, 1);
    if (field.type === "checkbox" || field.type === "radio") field.checked = checked;
    else field.value = value;
  }
  sent.put(null);
  for (let at = form; at; at = at.parentElement) if (at.tagName === "DETAILS") at.open = true;
  form.scrollIntoView();
}
again();

for (const form of document.querySelectorAll("form[data-draw]")) draws(form);
for (const place of document.querySelectorAll("[data-planning]")) planning(place);
// A page that comes back from the browser's memory has a key that was used.
addEventListener("pageshow", e => { if (e.persisted) location.reload(); });
