// One idea: every key presses a button that the page has anyway; the answer brings the page's main part anew.

const LETTERS_KEPT = "putback one letter";
const $ = (selector, within = document) => within.querySelector(selector);
const all = (selector, within = document) => [...within.querySelectorAll(selector)];
const sheet = $("#sheet"), status = $("#now"), letters = $(".one-letter input");
let here = "", merging, busy;

const review = () => $("#review");
const rows = () => all(".row, #unused li, #torques, #write", review()).filter((one) => one.checkVisibility());
const row = () => document.getElementById(here);
const line = () => document.activeElement.closest(".line-said") ?? $(".line-said", row() ?? review());
const say = (words) => { status.textContent = words; };

function mark(place) {
  if (!place) return;
  here = place.id;
  for (const one of all(".here", review())) one.classList.remove("here");
  place.classList.add("here");
}

function go(place) {
  if (!place) return;
  place.closest("details")?.setAttribute("open", "");
  mark(place);
  place.focus({ preventScroll: true });
  place.scrollIntoView({ block: place.offsetHeight > innerHeight * .7 ? "start" : "nearest" });
}

function step(by) {
  const there = rows(), at = there.indexOf(row());
  go(there[at < 0 ? 0 : Math.min(there.length - 1, Math.max(0, at + by))]);
}

function side(by) {
  const there = all(".line-said", row()), at = there.indexOf(document.activeElement.closest(".line-said"));
  there[Math.min(there.length - 1, Math.max(0, at + by))]?.focus();
}

// The page as the server answers it. What was typed stays in a sheet as long as something is wrong with it.
async function take(answer, from) {
  const page = new DOMParser().parseFromString(await answer.text(), "text/html");
  const wrong = $("#wrong", page)?.textContent.trim() || (answer.ok ? "" : $("main", page).textContent.trim());
  if (wrong && sheet.open) {
    $("#wrong", sheet)?.replaceChildren(...($("#wrong", page)?.childNodes ?? [wrong]));
    return $("#wrong", sheet)?.scrollIntoView();
  }
  const next = $("#review", page);
  if (!next) return say(wrong);
  const open = $("#looked-at details")?.open;
  sheet.close();
  review().replaceWith(document.adoptNode(next));
  if (open) $("#looked-at details")?.setAttribute("open", "");
  say(wrong || `${next.dataset.said}, ${$("#now", page).textContent.match(/\d+ left$/)}`);
  go(document.getElementById(next.dataset.at || from) ?? rows()[0]);
}

async function send(form, button) {
  if (busy) return;
  busy = true;
  const body = new URLSearchParams(new FormData(form, button));
  try {
    const answer = await fetch(form.action, { method: "POST", body, headers: { "x-putback": "1" } });
    await take(answer, here);
  } catch {
    say("No word from the server: nothing was kept by this key; try again");
  } finally {
    busy = false;
  }
}

// What a form sends besides the page itself leaves it as any form does: who looks, a job that is opened.
const leaves = (form, button) => form.action.includes("/who") || button?.value === "job";

addEventListener("submit", (event) => {
  const { target, submitter } = event;
  if (leaves(target, submitter)) return;
  event.preventDefault();
  const place = target.closest(".row, [data-stop]");
  if (place && !sheet.contains(target)) mark(place);
  send(target, submitter);
});

addEventListener("focusin", ({ target }) => {
  if (!sheet.contains(target)) mark(target.closest("#review .row, #unused li, #torques, #write"));
});

function press(selector, within = row()) {
  const button = within && $(selector, within);
  button?.click();
  return Boolean(button);
}

// A page of its own opens as a sheet over this one, at the field that the key means.
async function open(href, key) {
  const page = new DOMParser().parseFromString(await (await fetch(href)).text(), "text/html");
  const change = $("#change", page);
  if (!change) return say($("main", page).textContent.trim());
  const close = Object.assign(document.createElement("button"), { type: "button", textContent: "Leave (Esc)" });
  close.addEventListener("click", () => sheet.close());
  const foot = document.createElement("div");
  foot.className = "fields";
  foot.append(close);
  sheet.replaceChildren(document.adoptNode(change), foot);
  for (const one of all(".filter", sheet)) one.hidden = false;
  sheet.showModal();
  const field = $(FIELDS[key] ?? `[data-key="${key}"]`, sheet) ?? $("select, input", sheet);
  field.focus();
  field.scrollIntoView({ block: "center" });
  field.select?.();
}

const FIELDS = { t: "#twin-filter", b: "#first-filter" };

function change(key) {
  const link = $("a", line() ?? row());
  if (link) open(link.href, key);
}

