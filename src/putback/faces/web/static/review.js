// One idea: every key presses a button that the page has anyway; the answer brings the page's main part anew.

import { during, inTurn, repeats, tell } from "./ahead.js";

const PLACES = "#review .row, #unused > ol > li, #unused, #plain, #torques, #write";
const LETTERS_KEPT = "putback one letter";
const $ = (selector, within = document) => within.querySelector(selector);
const all = (selector, within = document) => [...within.querySelectorAll(selector)];
const sheet = $("#sheet"), status = $("#now"), letters = $(".one-letter input");
let here = "", merging, looked;

const review = () => $("#review");
const rows = () => all(".row, #unused > ol > li, #torques, #write", review()).filter((one) => one.checkVisibility());
const row = () => document.getElementById(here);
const line = () => document.activeElement.closest(".line-said") ?? $(".line-said", row() ?? review());
const say = (words) => { status.textContent = words; };

function mark(place) {
  if (!place) return;
  here = place.id;
  looked = undefined;
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
  const there = rows(), now = row();
  let at = there.indexOf(now);
  if (at < 0 && now) {
    const behind = there.findIndex((one) => now.compareDocumentPosition(one) & Node.DOCUMENT_POSITION_FOLLOWING);
    at = behind < 0 ? there.length : by > 0 ? behind - 1 : behind;
  }
  go(there[Math.min(there.length - 1, Math.max(0, at + by))]);
}

function side(by) {
  const there = all(".line-said", row()), at = there.indexOf(document.activeElement.closest(".line-said"));
  there.at(((at < 0 ? -Math.min(by, 0) : at) + by + there.length) % there.length)?.focus();
}

tell((waits, left) => {
  $("#ahead").textContent = waits ? `${waits} ${waits === 1 ? "key waits" : "keys wait"}` : "";
  if (left) say(`${status.textContent}. ${left} pressed after it ${left === 1 ? "was" : "were"} left`);
});

// The page as the server answers it, and whether all is well with it. What is wrong stays in its sheet as it was typed.
async function take(answer, from) {
  const page = new DOMParser().parseFromString(await answer.text(), "text/html");
  const wrong = $("#wrong", page)?.textContent.trim() || (answer.ok ? "" : $("main", page).textContent.trim());
  if (wrong && sheet.open) {
    $("#wrong", sheet)?.replaceChildren(...($("#wrong", page)?.childNodes ?? [wrong]));
    $("#wrong", sheet)?.scrollIntoView();
    return false;
  }
  const next = $("#review", page);
  if (!next) say(wrong);
  if (!next) return false;
  const open = $("#looked-at details")?.open;
  await shut();
  review().replaceWith(document.adoptNode(next));
  if (open) $("#looked-at details")?.setAttribute("open", "");
  say(wrong || `${next.dataset.said}, ${$("#now", page).textContent.match(/\d+ left$/)}`);
  go(document.getElementById(next.dataset.at || from) ?? rows()[0]);
  return !wrong;
}

const send = (form, button) => inTurn(() => during(async () => {
  const body = new URLSearchParams(new FormData(form, button));
  try {
    const answer = await fetch(form.action, { method: "POST", body, headers: { "x-putback": "1" } });
    return await take(answer, here);
  } catch {
    say("No word from the server: nothing was kept by this key; try again");
    return false;
  }
}));

// What a form sends besides the page itself leaves it as any form does: who looks, a job that is opened.
const leaves = (form, button) => form.action.includes("/who") || button?.value === "job";

addEventListener("submit", (event) => {
  const { target, submitter } = event;
  if (leaves(target, submitter)) return;
  event.preventDefault();
  if ("go" in target.dataset) return gone(target);
  const place = target.closest(".row, [data-stop]");
  if (place && !sheet.contains(target)) mark(place);
  send(target, submitter);
});

addEventListener("focusin", ({ target }) => {
  if (!sheet.contains(target)) mark(target.closest(PLACES));
});

function press(selector, within = row()) {
  const button = within && $(selector, within);
  button?.click();
  return Boolean(button);
}

