/* In the yard there may be no signal. What is sealed there is kept on this phone and handed over
   later, once: every bag carries a token of its own, and the office takes a token one time. */
"use strict";

const SHELF = "haywright-yard";
const KEPT = "haywright.kept";
const PATIENCE_MS = 20000;
const UNPROCESSABLE = 422;
const words = document.getElementById("yard-words").dataset;

function kept() {
  try {
    return JSON.parse(localStorage.getItem(KEPT) || "[]");
  } catch {
    return [];
  }
}

function keep(list) {
  localStorage.setItem(KEPT, JSON.stringify(list));
}

function dropped(gone) {
  keep(kept().filter((one) => one.token !== gone));
}

const mine = () => kept().filter((one) => one.person === words.person);

function told(text, address) {
  const line = document.createElement("p");
  line.className = "mark";
  line.setAttribute("role", "status");
  if (address) {
    const link = document.createElement("a");
    link.href = address;
    link.textContent = text;
    line.append(link);
  } else {
    line.textContent = text;
  }
  document.getElementById("matter").prepend(line);
  line.scrollIntoView({ block: "nearest" });
}

function filled(text, one) {
  return text.replace("{lot}", one.lot).replace("{time}", one.shown);
}

function token() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (b) => b.toString(16).padStart(2, "0")).join("");
}

/* The instant with this phone's offset, so that the day is the day in the yard. */
function instant(now) {
  const minutes = -now.getTimezoneOffset();
  const local = new Date(now.getTime() + minutes * 60000).toISOString().slice(0, -1);
  const two = (n) => String(Math.floor(Math.abs(n))).padStart(2, "0");
  return `${local}${minutes < 0 ? "-" : "+"}${two(minutes / 60)}:${two(minutes % 60)}`;
}

async function sent(address, body) {
  return fetch(address, {
    method: "POST",
    body,
    headers: { "Content-Type": "application/x-www-form-urlencoded" },
    signal: AbortSignal.timeout(PATIENCE_MS),
  });
}

const sealed = (answer) =>
  answer.ok && answer.redirected && new URL(answer.url).pathname.startsWith(words.bagsAt);

/* Hands over one bag: "done", "signed out", "asked" when the office wants to know more, "later". */
async function handed(one) {
  const page = await fetch(one.address, { signal: AbortSignal.timeout(PATIENCE_MS) });
  if (page.redirected) return { end: "signed out" };
  const there = new DOMParser().parseFromString(await page.text(), "text/html");
  const guard = there.querySelector("[name=csrfmiddlewaretoken]");
  if (!page.ok || !guard) return { end: page.status < 500 ? "asked" : "later" };
  const body = new URLSearchParams(one.body);
  body.set("csrfmiddlewaretoken", guard.value);
  const answer = await sent(one.address, body);
  if (sealed(answer)) return { end: "done", at: answer.url };
  return { end: answer.status === UNPROCESSABLE ? "asked" : "later" };
}

async function handOver() {
  for (const one of mine()) {
    let outcome;
    try {
      outcome = await handed(one);
    } catch {
      return; // still no signal: everything stays
    }
    if (outcome.end === "signed out") {
      told(words.signIn, words.signInAt);
      return;
    }
    if (outcome.end === "done") {
      dropped(one.token);
      told(filled(words.handed, one), outcome.at);
    } else if (outcome.end === "asked" && !location.hash.endsWith(one.token)) {
      told(filled(words.asked, one), `${one.address}#${one.token}`);
    }
    waiting();
  }
}

async function atOnce(work) {
  if (navigator.locks) await navigator.locks.request(SHELF, { ifAvailable: true }, (held) => held && work());
  else await work();
}

/* The list of what waits, on the page that has one. */
function waiting() {
  const place = document.querySelector("[data-waiting]");
  if (!place) return;
  place.replaceChildren(
    ...mine().map((one) => {
      const line = document.createElement("li");
      const link = document.createElement("a");
      link.href = `${one.address}#${one.token}`;
      link.textContent = one.lot;
      const said = document.createElement("span");
      said.className = "soft";
      said.textContent = filled(words.waits, one);
      line.append(link, " ", said);
      return line;
    }),
  );
  document.querySelector("[data-none]").hidden = mine().length > 0;
}