// The list shortens as it is typed; the arrow goes into it, and Enter takes the first that is left.
sheet.addEventListener("input", ({ target }) => {
  if (!target.matches("[data-filter]")) return;
  const words = target.value.toLowerCase().split(/\s+/);
  for (const one of all(".pick", target.closest(".choices"))) {
    one.hidden = !words.every((word) => one.textContent.toLowerCase().includes(word));
  }
});
sheet.addEventListener("keydown", (event) => {
  const { target, key } = event;
  if (!target.matches("[data-filter]") || !["Enter", "ArrowDown"].includes(key)) return;
  event.preventDefault();
  const first = $(".pick:not([hidden]) input", target.closest(".choices"));
  if (!first) return;
  first.focus();
  if (key === "Enter") first.checked = true;
  if (key === "Enter") $("button", target.form).click();
});
// Enter keeps a choice as it keeps what was typed; with Ctrl also from a field of several lines.
sheet.addEventListener("keydown", (event) => {
  const { target, key, ctrlKey } = event;
  if (key !== "Enter" || !target.matches(ctrlKey ? "textarea" : "select")) return;
  event.preventDefault();
  $("button", target.form).click();
});
sheet.addEventListener("close", () => row() && go(row()));

// Two lines become one: the key is pressed on the first, then on the second.
function merge() {
  const mine = line()?.dataset.line, first = merging;
  if (!mine) return;
  merging = first ? undefined : mine;
  if (!first) return say(`merge ${line().getAttribute("aria-label")} with: go to the other line and press m`);
  if (first === mine) return say("merge: left");
  const form = Object.assign(document.createElement("form"), { action: location.pathname + location.search });
  const add = (name, value) => form.append(Object.assign(document.createElement("input"), { name, value }));
  add("do", `merge:${first}+${mine}`);
  add("at", here);
  send(form);
}

// What is plain is looked over before it is confirmed: the key goes there first.
function plain() {
  const place = $("#plain"), button = place && $("button[value=plain]", place);
  if (!button) return say("nothing is plain and open");
  const { top, bottom } = button.getBoundingClientRect();
  if (document.activeElement === button || place.contains(document.activeElement) && top > 0 && bottom < innerHeight) {
    return button.click();
  }
  go(place);
  say(`look these over, then press A at the button below`);
  button.focus();
}

function torques() {
  const field = $("#torques input:not([type=hidden])");
  field?.focus();
  field?.scrollIntoView({ block: "center" });
}

const unused = () => $("a", document.activeElement.closest("#unused li") ?? $(".new"));
const KEYS = {
  j: () => step(1), k: () => step(-1), ArrowDown: () => step(1), ArrowUp: () => step(-1),
  l: () => side(1), h: () => side(-1), ArrowRight: () => side(1), ArrowLeft: () => side(-1),
  Enter: () => press("button[value=accept]") || here === "plain" && plain(),
  a: () => press("button[value=accept]"),
  x: () => change_now("delete"), f: () => change_now("flip"),
  m: merge, n: () => open(unused().href, "n"),
  A: plain, T: torques, w: () => press("button", $("#write")), u: () => press("button", $(".bar")),
  1: () => answer(1), 2: () => answer(2), 3: () => answer(3),
  "?": () => { $("#keys").open = !$("#keys").open; $("#keys summary").focus(); },
  Escape: () => { if (merging) say("merge: left"); merging = undefined; },
};
for (const key of "stbrvoczq") KEYS[key] = () => change(key);

function answer(n) {
  const asked = all(".ask", row() ?? review()).find((one) => $("button", one));
  all("button", asked ?? row())[n - 1]?.matches(".ask button") && all("button", asked)[n - 1].click();
}

// Rows that are shown short have no buttons of their own: the same is sent for them.
function change_now(act) {
  const mine = line();
  if (!mine || press(`button[value="${act}:${mine.dataset.line}"]`, mine)) return;
  const form = Object.assign(document.createElement("form"), { action: location.pathname + location.search });
  form.append(Object.assign(document.createElement("input"), { name: "do", value: `${act}:${mine.dataset.line}` }));
  form.append(Object.assign(document.createElement("input"), { name: "at", value: here }));
  send(form);
}

addEventListener("keydown", (event) => {
  const { key, target } = event, doing = KEYS[key];
  if (!doing || sheet.open || event.ctrlKey || event.altKey || event.metaKey) return;
  if (target.matches("textarea, select, input:not([type=checkbox], [type=radio])")) return;
  if (key === "Enter" && target.matches("button, a, summary, input")) return;
  if (key.length === 1 && !letters.checked) return;
  event.preventDefault();
  doing();
});

letters.checked = localStorage.getItem(LETTERS_KEPT) !== "no";
letters.addEventListener("change", () => localStorage.setItem(LETTERS_KEPT, letters.checked ? "yes" : "no"));
$(".one-letter").hidden = false;
mark(document.getElementById(location.hash.slice(1)) ?? $("[data-stop]"));
