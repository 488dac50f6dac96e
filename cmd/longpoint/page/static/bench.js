// The bench: what is pressed is kept in this browser until the server has it, and is sent once.
"use strict";
(() => {
  const place = document.querySelector("[data-run]"), form = place.querySelector("[data-press]");
  const run = Number(place.dataset.run), at = `/api/runs/${run}`, store = "longpoint-presses";
  const asked = place.querySelector("[data-asked]"), shown = place.querySelector("[data-cut]"), link = place.querySelector("[data-link]"), said = place.querySelector("[data-said]");
  const ofStick = place.querySelectorAll("[data-flaw] input");
  const code = place.querySelector("[data-code]"), useKeys = place.querySelector("[data-usekeys]");
  let state = null, waits = [], first = null, sending = false, away = false, memory = [];

  // What was pressed and is not known to have arrived. Where the browser keeps nothing, the page remembers.
  const load = () => { try { return JSON.parse(localStorage.getItem(store)) || []; } catch { return memory; } };
  const save = all => { memory = all; try { localStorage.setItem(store, JSON.stringify(all)); } catch { /* kept in the page */ } };
  const drop = key => save(load().filter(p => p.key !== key));
  const newKey = () => [...crypto.getRandomValues(new Uint8Array(16))].map(b => b.toString(16).padStart(2, "0")).join("");
  const ofCut = p => p.do === "done" || p.do === "anyway" || p.do === "short" || p.do === "torn";

  // cuts gives what is still to be cut: not what was pressed already, what waits last, what was asked for first.
  function cuts() {
    const pressed = load().filter(p => p.run === run && ofCut(p));
    const all = state.cuts.filter(c => !pressed.some(p => p.no === c.no && p.stick === c.stick && p.side === c.side));
    const rank = c => c.no === first ? 0 : waits.includes(c.no) ? 2 : 1;
    return all.map((c, i) => [c, i]).sort((a, b) => rank(a[0]) - rank(b[0]) || a[1] - b[1]).map(x => x[0]);
  }

  function show() {
    if (!state) return;
    const kept = load().filter(p => p.run === run).length, [now, then] = cuts();
    link.textContent = away ? `The server is not there. ${kept ? `What was pressed is kept here (${kept}) and is sent when it is back.` : "Pressing goes on: it is kept here and sent when it is back."}`
      : kept ? `Sending ${kept} …` : "";
    place.querySelector("[data-line]").textContent = `${state.line}.${state.waiting.map((sticks) => ` Waits for ${sticks}.`).join("")}${state.unplanned.length ? ` Left over, for the next plan: ${state.unplanned.join(", ")}.` : ""}`;
    if (!now) {
      if (!kept && !away) location.replace(`/bench/run/${run}`); // it is to be finished
      shown.textContent = "There is nothing more to show until the server is there.";
      for (const button of form.querySelectorAll("button")) button.disabled = true;
      return;
    }
    for (const button of form.querySelectorAll("button")) button.disabled = false;
    if (shown.dataset.now !== now.html) {
      shown.dataset.now = now.html;
      shown.innerHTML = now.html; // made by our own server, all that was typed escaped
    }
    shown.querySelector("[data-next]").hidden = now.then !== (then ? then.no : 0); // it was said of another order
    for (const name of ["stick", "no", "side"]) form.elements[name].value = now[name];
  }

  function tell(words) {
    document.querySelector("main > .said")?.remove(); // what was said of an earlier step
    asked.textContent = "";
    said.hidden = !words;
    said.textContent = words;
  }

  async function ask(path, options) {
    const answer = await fetch(path, { ...options, signal: AbortSignal.timeout(20000) });
    if (answer.status >= 500 || answer.status === 429) throw new Error("not now");
    return answer;
  }

  // order says in which order the cuts are wanted.
  const order = (code = first) => `code=${encodeURIComponent(code ?? "")}&wait=${waits.join(",")}`;

  // arrange has the server put the cuts into that order and say what is true of it. Without the server they stand in it all the same.
  async function arrange(code = first) {
    const wanted = order(code);
    try {
      const got = await (await ask(`${at}?${wanted}`)).json();
      away = false;
      if (wanted === order(code) && got.cuts) {
        state = got;
        asked.innerHTML = got.asked || ""; // likewise made by our own server
        if (code && !got.asked && got.cuts.length) first = got.cuts[0].no;
      }
    } catch {
      away = true;
    }
    show();
  }

  // send sends what is kept, the first first, until all of it has arrived or the server is not there.
  async function send() {
    if (sending) return;
    sending = true;
    try {
      for (let all = load(); all.length; all = load()) {
        const next = all[0], { run: of, ...body } = next;
        const answer = await ask(`/api/runs/${of}/press?${order()}`, { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body) });
        if (answer.status === 401) {
          tell("Nobody is signed in here any more. Sign in again: what was pressed is kept.");
          break;
        }
        const got = await answer.json();
        drop(next.key);
        if (!answer.ok) tell(`Not written down: ${got.errors.map(e => `${e.what}; ${e.do}`).join(". ")}.`);
        else if (of === run) {
          state = got;
          if (got.said) tell(got.said);
        }
        away = false;
        show();
      }
    } catch {
      away = true;
    }
    sending = false;
    show();
  }

  async function look() {
    if (document.hidden) return;
    if (load().length) {
      await send();
      return;
    }
    try {
      const wanted = order(), answer = await ask(`${at}?${wanted}${state ? `&version=${state.version}` : ""}`);
      if (answer.status === 200) {
        const got = await answer.json();
        if (wanted === order()) state = got;
      }
      away = false;
      if (state && state.state !== "open") location.replace(`/bench/run/${run}`);
    } catch {
      away = true;
    }
    show();
  }

  function press(what) {
    if (!state || !form.elements.stick.value) return;
    const p = { run, key: newKey(), do: what, stick: form.elements.stick.value, no: Number(form.elements.no.value), side: form.elements.side.value };
    if (!ofCut(p)) for (const field of ofStick) p[field.name] = field.value;
    save([...load(), p]);
    tell("");
    first = null;
    if (!ofCut(p)) {
      for (const field of ofStick) field.value = "";
      place.querySelector("[data-flaw]").open = false;
    }
    show();
    send();
  }

  function wait() {
    const now = Number(form.elements.no.value);
    waits = [...waits.filter(n => n !== now), now];
    first = null;
    tell("");
    show();
    arrange();
  }

  // scanned takes the code of a label: the side is shown, or done where it is shown already.
  function scanned(text) {
    const all = state ? cuts() : [], found = all.find(c => c.side === text || c.stick === text || encodeURIComponent(c.stick) === text || String(c.no) === text);
    if (found && found === all[0] && found.side === text) {
      press("done");
      return;
    }
    tell(found || !away ? "" : `The server is not there, and this page knows no cut ${text}.`);
    first = found ? found.no : null;
    show();
    arrange(text);
  }

  form.addEventListener("submit", e => {
    e.preventDefault();
    if (e.submitter?.value) press(e.submitter.value);
    else tell("Nothing is written down yet: press the button that says what it is.");
  });
  place.querySelector("[data-wait]").addEventListener("click", e => { e.preventDefault(); wait(); });
  code.form.addEventListener("submit", e => { e.preventDefault(); scanned(code.value.trim()); code.value = ""; });

  // Keys, a foot switch, a scanner. A scanner types a whole code within a moment; a finger types one key.
  const keys = { s: () => press("short"), t: () => press("torn"), d: () => press("done"), w: wait, u: () => { const undo = place.querySelector("[data-undo]"); if (undo) undo.click(); } };
  let typed = "", pause = 0;
  document.addEventListener("keydown", e => {
    const on = document.activeElement;
    if (!useKeys.checked || e.ctrlKey || e.metaKey || e.altKey || on && on !== document.body && !place.contains(on) || on && /^(INPUT|TEXTAREA|SELECT|SUMMARY)$/.test(on.tagName)) return;
    if (e.key === "Enter" && typed.length > 1) {
      e.preventDefault();
      clearTimeout(pause);
      scanned(typed);
      typed = "";
    } else if (e.key === "PageDown" || e.key === "Enter" && (!on || on === document.body)) {
      e.preventDefault();
      if (!e.repeat) press("done");
    } else if (e.key.length === 1 && e.key !== " " && !e.repeat) {
      typed += e.key;
      clearTimeout(pause); // no other key puts off what a finger pressed
      pause = setTimeout(() => {
        const one = typed.length === 1 && keys[typed.toLowerCase()];
        typed = "";
        if (one) one();
      }, 300);
    }
  });
  try { useKeys.checked = localStorage.getItem("longpoint-keys") !== "off"; } catch { /* as it stands */ }
  useKeys.addEventListener("change", () => { try { localStorage.setItem("longpoint-keys", useKeys.checked ? "on" : "off"); } catch { /* for this page only */ } });
  place.querySelector("[data-keys]").hidden = false;
  document.addEventListener("visibilitychange", look);
  addEventListener("online", look);
  setInterval(look, 1500);
  look();
})();
