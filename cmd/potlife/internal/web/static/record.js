// Reports are kept in the browser until the server has taken them, in the
// order in which they were made. A report carries a key made here, so that
// sending it again lands once.
"use strict";
(() => {
  const me = document.body.dataset.user || "";
  const slot = "potlife-queue";
  const box = document.getElementById("queue");

  const load = () => {
    try { return JSON.parse(localStorage.getItem(slot)) || []; } catch { return []; }
  };
  const save = (list) => localStorage.setItem(slot, JSON.stringify(list));
  const mine = () => load().filter((e) => e.user === me);
  const newKey = () => {
    const b = crypto.getRandomValues(new Uint8Array(16));
    return Array.from(b, (v) => v.toString(16).padStart(2, "0")).join("");
  };
  const change = (key, edit) => save(load().map((e) => (e.report.key === key ? edit(e) : e)).filter(Boolean));

  // say shows under a form what became of its report.
  const say = (mark, text, refused) => {
    for (const form of document.querySelectorAll("form[data-record]")) {
      if (form.dataset.mark !== mark) continue;
      const out = form.querySelector("output");
      out.textContent = text;
      out.classList.toggle("refused", Boolean(refused));
    }
  };

  const show = () => {
    if (!box) return;
    const list = mine();
    box.hidden = list.length === 0;
    box.textContent = "";
    if (list.length === 0) return;
    const p = document.createElement("p");
    const waiting = list.filter((e) => !e.refused).length;
    p.textContent = waiting === 1 ? "1 report waits to be sent." : waiting + " reports wait to be sent.";
    if (list.some((e) => e.signIn)) p.textContent += " Sign in again; nothing is lost.";
    box.append(p);
    const ul = document.createElement("ul");
    const first = [...list.filter((e) => e.refused), ...list.filter((e) => !e.refused).slice(0, 8)];
    for (const e of first) {
      const li = document.createElement("li");
      li.textContent = e.words + ", " + new Date(e.report.at).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" });
      if (e.refused) {
        li.textContent += ": not taken: " + e.refused + " ";
        const b = document.createElement("button");
        b.className = "quiet";
        b.textContent = "Drop it";
        b.addEventListener("click", () => { change(e.report.key, () => null); show(); });
        li.append(b);
      }
      ul.append(li);
    }
    if (first.length < list.length) {
      const li = document.createElement("li");
      li.textContent = "and " + (list.length - first.length) + " more";
      ul.append(li);
    }
    box.append(ul);
  };

  // sendOne returns true when the next report may follow.
  const sendOne = async (entry) => {
    let answer;
    try {
      answer = await fetch("/api/v1/records", {
        method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(entry.report), credentials: "same-origin",
      });
    } catch {
      say(entry.mark, "Kept on this phone; sent when there is a network.");
      return false;
    }
    const body = await answer.json().catch(() => ({}));
    if (answer.ok) {
      change(entry.report.key, () => null);
      say(entry.mark, body.message || "Recorded.");
      return true;
    }
    if (answer.status === 401) {
      change(entry.report.key, (e) => ({ ...e, signIn: true }));
      return false;
    }
    if (answer.status >= 500 || answer.status === 429) {
      say(entry.mark, "Kept on this phone; the server is busy.");
      return false;
    }
    const why = body.detail || "the server refused it";
    change(entry.report.key, (e) => ({ ...e, refused: why }));
    say(entry.mark, why, true);
    return true;
  };

  let sending = false;
  const drain = async () => {
    for (let entry = mine().find((e) => !e.refused); entry; entry = mine().find((e) => !e.refused)) {
      const go = await sendOne(entry);
      show();
      if (!go) break;
    }
  };
  // One page at a time sends, so that the order holds over several tabs.
  const send = async () => {
    if (sending || !me || !mine().some((e) => !e.refused)) return;
    sending = true;
    try {
      if (navigator.locks) await navigator.locks.request(slot, drain);
      else await drain();
    } finally { sending = false; }
  };

  // report reads a form into what the API takes.
  const report = (form) => {
    const data = new FormData(form);
    const r = { key: newKey(), kind: data.get("kind"), at: new Date().toISOString(), crew: data.get("crew"), date: data.get("date") };
    for (const name of ["area", "activity", "surface", "note", "edge_at", "deviation", "up_to"]) {
      const v = (data.get(name) || "").trim();
      if (v) r[name] = v;
    }
    const pieces = data.getAll("pieces").filter(Boolean);
    if (pieces.length) r.pieces = pieces;
    for (const name of ["edge", "minutes"]) if (data.get(name)) r[name] = Number(data.get(name));
    return r;
  };

  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (form.matches("[data-sign-out]") && "caches" in window) {
      caches.keys().then((names) => names.forEach((n) => caches.delete(n)));
      return;
    }
    if (!form.matches("[data-record]") || !me) return;
    event.preventDefault();
    const r = report(form);
    form.dataset.mark = form.dataset.mark || newKey();
    const button = form.querySelector("button");
    const words = form.matches(".done-form") ? (form.closest("section.area, li")?.querySelector("h3, .what b")?.textContent || "").trim() + " " + r.kind : r.kind;
    try {
      save([...load(), { user: me, mark: form.dataset.mark, words: words.trim(), report: r }]);
    } catch {
      say(form.dataset.mark, "This phone cannot keep the report. Send it when there is a network, or write it down.", true);
      return;
    }
    say(form.dataset.mark, "Sending…");
    if (form.matches(".done-form")) button.disabled = true;
    else form.reset();
    show();
    send();
  });

  const surface = document.getElementById("surface");
  surface?.addEventListener("change", () => {
    const from = document.querySelector(`template[data-edges="${CSS.escape(surface.value)}"]`);
    document.getElementById("edge").replaceChildren(from ? from.content.cloneNode(true) : "");
  });
  // What was reported from here and still waits stays marked after a reload.
  for (const e of mine()) {
    for (const form of document.querySelectorAll(".done-form")) {
      const f = new FormData(form);
      if (e.report.date === f.get("date") && e.report.crew === f.get("crew") && (e.report.area || "") === f.get("area") && (e.report.activity || "") === f.get("activity")) {
        form.dataset.mark = e.mark;
        form.querySelector("button").disabled = !e.refused;
        say(e.mark, e.refused || "Waits to be sent.", e.refused);
      }
    }
  }
  addEventListener("online", send);
  addEventListener("pageshow", send);
  setInterval(send, 20000);
  show();
  send();
  // A page that was loaded before the worker was there tells it so, and is
  // looked after and kept from its first showing.
  if ("serviceWorker" in navigator && me) {
    navigator.serviceWorker.register("/worker.js").then(() => navigator.serviceWorker.ready).then((worker) => {
      if (!navigator.serviceWorker.controller) worker.active.postMessage({ keep: location.href });
    }).catch(() => {});
  }
})();
