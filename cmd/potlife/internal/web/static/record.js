// Reports are kept in the browser until the server has taken them, in the
// order in which they were made, photos with them. A report carries a key made
// here, so that sending it again lands once.
"use strict";
(() => {
  const me = document.body.dataset.user || "";
  const slot = "potlife-queue"; // where older versions kept the queue; and the name of the lock
  const box = document.getElementById("queue");
  const mostPhotos = 4, photoSide = 1600, photoBytes = 600 * 1024;

  const newKey = () => {
    const b = crypto.getRandomValues(new Uint8Array(16));
    return Array.from(b, (v) => v.toString(16).padStart(2, "0")).join("");
  };

  // The store: entries count up in the order in which they were made, whichever
  // tab made them.
  let opening;
  const database = () => (opening ||= new Promise((done, failed) => {
    const ask = indexedDB.open("potlife", 1);
    ask.onupgradeneeded = () => ask.result.createObjectStore("reports", { keyPath: "n", autoIncrement: true });
    ask.onsuccess = () => {
      const db = ask.result;
      db.onversionchange = () => { db.close(); opening = undefined; };
      db.onclose = () => { opening = undefined; }; // the browser took it away: it is opened again
      done(db);
    };
    ask.onerror = () => failed(ask.error);
  }).catch((err) => { opening = undefined; throw err; }));
  const started = async (mode) => {
    try {
      return (await database()).transaction("reports", mode);
    } catch (err) {
      if (err?.name !== "InvalidStateError") throw err;
      opening = undefined; // it was closed without a word
      return (await database()).transaction("reports", mode);
    }
  };
  const within = async (mode, use) => {
    const t = await started(mode);
    return new Promise((done, failed) => {
      const ask = use(t.objectStore("reports"));
      t.oncomplete = () => done(ask && ask.result);
      t.onabort = t.onerror = () => failed(t.error || ask?.error);
    });
  };
  const all = () => within("readonly", (s) => s.getAll()).catch(() => []);
  const mine = async () => (await all()).filter((e) => e.user === me);
  const keep = (entry) => within("readwrite", (s) => s.add(entry));
  const drop = (n) => within("readwrite", (s) => s.delete(n));
  const mark = (entry, also) => within("readwrite", (s) => s.put({ ...entry, ...also }));
  const adopt = async () => {
    let old;
    try { old = JSON.parse(localStorage.getItem(slot)); } catch { return; }
    if (!Array.isArray(old)) return;
    for (const e of old) await keep(e);
    localStorage.removeItem(slot);
  };

  // say shows under a form what became of its report.
  const say = (which, text, refused) => {
    for (const form of document.querySelectorAll("form[data-record]")) {
      if (form.dataset.mark !== which) continue;
      const out = form.querySelector("output");
      out.textContent = text;
      out.classList.toggle("refused", Boolean(refused));
    }
  };

  // tell says it in the other tabs too, and that the queue is another one: whichever
  // tab sends, the reports of all are sent.
  const channel = "BroadcastChannel" in window ? new BroadcastChannel(slot) : undefined;
  const tell = (which, text, refused) => {
    say(which, text, refused);
    channel?.postMessage({ user: me, which, text, refused: Boolean(refused) });
  };
  channel?.addEventListener("message", ({ data }) => {
    if (data.user !== me) return;
    say(data.which, data.text, data.refused);
    show();
  });

  // A sheet of a day to come is reported on too, when work ran ahead; whoever
  // does so by mistake is asked once.
  const ahead = document.getElementById("ahead");
  const daysAhead = () => {
    if (!ahead) return 0;
    const [year, month, day] = ahead.dataset.date.split("-").map(Number), now = new Date();
    return Math.round((Date.UTC(year, month - 1, day) - Date.UTC(now.getFullYear(), now.getMonth(), now.getDate())) / 86400000);
  };
  const aheadWords = (n) => "This sheet is for " + ahead.dataset.day + ", " + n + (n === 1 ? " day ahead." : " days ahead.");
  let agreed = false;
  const asked = (kind) => {
    if (agreed || kind === "note" || kind === "reading" || daysAhead() < 1) return false;
    agreed = true;
    return true;
  };
  if (ahead) {
    ahead.hidden = daysAhead() < 1;
    if (!ahead.hidden) ahead.textContent = aheadWords(daysAhead()) + " Report only what is done already.";
  }

  const line = (e) => {
    const li = document.createElement("li");
    li.textContent = e.words + ", " + new Date(e.made || e.report.at).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" });
    if (e.photos?.length) li.textContent += e.photos.length === 1 ? ", 1 photo" : ", " + e.photos.length + " photos";
    if (!e.refused) return li;
    li.textContent += ": not taken: " + e.refused + " ";
    const b = document.createElement("button");
    b.className = "quiet";
    b.textContent = "Drop it";
    b.setAttribute("aria-label", "Drop the report " + e.words);
    b.addEventListener("click", async () => { await drop(e.n); show(); });
    li.append(b);
    return li;
  };

  const show = async () => {
    if (!box) return;
    const list = await mine();
    box.hidden = list.length === 0;
    box.textContent = "";
    if (list.length === 0) return;
    const p = document.createElement("p");
    const waiting = list.filter((e) => !e.refused).length;
    p.textContent = waiting === 1 ? "1 report waits to be sent." : waiting + " reports wait to be sent.";
    if (list.some((e) => e.signIn)) {
      const a = document.createElement("a");
      a.href = "/sign-in?next=" + encodeURIComponent(location.pathname + location.search);
      a.textContent = "Sign in again";
      p.append(" ", a, "; nothing is lost.");
    }
    box.append(p);
    const ul = document.createElement("ul");
    const first = [...list.filter((e) => e.refused), ...list.filter((e) => !e.refused).slice(0, 8)];
    ul.append(...first.map(line));
    if (first.length < list.length) {
      const li = document.createElement("li");
      li.textContent = "and " + (list.length - first.length) + " more";
      ul.append(li);
    }
    box.append(ul);
  };

  const base64 = (blob) => new Promise((done, failed) => {
    const r = new FileReader();
    r.onload = () => done(r.result.slice(r.result.indexOf(",") + 1));
    r.onerror = () => failed(r.error);
    r.readAsDataURL(blob);
  });

  // post sends a report. What gets no answer is given up, sooner than a browser would:
  // it would hold up all that wait behind it, in every tab. A slow network has the time
  // that the photos take at 10 kB a second.
  const post = (report) => {
    const body = JSON.stringify(report);
    return fetch("/api/v1/records", {
      method: "POST", headers: { "Content-Type": "application/json" }, body, credentials: "same-origin",
      signal: AbortSignal.timeout?.(20000 + body.length / 10),
    });
  };

  // sendOne returns true when the next report may follow.
  const sendOne = async (entry) => {
    let answer;
    try {
      const report = { ...entry.report };
      if (entry.photos?.length) report.photos = await Promise.all(entry.photos.map(base64));
      answer = await post(report);
    } catch {
      say(entry.mark, "Kept on this phone; sent when there is a network.");
      return false;
    }
    const body = await answer.json().catch(() => ({}));
    if (answer.ok) {
      await drop(entry.n);
      tell(entry.mark, body.message || "Recorded.");
      return true;
    }
    if (answer.status === 401) {
      await mark(entry, { signIn: true });
      say(entry.mark, "Kept on this phone; sign in again to send it.");
      return false;
    }
    if (answer.status >= 500 || answer.status === 429) {
      say(entry.mark, "Kept on this phone; the server is busy.");
      return false;
    }
    const why = body.detail || "the server refused it";
    await mark(entry, { refused: why });
    tell(entry.mark, why, true);
    return true;
  };

  let sending = false, again = false;
  const next = async () => (await mine()).find((e) => !e.refused);
  const drain = async () => {
    for (let entry = await next(); entry; entry = await next()) {
      const go = await sendOne(entry);
      await show();
      if (!go) return false;
    }
    return true;
  };
  // One page at a time sends, so that the order holds over several tabs. What is asked
  // for meanwhile is looked for once more at the end.
  const send = async () => {
    if (!me) return;
    if (sending) {
      again = true;
      return;
    }
    sending = true;
    let all = true, any = false;
    try {
      do {
        again = false;
        if (!(await next())) break;
        any = true;
        all = await (navigator.locks ? navigator.locks.request(slot, drain) : drain());
      } while (all && again);
    } finally { sending = false; }
    if (any || box && !box.hidden) show(); // another tab may have sent what stood here
    if (any) fresh();
  };

  // small draws a photo anew, no larger than it is kept: what a phone writes
  // into its files of place and time stays behind.
  const small = async (file) => {
    const img = await createImageBitmap(file);
    const scale = Math.min(1, photoSide / Math.max(img.width, img.height));
    const canvas = document.createElement("canvas");
    canvas.width = Math.max(1, Math.round(img.width * scale));
    canvas.height = Math.max(1, Math.round(img.height * scale));
    const pen = canvas.getContext("2d");
    pen.fillStyle = "#fff";
    pen.fillRect(0, 0, canvas.width, canvas.height);
    pen.drawImage(img, 0, 0, canvas.width, canvas.height);
    img.close();
    for (let quality = 0.8; ; quality -= 0.15) {
      const blob = await new Promise((done) => canvas.toBlob(done, "image/jpeg", quality));
      if (!blob) throw new Error("no picture");
      if (blob.size <= photoBytes || quality < 0.4) return blob;
    }
  };

  // report reads a form into what the API takes. On a day that is over the
  // server puts in the end of the crew's work where no time is given.
  const report = (form) => {
    const data = new FormData(form);
    const r = { key: newKey(), kind: data.get("kind"), crew: data.get("crew"), date: data.get("date") };
    const now = new Date();
    const today = [now.getFullYear(), now.getMonth() + 1, now.getDate()].map((v) => String(v).padStart(2, "0")).join("-");
    if (data.get("time")) r.time = data.get("time");
    else if (!(r.date < today)) r.at = now.toISOString();
    for (const name of ["area", "activity", "surface", "note", "edge_at", "deviation", "up_to", "room", "product", "lot", "who", "until", "away_from", "away_to", "corrects"]) {
      const v = (data.get(name) || "").trim();
      if (v) r[name] = v;
    }
    const [kind, id] = [(data.get("work") || "").split(" ", 1)[0], (data.get("work") || "").replace(/^\S+ /, "")];
    if (kind === "area" || kind === "activity") r[kind] = id;
    const pieces = data.getAll("pieces").filter(Boolean);
    if (pieces.length) r.pieces = pieces;
    const people = data.getAll("done_by");
    if (people.length) r.done_by = people;
    for (const name of ["edge", "minutes"]) if (data.get(name)) r[name] = Number(data.get(name));
    if (data.get("packages")) r.packages = Number(data.get("packages").replace(",", "."));
    return r;
  };

  const take = async (form, entry, files) => {
    try {
      entry.photos = [];
      for (const f of files) entry.photos.push(await small(f));
    } catch {
      say(entry.mark, "A file is no picture that this phone can read. Choose another one.", true);
      return false;
    }
    try {
      await keep(entry);
    } catch {
      say(entry.mark, "This phone has no room to keep the report. Trying to send it at once…");
      if (await sendDirectly(entry)) return true;
      say(entry.mark, "This phone has no room left and there is no way to send the report now. Write it down, free some space, and report it again.", true);
      return false;
    }
    return true;
  };

  // sendDirectly is for a browser that keeps nothing: what has to wait is sent
  // now, in three tries, or not at all. What waited before goes first, where the
  // browser still gives it out; the key keeps a report from counting twice.
  const pause = (ms) => new Promise((done) => setTimeout(done, ms));
  const sendDirectly = async (entry) => {
    await Promise.race([send().catch(() => {}), pause(3000)]);
    const r = { ...entry.report };
    if (entry.photos?.length) r.photos = await Promise.all(entry.photos.map(base64));
    for (let left = 3; left > 0; left--) {
      try {
        const answer = await post(r);
        const body = await answer.json().catch(() => ({}));
        if (answer.ok) say(entry.mark, body.message || "Recorded.");
        if (answer.ok || answer.status < 500) return answer.ok;
      } catch { /* no network: once more */ }
      if (left > 1) await pause(1000);
    }
    return false;
  };

  let taking = Promise.resolve(); // one after the other, in the order they were made
  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (form.matches("[data-sign-out]")) {
      leave(event);
      return;
    }
    if (!form.matches("[data-record]") || !me || !window.indexedDB) return;
    event.preventDefault();
    form.dataset.mark = form.dataset.mark || newKey();
    const files = [...(form.querySelector("[type=file]")?.files || [])];
    const r = report(form);
    if (files.length > mostPhotos) {
      say(form.dataset.mark, "At most " + mostPhotos + " photos go with one report.", true);
      return;
    }
    if (r.kind === "note" && !r.note && files.length === 0) {
      say(form.dataset.mark, "Write a note or choose a photo.", true);
      return;
    }
    if (asked(r.kind)) {
      say(form.dataset.mark, aheadWords(daysAhead()) + " If it is done already, press once more.", true);
      return;
    }
    const once = form.matches(".done-form, .start-form");
    const button = form.querySelector("button");
    const entry = { user: me, mark: form.dataset.mark, words: ((form.dataset.words || "") + " " + r.kind).trim(), made: new Date().toISOString(), report: r };
    say(entry.mark, "Keeping it…");
    if (once) button.disabled = true;
    const values = new FormData(form);
    if (!once) form.reset();
    taking = taking.then(async () => {
      if (!await take(form, entry, files)) {
        if (once) button.disabled = false;
        else back(form, values);
        return;
      }
      await show();
      send();
    });
  });

  // back puts what was written into a form again.
  const back = (form, values) => {
    for (const e of form.elements) {
      if (e.type === "checkbox") e.checked = values.getAll(e.name).includes(e.value);
      else if (e.name && e.type !== "file" && e.type !== "hidden" && values.has(e.name) && !e.multiple) e.value = values.get(e.name);
    }
  };

  // leave signs out; what waits is said first, once.
  let warned = false;
  const leave = (event) => {
    if (box && !box.hidden && !warned) {
      warned = true;
      event.preventDefault();
      const p = document.createElement("p");
      p.textContent = "What waits is sent only when you sign in on this phone again. Sign out once more to leave all the same.";
      box.prepend(p);
      box.scrollIntoView();
      return;
    }
    if ("caches" in window) caches.keys().then((names) => names.forEach((n) => caches.delete(n)));
  };

  // fresh says what others have reported on this day since the page was made.
  const others = document.getElementById("others");
  const fresh = async () => {
    if (!others || document.hidden || !navigator.onLine) return;
    const q = new URLSearchParams({ crew: others.dataset.crew, date: others.dataset.date });
    const got = await fetch("/api/v1/records?" + q, { credentials: "same-origin" }).then((r) => (r.ok ? r.json() : null)).catch(() => null);
    if (!got) return;
    const shown = new Set([...document.querySelectorAll("#recorded li")].map((li) => li.dataset.id));
    const name = document.querySelector(".who")?.textContent || "";
    const more = got.records.filter((r) => !shown.has(r.id) && r.by !== name);
    others.hidden = more.length === 0;
    if (more.length === 0) return;
    const last = more[more.length - 1];
    others.textContent = last.by + " has reported: " + last.kind + (more.length > 1 ? ", and " + (more.length - 1) + " more reports by others came in. " : ". ");
    const a = document.createElement("a");
    a.href = location.href;
    a.textContent = "Show them";
    others.append(a);
  };

  const surface = document.getElementById("surface");
  surface?.addEventListener("change", () => {
    const from = document.querySelector(`template[data-edges="${CSS.escape(surface.value)}"]`);
    document.getElementById("edge").replaceChildren(from ? from.content.cloneNode(true) : "");
  });
  // What was reported from here and still waits stays marked after a reload.
  const remember = async () => {
    for (const e of await mine()) {
      for (const form of document.querySelectorAll(".done-form, .start-form")) {
        const f = new FormData(form);
        if (e.report.kind === f.get("kind") && e.report.date === f.get("date") && e.report.crew === f.get("crew") && (e.report.area || "") === f.get("area") && (e.report.activity || "") === f.get("activity")) {
          form.dataset.mark = e.mark;
          form.querySelector("button").disabled = !e.refused;
          say(e.mark, e.refused || "Waits to be sent.", e.refused);
        }
      }
    }
  };
  addEventListener("online", send);
  addEventListener("pageshow", send);
  document.addEventListener("visibilitychange", () => { if (!document.hidden) { show(); send(); fresh(); } });
  setInterval(send, 20000);
  setInterval(fresh, 60000);
  if (me && window.indexedDB) {
    adopt().catch(() => {}).then(remember).then(show).then(send);
    navigator.storage?.persist?.().catch(() => {});
  }
  fresh();
  // A page that was loaded before the worker was there tells it so, and is
  // looked after and kept from its first showing; so are the next sheets.
  if ("serviceWorker" in navigator && me) {
    navigator.serviceWorker.register("/worker.js").then(() => navigator.serviceWorker.ready).then((worker) => {
      if (!navigator.serviceWorker.controller) worker.active.postMessage({ keep: location.href });
      for (const a of [...document.querySelectorAll("#issued li:not(.old) a")].slice(0, 3)) worker.active.postMessage({ keep: a.href });
    }).catch(() => {});
  }
})();
