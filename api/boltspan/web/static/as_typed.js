// Says beside the fields of a submission what they read as, while somebody fills them in.
//
// All reading is done by the server, by the same steps as the button's. Without this script, or without an answer, the
// form works as it stands. What comes back is a piece of a page whose texts the server has escaped; it is parsed into a
// document in which nothing runs, and only what belongs to a place is taken over from there.
"use strict";

const WAIT_MS = 400; // after the last key, so that a number is whole before it is read
const form = document.querySelector("form[data-as-typed]");
const places = form.querySelectorAll("[data-said-here]");
let timer;
let asking = new AbortController();

function show(answer) {
  const said = new DOMParser().parseFromString(answer, "text/html");
  for (const place of places) {
    const found = said.querySelector(`[data-said="${place.dataset.saidHere}"]`);
    // What has not changed stays, so that it is not read aloud again.
    if ((found?.textContent ?? "") !== place.textContent) place.replaceChildren(...(found?.childNodes ?? []));
  }
}

async function ask() {
  asking.abort();
  asking = new AbortController();
  const { signal } = asking;
  let answer = "";
  try {
    const body = new URLSearchParams(new FormData(form));
    const sent = await fetch(form.dataset.asTyped, { method: "POST", body, redirect: "error", signal });
    if (sent.ok) answer = await sent.text();
  } catch {
    // Offline, or too late: then nothing is said, for what stood there may be of other numbers.
  }
  if (!signal.aborted) show(answer);
}

function soon(wait) {
  clearTimeout(timer);
  timer = setTimeout(ask, wait);
}

form.addEventListener("input", () => soon(WAIT_MS));
addEventListener("pageshow", () => soon(0)); // a form that comes back is filled in already
