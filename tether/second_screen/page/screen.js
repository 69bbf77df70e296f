"use strict";

// Three heartbeats missed: what is shown may be old, and the page says so.
const SILENCE_MS = 6500;
const AGAIN_MS = 3000;
// A burst must not make the letters flicker: two changes a second, below WCAG 2.3.1's three.
const HOLD_MS = 500;
const MOST_PIPS = 12;

const id = (name) => document.getElementById(name);

let source = null;
const began = Date.now();
let heard = 0;
let tried = 0;
let stale = false;
let held = 0;
let heldTimer = 0;
let shownFrame = "";
let shownPlan = "";
let state = {};

function made(tag, className, ...inside) {
  const element = document.createElement(tag);
  if (className) element.className = className;
  element.append(...inside.filter((one) => one !== null));
  return element;
}

function told(element, words) {
  if (element.textContent !== words) element.textContent = words;
}

function clock(when) {
  return when.toTimeString().slice(0, 8);
}

// The last frame -----------------------------------------------------------------------------

function showFrame() {
  const frame = state.frame || null;
  const key = JSON.stringify(frame);
  if (key === shownFrame) return;
  const wait = held + HOLD_MS - performance.now();
  if (wait > 0) {
    clearTimeout(heldTimer);
    heldTimer = setTimeout(showFrame, wait);
    return;
  }
  const before = shownFrame ? JSON.parse(shownFrame) : null;
  if (!before || !frame || before.verdict !== frame.verdict) held = performance.now();
  shownFrame = key;
  drawFrame(frame);
}

function drawFrame(frame) {
  const verdict = frame ? frame.verdict : "";
  id("last").dataset.verdict = verdict;
  told(id("word"), frame ? verdict : "no frame yet");
  id("verdict").querySelector("use").setAttribute("href", "#" + (verdict || "unjudged"));
  const place = frame ? [frame.camera, frame.setup, frame.arrived].filter(Boolean).join(" · ") : "";
  id("which").replaceChildren(...(frame ? [frame.name + " ", made("span", "", place)] : []));
  drawGauge(frame);
  drawWhy(frame);
  const advice = frame ? frame.advice : [];
  id("advice").replaceChildren(...advice.map((one) => made("li", "", one)));
  id("advice").hidden = !advice.length;
  const picture = id("picture");
  picture.hidden = !(frame && frame.picture);
  if (!picture.hidden) {
    picture.alt = "Focus area of " + frame.name + ", at 1:1";
    picture.src = "/picture/" + frame.picture;
  } else {
    picture.removeAttribute("src");
  }
  const spoken = frame ? [verdict + ": " + frame.name, frame.cause].filter(Boolean).join(", ") : "";
  told(id("said"), spoken);
  document.title = frame ? verdict + ": " + frame.name : "tether";
}

function drawGauge(frame) {
  const known = frame && frame.edge_width_px !== null && frame.limit_px !== null;
  id("gauge").toggleAttribute("hidden", !known);
  if (!known) return;
  // The limit stands at two fifths; beyond two and a half limits the bar is full.
  const share = Math.min(100, (40 * frame.edge_width_px) / frame.limit_px);
  const parts = { "gauge-bed": [0, 30, 100, 40], "gauge-width": [0, 30, share, 40] };
  for (const [name, [x, y, width, height]] of Object.entries(parts)) {
    const part = id(name);
    part.setAttribute("x", x + "%");
    part.setAttribute("y", y + "%");
    part.setAttribute("width", width + "%");
    part.setAttribute("height", height + "%");
  }
  const limit = id("gauge-limit");
  limit.setAttribute("x", "40%");
  limit.setAttribute("y", "0");
  limit.setAttribute("width", "2");
  limit.setAttribute("height", "100%");
}

function drawWhy(frame) {
  const parts = [];
  if (frame && frame.cause) {
    const cause = made("strong", "", frame.cause);
    cause.id = "cause";
    parts.push(cause);
  }
  if (frame && frame.edge_width_px !== null) {
    const limit = frame.limit_px === null ? "" : ", limit " + frame.limit_px;
    parts.push((parts.length ? "  " : "") + "edges " + frame.edge_width_px.toFixed(1) + " px" + limit);
  }
  if (frame && frame.overruled) parts.push((parts.length ? "; " : "") + frame.overruled);
  id("why").replaceChildren(...parts);
}

// The shot list and the reshoots -------------------------------------------------------------

function progress(has, needs) {
  const words = needs ? has + " of " + needs : has + (has === 1 ? " sharp" : " sharp");
  const whole = made("div", "has", words);
  if (needs && needs <= MOST_PIPS) {
    const pips = made("div", "pips");
    pips.setAttribute("aria-hidden", "true");
    for (let n = 0; n < needs; n += 1) pips.append(made("i", n < has ? "full" : ""));
    whole.append(pips);
  }
  return whole;
}