// A page of its own opens as a sheet over this one, at the field that the key means.
const open = (href, does) => inTurn(() => during(async () => {
  try {
    const page = new DOMParser().parseFromString(await (await fetch(href)).text(), "text/html");
    const change = $("#change", page);
    if (!change) say($("main", page).textContent.trim());
    if (change) show(document.adoptNode(change), does);
    return Boolean(change);
  } catch {
    say("No word from the server; try again");
    return false;
  }
}));

// A sheet is shut when its focus has gone back; what is pressed before waits.
const shut = () => new Promise((done) => {
  if (!sheet.open) return done();
  sheet.addEventListener("close", () => done(), { once: true });
  sheet.close();
});

function show(change, does) {
  const close = Object.assign(document.createElement("button"), { type: "button", textContent: "Leave (Esc)" });
  close.addEventListener("click", () => sheet.close());
  const foot = document.createElement("div");
  foot.className = "fields";
  foot.append(close);
  sheet.replaceChildren(change, foot);
  for (const one of all(".filter", sheet)) one.hidden = false;
  sheet.showModal();
  const field = $(FIELDS[does] ?? `[data-does="${does}"]`, sheet) ?? $("select, input", sheet);
  field.focus();
  field.scrollIntoView({ block: "center" });
  field.select?.();
}

const FIELDS = { twin: "#twin-filter", before: "#first-filter" };

function change(does) {
  const link = $("a", line() ?? row() ?? review());
  if (line() && link) open(link.href, does);
  else say("there is no line here");
}

// A line is gone to by words of it: the same list that shortens as it is typed.
function find() {
  const form = document.createElement("form"), list = document.createElement("fieldset");
  list.className = "choices";
  list.innerHTML = `<legend>Go to a line</legend>
<p><label for="go-filter">its number, or words of it</label><input id="go-filter" autocomplete="off" data-filter></p>`;
  for (const one of all("[data-line]", review())) {
    const pick = document.createElement("label"), radio = document.createElement("input");
    Object.assign(radio, { type: "radio", name: "line", value: one.dataset.line });
    pick.className = "pick";
    pick.append(radio, ` ${$(".what", one).firstElementChild.textContent} ${one.getAttribute("aria-label")}`);
    list.append(pick);
  }
  const button = Object.assign(document.createElement("button"), { textContent: "Go there" });
  form.className = "fields";
  form.dataset.go = "";
  form.append(list, button);
  show(form, "go");
}

const gone = (form) => inTurn(() => during(async () => {
  const there = $(`[data-line="${new FormData(form).get("line")}"]`, review());
  if (there) mark(there.closest(".row"));
  there?.closest("details")?.setAttribute("open", "");
  await shut();
  there?.focus();
  return true;
}));

