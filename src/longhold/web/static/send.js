// What sends changes, and keeps what was typed until the server has taken it.
"use strict";

// Changes are sent one after another: each says which version it was made on. While the server does not
// answer, or asks who it is, a change is kept here and sent again.
const RETRY_MS = 2000;
const NO_ANSWER = "Not saved yet: the server does not answer. It is tried again; leave this page open.";
let sending = Promise.resolve();
let unsaved = false;
let refused = null;

function send(values) {
  sending = sending.then(() => sendUntilAnswered(values));
  return sending;
}

async function sendUntilAnswered(values) {
  for (;;) {
    refused = null;
    const state = document.getElementById("state");
    const columns = document.getElementById("editor").dataset.columns;
    await htmx
      .ajax("POST", `/structures/${state.dataset.number}/edit`, {
        source: state,
        target: state,
        swap: "outerHTML",
        values: { expecting: state.dataset.version, columns, ...values },
      })
      .catch(() => {});
    unsaved = refused !== null;
    if (!refused || !(await mayGoAgain(refused, "block" in values))) return;
  }
}

// Whether a change that was not taken is sent again; what it waits for is waited for here.
async function mayGoAgain({ status, said }, wasPasted) {
  const isOver = status === 401 || (status === 403 && formToken() !== (await whoIsIn()).token);
  if (isOver) {
    await signedInAgain();
    return true;
  }
  if (status && ![429, 503, 507].includes(status)) {
    say(`Not saved: ${said} ${wasPasted ? "Nothing was pasted." : "What you typed still stands in its cell."}`);
    return false;
  }
  say(status ? `Not saved yet: ${said} It is tried again; leave this page open.` : NO_ANSWER);
  await pause();
  return true;
}

function pause() {
  return new Promise((done) => {
    setTimeout(done, RETRY_MS);
    window.addEventListener("focus", done, { once: true });
  });
}

function say(words, ...more) {
  const said = document.querySelector("#state [role='status']");
  said.replaceChildren(words, ...more);
  said.classList.add("wrong");
}

// A page that waits for a computation loses nothing by being left, and goes on asking by itself.
function notAnswered() {
  const silent = document.querySelector("#working [data-silent]");
  if (silent) silent.hidden = false;
  else refused = { status: 0, said: "" };
}

// The sheet stays where a change was not taken: what was typed stands in it.
function keepSheet(event) {
  const { requestConfig, xhr } = event.detail;
  if (!requestConfig.path.endsWith("/edit") || xhr.status === 409 || xhr.status < 400) return;
  event.detail.shouldSwap = false;
  const page = new DOMParser().parseFromString(xhr.responseText, "text/html");
  const words = [...page.querySelectorAll("#content .lede, #content .lines li")].map((one) => one.textContent.trim());
  refused = { status: xhr.status, said: words.join(" ") || "the server gave no reason." };
}

// Who is signed in by now, and what their forms carry; the session of this page may be over.
async function whoIsIn() {
  try {
    const answer = await fetch("/account/token", { redirect: "manual" });
    return answer.ok ? await answer.json() : { token: "" };
  } catch {
    return { token: null };
  }
}

function formToken() {
  const headers = document.body.getAttribute("hx-headers");
  return headers ? JSON.parse(headers)["x-form-token"] : "";
}

function signAs({ token, name }) {
  document.body.setAttribute("hx-headers", JSON.stringify({ "x-form-token": token }));
  document.querySelectorAll("[name='form_token']").forEach((one) => (one.value = token));
  const shown = document.querySelector(".you a");
  if (shown) shown.textContent = name;
}

function wayIn() {
  const link = document.createElement("a");
  link.href = `/login?then=${encodeURIComponent(location.pathname + location.search)}`;
  link.target = "_blank";
  link.textContent = "Sign in in another tab";
  return link;
}

async function signedInAgain() {
  for (;;) {
    const now = await whoIsIn();
    if (now.token) return signAs(now);
    if (now.token === null) say(NO_ANSWER);
    else if (!document.querySelector("#state [role='status'] a"))
      say("Not saved yet: your session has ended. Nothing you typed is lost; leave this page open. ", wayIn(), ", then it is saved by itself.");
    await pause();
  }
}

// A form of a page that stood open for long is sent only once somebody is signed in: what is typed in it stays.
async function sendIfSignedIn(event) {
  const form = event.target;
  if (event.defaultPrevented || !form.querySelector("[name='form_token']") || form.dataset.checked) return;
  event.preventDefault();
  const { submitter } = event;
  const now = await whoIsIn();
  form.querySelector(".signed-out")?.remove();
  if (now.token) {
    signAs(now);
    form.dataset.checked = "yes";
    form.requestSubmit(submitter);
    delete form.dataset.checked;
    return;
  }
  const said = document.createElement("p");
  said.className = "wrong signed-out";
  said.setAttribute("role", "alert");
  if (now.token === null) said.append("Not sent: the server does not answer. What you typed is still here; press again later.");
  else said.append("Not sent: your session has ended. What you typed is still here. ", wayIn(), ", then press again.");
  (submitter ?? form.lastElementChild).after(said);
}

document.addEventListener("DOMContentLoaded", () => {
  document.body.addEventListener("htmx:sendError", notAnswered);
  document.body.addEventListener("htmx:timeout", notAnswered);
  document.body.addEventListener("htmx:beforeSwap", keepSheet);
  document.addEventListener("submit", sendIfSignedIn);
  window.addEventListener("beforeunload", (event) => {
    if (unsaved) event.preventDefault();
  });
});