function setupLine(setup) {
  const name = made("span", "name", setup.name);
  const now = setup.current ? made("span", "now", "now") : null;
  const words = made("div", "", name, now);
  const note = [setup.covered && setup.needs ? "covered" : "", setup.notes].filter(Boolean).join(" · ");
  if (note) words.append(made("div", "note", note));
  const line = made("li", setup.covered ? "covered" : "", words, progress(setup.has, setup.needs));
  if (setup.current) {
    line.classList.add("current");
    line.setAttribute("aria-current", "step");
  }
  return line;
}

function reshootLine(reshoot) {
  const lacks = "has " + reshoot.has + " of " + reshoot.needs;
  const since = reshoot.on_it ? "somebody is on it since " + reshoot.on_it : "left at " + reshoot.raised;
  const words = made("div", "", made("div", "name", reshoot.setup), made("div", "note", lacks + " · " + since));
  const button = made("button", "", "on it");
  button.setAttribute("aria-label", "on it: " + reshoot.setup);
  button.type = "button";
  button.dataset.reshoot = reshoot.id;
  button.setAttribute("aria-pressed", reshoot.on_it ? "true" : "false");
  button.addEventListener("click", () => takeReshoot(button, reshoot.id));
  return made("li", "", words, button);
}

function showPlan() {
  const setups = state.setups || [];
  const reshoots = state.reshoots || [];
  const key = JSON.stringify([setups, reshoots, state.more]);
  if (key === shownPlan) return;
  shownPlan = key;
  const focused = document.activeElement && document.activeElement.dataset.reshoot;
  id("setups").hidden = !setups.length;
  id("setup-list").replaceChildren(...setups.map(setupLine));
  id("more").hidden = !state.more;
  told(id("more"), state.more ? "and " + state.more + " more" : "");
  id("reshoots").hidden = !reshoots.length;
  id("reshoot-list").replaceChildren(...reshoots.map(reshootLine));
  if (focused) {
    const again = document.querySelector('button[data-reshoot="' + focused + '"]');
    if (again) again.focus();
  }
}

async function takeReshoot(button, number) {
  if (button.getAttribute("aria-pressed") === "true") return;
  button.setAttribute("aria-pressed", "true");
  try {
    const answer = await fetch("/reshoots/" + number + "/on-it", { method: "POST" });
    if (!answer.ok) throw new Error(answer.status);
  } catch {
    button.setAttribute("aria-pressed", "false");
    told(id("said"), "that could not be noted: try again");
  }
}

// The line to the laptop ---------------------------------------------------------------------

function showLines() {
  const lines = state.lines || [];
  const list = id("lines");
  const key = lines.join("\n");
  if (list.dataset.key === key) return;
  list.dataset.key = key;
  list.hidden = !lines.length;
  list.replaceChildren(...lines.map((one) => made("li", "", one)));
}

function showLink(words) {
  document.body.classList.toggle("stale", stale);
  const judging = state.judging ? "judging " + state.judging : "live";
  told(id("link"), words || judging);
}

function alive() {
  heard = Date.now();
  if (stale) {
    stale = false;
    showLink();
  }
}

function take(event) {
  alive();
  state = JSON.parse(event.data);
  showLink();
  showLines();
  showFrame();
  showPlan();
}

function connect() {
  if (source) source.close();
  tried = Date.now();
  source = new EventSource("/events");
  source.addEventListener("state", take);
  source.addEventListener("beat", alive);
  source.addEventListener("error", refused);
}

async function refused() {
  if (source.readyState !== EventSource.CLOSED) return;
  try {
    const answer = await fetch("/alive");
    if (answer.status === 403) location.reload();
    if (answer.status === 503) lose("too many screens are open");
  } catch {
    // Not there: the watchdog goes on trying.
  }
}

function lose(words) {
  stale = true;
  showLink(words);
}

function watchdog() {
  const now = Date.now();
  if (now - (heard || began) < SILENCE_MS) return;
  if (!stale) lose(heard ? "not connected since " + clock(new Date(heard)) : "not connected");
  if (now - tried > AGAIN_MS) connect();
}

function woken() {
  // After a sleep the line may look open and be dead.
  if (!document.hidden && Date.now() - heard > SILENCE_MS / 2) {
    watchdog();
    connect();
  }
}

id("last").dataset.verdict = "";
connect();
setInterval(watchdog, 500);
document.addEventListener("visibilitychange", woken);
window.addEventListener("pageshow", woken);
window.addEventListener("online", woken);