/* What was typed before comes back into the form. */
function restored(form, body) {
  const held = new URLSearchParams(body);
  for (const field of form.elements) {
    if (!field.name || field.name === "csrfmiddlewaretoken") continue;
    if (field.type === "checkbox" || field.type === "radio") {
      field.checked = held.getAll(field.name).includes(field.value);
    } else if (field.type !== "submit") {
      field.value = held.get(field.name) ?? "";
    }
  }
}

/* What the form says, with the instant it was sealed here. */
function written(form, place) {
  const body = new URLSearchParams(new FormData(form));
  const now = new Date();
  if (!body.get("sealed_at")) body.set("sealed_at", instant(now));
  body.delete("csrfmiddlewaretoken");
  return {
    token: body.get("once"),
    address: location.pathname,
    body: body.toString(),
    lot: place.dataset.lot,
    shown: now.toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" }),
    person: words.person,
  };
}

/* Keeps the bag on this phone; says so, or that this phone has no room. */
function keepHere(form, place) {
  const one = written(form, place);
  try {
    keep([...kept().filter((other) => other.token !== one.token), one]);
  } catch {
    told(words.full);
    return false;
  }
  form.hidden = true;
  told(filled(words.kept, one), words.yardAt);
  return true;
}

function sealing(form, place) {
  const once = form.elements.once;
  const again = mine().find((one) => [location.hash.slice(1), once.value].includes(one.token));
  if (again) once.value = again.token;
  else if (!place.dataset.sent) once.value = token(); // a page kept here must not be one bag twice
  const day = form.elements.cored_on;
  if (again && !place.dataset.sent) restored(form, again.body);
  else if (day.value === day.defaultValue && !place.dataset.sent) {
    day.value = instant(new Date()).slice(0, 10);
  }
  let busy = false;
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    if (busy) return;
    busy = true;
    let answer;
    try {
      answer = await sent(location.pathname, new URLSearchParams(new FormData(form)));
    } catch {
      busy = keepHere(form, place);
      return;
    }
    if (sealed(answer)) {
      dropped(once.value);
      location.assign(answer.url);
    } else if (answer.status === UNPROCESSABLE) {
      form.submit(); // the office says beside the field what it wants
    } else {
      busy = keepHere(form, place);
      atOnce(handOver);
    }
  });
}

/* Pages that are to open without a signal, with all they need. */
async function shelve(addresses) {
  const own = performance.getEntriesByType("resource").map((one) => one.name);
  const near = own.filter((one) => one.startsWith(`${location.origin}/static/`));
  const shelf = await caches.open(SHELF);
  for (const one of new Set([...near, ...addresses])) {
    const answer = await fetch(one, { headers: { "X-Shelve": "1" } });
    if (answer.ok && !answer.redirected) await shelf.put(one, answer);
  }
}

async function ready() {
  const place = document.querySelector("[data-yard]");
  const form = place && place.closest("form");
  if (form) sealing(form, place);
  for (const out of document.querySelectorAll("form.out")) {
    out.addEventListener("submit", async (event) => {
      if (!self.caches) return;
      event.preventDefault();
      await caches.delete(SHELF);
      out.submit();
    });
  }
  waiting();
  if (mine().length) atOnce(handOver);
  window.addEventListener("hashchange", () => {
    // to a bag that waits here; to a part of the page nobody is taken away from what they typed
    if (mine().some((one) => one.token === location.hash.slice(1))) location.reload();
  });
  window.addEventListener("online", () => atOnce(handOver));
  const list = document.querySelector("[data-shelve]");
  if (!list || !navigator.serviceWorker) return;
  await navigator.serviceWorker.register(words.workerAt);
  const asked = document.querySelector("[data-shelve-now]"); // many pages wait to be asked for
  if (!asked) {
    await shelved(list);
    return;
  }
  asked.hidden = false;
  asked.addEventListener("click", async () => {
    asked.disabled = true;
    await shelved(list);
    asked.disabled = false;
  });
}

async function shelved(list) {
  try {
    await shelve(list.dataset.shelve.split(" "));
  } catch {
    return; // without a signal, what was kept before stays
  }
  document.querySelector("[data-shelved]").hidden = false;
}

ready();