// The list shortens as it is typed; the arrow goes into it, and Enter takes the first that is left.
// A number alone is that of a line: 3 is line 3, then 30 and on, and never line 13 or "3 bolts".
sheet.addEventListener("input", ({ target }) => {
  if (!target.matches("[data-filter]")) return;
  const typed = target.value.trim().toLowerCase(), words = typed.split(/\s+/);
  const isNumber = /^\d+$/.test(typed), picks = all(".pick", target.closest(".choices"));
  for (const one of picks) {
    const there = one.textContent.trim().toLowerCase();
    one.hidden = isNumber ? !there.startsWith(typed) : !words.every((word) => there.includes(word));
  }
  const very = isNumber && picks.find((one) => parseInt(one.textContent.trim(), 10) === Number(typed));
  if (very) picks[0].before(very);
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
  if (!first) {
    return say(`merge ${line().getAttribute("aria-label")} with: go to the other line and press ${KEY_OF.merge}`);
  }
  if (first === mine) return say("merge: left");
  sendWords(`merge:${first}+${mine}`);
}

function sendWords(words) {
  const form = Object.assign(document.createElement("form"), { action: location.pathname + location.search });
  const add = (name, value) => form.append(Object.assign(document.createElement("input"), { name, value }));
  add("do", words);
  add("at", here);
  send(form);
}

// What is done to many is looked over before: the key goes there first.
function together(selector, does, none) {
  const place = $(selector), button = place && $(`.all button`, place);
  if (!button) return say(none);
  const { top, bottom } = button.getBoundingClientRect(), there = place.contains(document.activeElement);
  if (there && (looked === place || top > 0 && bottom < innerHeight)) return button.click();
  go(place);
  looked = place;
  say(`look these over, then press ${KEY_OF[does]} again`);
}
const plain = () => together("#plain", "plain", "nothing is plain and open");
const dismiss = () => together("#unused", "unused", "no words are left that were not used");

function torques() {
  const field = $("#torques input:not([type=hidden])");
  field?.focus();
  field?.scrollIntoView({ block: "center" });
}

const unused = () => row()?.closest("#unused") && row();
function confirm() {
  if (press("button[value=accept]")) return;
  if (row()?.closest("#plain")) return plain();
  if (here === "unused") return dismiss();
  if ($(".ask:not(.settled) button", row() ?? review())) return say("it is confirmed; what is left is its question");
  const open = all("[data-stop], #unused > ol > li", review());
  go(open.find((one) => row()?.compareDocumentPosition(one) & Node.DOCUMENT_POSITION_FOLLOWING) ?? open[0]);
}
// What the table of keys names, each as the page does it.
const DOES = {
  next: () => step(1), back: () => step(-1), "line before": () => side(-1), "line after": () => side(1),
  go: find, list: () => $("#looked-at .row") ? go($("#looked-at .row")) : say("all rows are shown"),
  confirm,
  answer, delete: () => unused() ? press("button[value^=dismiss]", unused()) : change_now("delete"),
  flip: () => change_now("flip"), merge, new: () => open($("a", unused() || $(".new")).href, "new"),
  plain, unused: dismiss, torques, "high voltage": () => go($("#high-voltage")),
  write: () => press("button", $("#write")), undo: () => press("button", $(".bar")),
  keys: () => { $("#keys").open = !$("#keys").open; $("#keys summary").focus(); },
};
for (const does of ["verb", "object", "count", "size", "torque", "rename", "twin", "before", "split"]) {
  DOES[does] = () => change(does);
}
// The list of keys on the page is the table by which they count.
const KEYS = { Escape: () => { if (merging) say("merge: left"); merging = undefined; } }, KEY_OF = {};
for (const { dataset: { does, keys } } of all("#keys [data-does]")) {
  if (!DOES[does]) throw new Error(`no function for the key of ${does}`);
  for (const key of keys.split(" ")) KEYS[key] = () => DOES[does](key);
  KEY_OF[does] = keys.split(" ")[0];
}

function answer(key) {
  const place = row() ?? review();
  const asked = all(".ask:not(.settled)", place).find((one) => $("button", one)) ?? $(".ask.settled", place);
  const button = asked && all("button", asked)[key - 1];
  if (button) button.click();
  else say("nothing is asked here that has this answer");
}

// Rows that are shown short have no buttons of their own: the same is sent for them.
function change_now(act) {
  const mine = line();
  const words = mine && `${act}:${mine.dataset.line}`;
  if (!mine) say("there is no line here");
  else if (!press(`button[value="${words}"]`, mine)) sendWords(words);
}

addEventListener("keydown", (event) => {
  const { key, target } = event, doing = KEYS[key];
  if (!doing || sheet.open || event.ctrlKey || event.altKey || event.metaKey) return;
  if (target.matches("textarea, select, input:not([type=checkbox], [type=radio])")) return;
  if (key === "Enter" && target.matches("button, a, summary, input")) return;
  if (key.length === 1 && !letters.checked) return;
  event.preventDefault();
  if (!repeats(event)) doing();
});

letters.checked = localStorage.getItem(LETTERS_KEPT) !== "no";
letters.addEventListener("change", () => localStorage.setItem(LETTERS_KEPT, letters.checked ? "yes" : "no"));
$(".one-letter").hidden = false;
mark(document.getElementById(location.hash.slice(1)) ?? $("[data-stop]"));
