// The field form: entries are kept on the device until the server has answered for each of them.
"use strict";

const form = document.getElementById("entry");
const number = form.dataset.number;
const KEPT = "longhold-field";
const AGAIN_MS = 15000;
const MOST_CHOSEN = 40 * 1024 * 1024;
const MOST_SENT = 4 * 1024 * 1024;
const MOST_IN_FILE = 20 * 1024 * 1024;
const MOST_ENTRIES_IN_FILE = 400;
const LONGEST_SIDE = 1600;
const FIELDS = ["spot", "measured", "reading", "date", "piece", "spots", "uncertainty", "instrument", "note"];
const { zipped } = await import(form.dataset.zip);
let changing = null;

// ids hold on pages without TLS too, where randomUUID is not to be had
function newId() {
  if (crypto.randomUUID) return crypto.randomUUID();
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = [...bytes].map((one) => one.toString(16).padStart(2, "0")).join("");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
}

function opened() {
  return new Promise((done, refuse) => {
    const asked = indexedDB.open("longhold-field", 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore("entries", { keyPath: "id" });
    asked.onsuccess = () => done(asked.result);
    asked.onerror = () => refuse(asked.error);
  });
}

// Done only once the device has written it.
async function written(change) {
  const base = await opened();
  try {
    await new Promise((done, refuse) => {
      const step = base.transaction("entries", "readwrite", { durability: "strict" });
      change(step.objectStore("entries"));
      step.oncomplete = done;
      step.onerror = step.onabort = () => refuse(step.error);
    });
  } finally {
    base.close();
  }
}

async function entries() {
  const base = await opened();
  try {
    return await new Promise((done, refuse) => {
      const asked = base.transaction("entries").objectStore("entries").getAll();
      asked.onsuccess = () =>
        done(asked.result.filter((one) => one.structure === number).sort((a, b) => a.typed - b.typed));
      asked.onerror = () => refuse(asked.error);
    });
  } finally {
    base.close();
  }
}

function say(text, wrong = false) {
  const said = document.getElementById("said");
  said.textContent = text;
  said.hidden = !text;
  said.classList.toggle("flag", wrong);
}

function refuse(field, text) {
  const place = document.getElementById(field);
  const said = document.createElement("p");
  said.className = "wrong";
  said.id = `wrong-${field}`;
  said.textContent = text;
  place.after(said);
  place.setAttribute("aria-invalid", "true");
  place.setAttribute("aria-describedby", said.id);
}

function clean() {
  form.querySelectorAll(".wrong").forEach((one) => one.remove());
  form.querySelectorAll("[aria-invalid]").forEach((one) => {
    one.removeAttribute("aria-invalid");
    one.removeAttribute("aria-describedby");
  });
}

// A photograph is made smaller here: the signal on site is weak, and the joint is seen as well.
async function smaller(file) {
  if (file.size > MOST_CHOSEN) {
    const size = Math.round(file.size / 1024 / 1024);
    throw new Error(`The photograph has ${size} MB; up to 40 MB are taken. Choose a smaller one.`);
  }
  let picture;
  try {
    picture = await createImageBitmap(file);
  } catch {
    throw new Error("This is no picture that this device can open. Take it anew as JPEG.");
  }
  const scale = Math.min(1, LONGEST_SIDE / Math.max(picture.width, picture.height));
  const canvas = document.createElement("canvas");
  canvas.width = Math.max(1, Math.round(picture.width * scale));
  canvas.height = Math.max(1, Math.round(picture.height * scale));
  canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
  const made = await new Promise((done) => canvas.toBlob(done, "image/jpeg", 0.85));
  if (!made || made.size > MOST_SENT) throw new Error("The photograph stays too large. Take it anew, smaller.");
  return made.arrayBuffer();
}

async function keep(event) {
  event.preventDefault();
  clean();
  const texts = Object.fromEntries(FIELDS.map((name) => [name, document.getElementById(name).value.trim()]));
  const missing = { spot: "Choose where.", measured: "Choose what.", reading: "Write it with its unit.", date: "Write the day." };
  const empty = Object.keys(missing).filter((name) => !texts[name]);
  empty.forEach((name) => refuse(name, missing[name]));
  if (empty.length) {
    document.getElementById(empty[0]).focus();
    return;
  }
  const entry = changing ?? { id: newId(), typed: Date.now() };
  const chosen = document.getElementById("photograph").files[0];
  let photo = entry.photo ?? null;
  try {
    if (chosen) {
      const joint = texts.spot.split("|")[0].replace(/[^A-Za-z0-9._-]+/g, "-");
      photo = { name: `${joint}-${entry.id.slice(0, 8)}.jpg`, data: await smaller(chosen) };
    }
  } catch (error) {
    refuse("photograph", error.message);
    return;
  }
  try {
    const kept = { ...entry, structure: number, texts, photo, state: "waiting", said: "" };
    await written((store) => store.put(kept));
  } catch {
    say("This device did not keep it: it may be full. What you typed stands here still.", true);
    return;
  }
  changing = null;
  for (const name of ["reading", "piece", "note", "photograph"]) document.getElementById(name).value = "";
  say("Kept on this device.");
  await shown();
  sendAll();
}

function inBase64(buffer) {
  let text = "";
  const bytes = new Uint8Array(buffer);
  for (let at = 0; at < bytes.length; at += 0x8000) text += String.fromCharCode(...bytes.subarray(at, at + 0x8000));
  return btoa(text);
}

function asSent(one) {
  const { spot, ...texts } = one.texts;
  const [joint, part = "", face = ""] = spot.split("|");
  const photograph = one.photo && { name: one.photo.name, media_type: "image/jpeg", data: inBase64(one.photo.data) };
  return { id: one.id, joint, part, face, ...texts, photograph };
}

// Each entry by itself: what the server has answered for is taken off the device, and nothing else is.
let sending = false;

async function sendAll() {
  if (sending) return;
  sending = true;
  try {
    let sent = 0;
    for (const one of (await entries()).filter((each) => each.state === "waiting")) {
      const answer = await sendOne(one);
      if (!answer) return;
      const now = (await entries()).find((each) => each.id === one.id);
      if (!now || JSON.stringify(now.texts) !== JSON.stringify(one.texts)) continue;
      if (answer.state === "refused") {
        await written((store) => store.put({ ...one, state: "refused", said: answer.said }));
      } else {
        await written((store) => store.delete(one.id));
        sent += 1;
      }
      await shown();
    }
    if (sent) say(`${sent} sent: the server has ${sent === 1 ? "it" : "them"}.`);
  } finally {
    sending = false;
  }
}

async function sendOne(one) {
  try {
    const pass = await fetch(`/structures/${number}/field/token`);
    if (pass.redirected || !pass.ok) {
      say("The server asks who you are. Sign in in another tab; entries stay here until they are sent.", true);
      return null;
    }
    const { token } = await pass.json();
    const got = await fetch(`/api/structures/${number}/readings`, {
      method: "POST",
      headers: { "content-type": "application/json", "x-form-token": token },
      body: JSON.stringify({ entries: [asSent(one)] }),
    });
    if (got.ok) return (await got.json()).answers[0];
    if ([400, 413, 415, 422].includes(got.status)) {
      const told = await got.json();
      const more = (told.problems ?? []).map((each) => each.said).join(" ");
      return { state: "refused", said: more || told.detail };
    }
    say("The server does not take entries just now. They stay here and are sent again.", true);
  } catch {
    say("No signal: entries stay on this device and are sent when it is back.");
  }
  return null;
}

function button(words, act) {
  const made = document.createElement("button");
  made.type = "button";
  made.className = "plain quiet";
  made.textContent = words;
  made.addEventListener("click", act);
  return made;
}

function again(one) {
  changing = one;
  for (const name of FIELDS) document.getElementById(name).value = one.texts[name];
  document.getElementById("spot").focus();
}

async function shown() {
  const all = await entries();
  const list = document.getElementById("waiting");
  list.replaceChildren(
    ...all.map((one) => {
      const line = document.createElement("li");
      const words = document.createElement("span");
      const where = one.texts.spot.replaceAll("|", " ");
      const photo = one.photo ? ", with a photograph" : "";
      words.textContent = `${where}, ${one.texts.measured.replaceAll("_", " ")}: ${one.texts.reading} (${one.texts.date})${photo}`;
      line.append(words);
      if (one.said) {
        const said = document.createElement("p");
        said.className = "wrong";
        said.textContent = `Not taken: ${one.said}`;
        line.append(said);
      }
      const away = button("Take it off", () => {
        if (away.dataset.sure) {
          written((store) => store.delete(one.id)).then(shown);
          return;
        }
        away.dataset.sure = "yes";
        away.textContent = "Press again: it is lost then";
      });
      line.append(button("Change", () => again(one)), away);
      return line;
    }),
  );
  const refused = all.filter((one) => one.state === "refused").length;
  const waiting = all.length - refused;
  const told = [waiting && `${waiting} waiting to be sent`, refused && `${refused} to put right`].filter(Boolean);
  document.getElementById("count").textContent = told.join(", ") || "Nothing waits on this device.";
  document.getElementById("send").disabled = !waiting;
  document.getElementById("save").disabled = !all.length;
}

// As many entries in one file as a server takes at once, photographs and all.
function parted(all) {
  const parts = [[]];
  let size = 0;
  for (const one of all) {
    const more = one.photo?.data.byteLength ?? 0;
    const last = parts.at(-1);
    if (last.length && (size + more > MOST_IN_FILE || last.length >= MOST_ENTRIES_IN_FILE)) {
      parts.push([]);
      size = 0;
    }
    parts.at(-1).push(one);
    size += more;
  }
  return parts;
}

function inTable(all) {
  const heads = form.dataset.heads.split("|");
  const quoted = (text) => (/[",\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text);
  const lines = all.map((one) => {
    const [joint, part = "", face = ""] = one.texts.spot.split("|");
    const told = { ...one.texts, joint, part, face, photograph: one.photo?.name ?? "" };
    return heads.map((head) => quoted(told[head] ?? "")).join(",");
  });
  return [heads.join(","), ...lines, ""].join("\n");
}

function fileOf(all) {
  const table = inTable(all);
  const pictures = all.filter((one) => one.photo).map((one) => [one.photo.name, new Uint8Array(one.photo.data)]);
  if (!pictures.length) return { ending: "csv", content: new Blob([table], { type: "text/csv" }) };
  return { ending: "zip", content: zipped([["field readings.csv", new TextEncoder().encode(table)], ...pictures]) };
}

// One file is saved at once; several are listed, for browsers let a page save only what was pressed.
async function saveFile() {
  const list = document.getElementById("saved");
  list.querySelectorAll("a").forEach((one) => URL.revokeObjectURL(one.href));
  const parts = parted(await entries());
  const lines = parts.map((part, at) => {
    const { ending, content } = fileOf(part);
    const link = document.createElement("a");
    link.href = URL.createObjectURL(content);
    const number = parts.length > 1 ? ` ${at + 1} of ${parts.length}` : "";
    link.download = `field readings${number}.${ending}`;
    link.textContent = link.download;
    const line = document.createElement("li");
    line.append(link);
    return line;
  });
  list.replaceChildren(...lines);
  list.hidden = lines.length < 2;
  if (lines.length === 1) list.querySelector("a").click();
  else say(`They make ${lines.length} files: save each of those listed below.`);
}

// The page and all that it needs are put aside, so that it opens without a signal.
async function putAside() {
  const state = document.getElementById("offline");
  if (!("serviceWorker" in navigator) || !window.isSecureContext) {
    state.textContent =
      "This address has no TLS, so the form cannot be opened without a signal: leave it open. " +
      "Entries and photographs stay on this device; without a way to send them, save them as a file.";
    return;
  }
  try {
    await navigator.serviceWorker.register("/field-worker.js", { scope: location.pathname });
    await navigator.serviceWorker.ready;
    const cache = await caches.open(KEPT);
    await cache.addAll([location.href, ...form.dataset.files.split(" ")]);
    navigator.storage?.persist?.();
    state.textContent = "Ready: this page opens without a signal now.";
  } catch {
    const there = await caches.match(location.href, { ignoreSearch: true }).catch(() => null);
    state.textContent = there
      ? "Without a signal: the form as it was when it was opened last."
      : "Not put aside yet: open this page once more where there is a signal.";
  }
}

for (const one of document.querySelectorAll("[data-spot]")) {
  one.addEventListener("click", () => {
    document.getElementById("spot").value = one.dataset.spot;
    document.getElementById("measured").value = one.dataset.measured;
    document.getElementById("reading").focus();
  });
}
form.addEventListener("submit", keep);
form.hidden = false;
document.getElementById("send").addEventListener("click", sendAll);
document.getElementById("save").addEventListener("click", saveFile);
if (!document.getElementById("date").value) {
  const now = new Date();
  const two = (value) => String(value).padStart(2, "0");
  document.getElementById("date").value = `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
}
window.addEventListener("online", sendAll);
setInterval(sendAll, AGAIN_MS);
shown().then(sendAll, () => say("This browser keeps nothing, so the form cannot be used here.", true));
putAside();
