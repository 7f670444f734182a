// One idea: keys that are pressed while an act is on its way wait, in their order, and are pressed when it is done.

const MOVES = ["j", "k", "h", "l", "ArrowDown", "ArrowUp", "ArrowLeft", "ArrowRight", "Backspace"];
const NAMED = ["Enter", "Tab", "Escape", "Delete", ...MOVES];
const waiting = [];
let busy = false, pressing = false, shown = () => {}, prefix = "", chosen;

// A key that is held down moves again and again; it confirms, deletes or answers once.
export const repeats = (event) => event.repeat && !MOVES.includes(event.key);

export const tell = (doing) => { shown = doing; };

// Do something now, or when what was begun before is done.
export function inTurn(doing) {
  if (busy || waiting.length && !pressing) add(doing);
  else doing();
}

// Do what takes time. If it does not end well, what was pressed behind it is left, and the number of it told.
export async function during(act) {
  busy = true;
  let well = false;
  try {
    well = await act();
  } finally {
    busy = false;
  }
  const left = well ? 0 : waiting.splice(0).length;
  shown(0, left);
  if (waiting.length) setTimeout(next);
}

function add(one) {
  waiting.push(one);
  shown(waiting.length, 0);
}

function next() {
  if (busy || !waiting.length) return;
  const one = waiting.shift();
  shown(waiting.length, 0);
  pressing = true;
  try {
    if (typeof one === "function") one();
    else press(one);
  } finally {
    pressing = false;
  }
  if (waiting.length) setTimeout(next);
}

function press(key) {
  const target = document.activeElement ?? document.body;
  const event = new KeyboardEvent("keydown", { ...key, bubbles: true, cancelable: true });
  if (target.dispatchEvent(event)) byItself(key, target);
}

// What a browser does with a key that no script takes.
function byItself({ key, shiftKey }, target) {
  const types = target.matches("textarea, input:not([type=checkbox], [type=radio])");
  if (key === "Escape") target.closest("dialog")?.close();
  else if (key === "Tab") leave(target, shiftKey ? -1 : 1);
  else if (types) type(key, target);
  else if (target.matches("select")) choose(key, target);
  else if (key === "Enter" && target.matches("input")) target.form?.requestSubmit($button(target.form));
  else if (key === " " && target.matches("input, button, summary")) target.click();
  else if (key === "Enter" && target.matches("button, a, summary")) target.click();
  else if (key.startsWith("Arrow") && target.matches("[type=radio]")) turn(target, /Down|Right/.test(key) ? 1 : -1);
}

const $button = (form) => form.querySelector("button:not([type=button])");

function leave(target, by) {
  const within = target.closest("dialog") ?? document;
  const there = [...within.querySelectorAll("a[href], button, input:not([type=hidden]), select, textarea, summary")];
  const open = there.filter((one) => one.checkVisibility() && !one.disabled);
  const behind = open.findIndex((one) => target.compareDocumentPosition(one) & Node.DOCUMENT_POSITION_FOLLOWING);
  const at = open.includes(target) ? open.indexOf(target) + by : by > 0 ? behind : behind - 1;
  open.at(at % open.length)?.focus();
}

function type(key, field) {
  const { selectionStart: from, selectionEnd: to, value } = field;
  const text = key.length === 1 ? key : key === "Enter" && field.matches("textarea") ? "\n" : "";
  if (key === "Enter" && !text) return field.form?.requestSubmit($button(field.form));
  if (text) field.setRangeText(text, from, to, "end");
  else if (key === "Backspace") field.setRangeText("", from === to ? Math.max(0, from - 1) : from, to, "end");
  else if (key === "Delete") field.setRangeText("", from, from === to ? Math.min(value.length, to + 1) : to, "end");
  else return;
  field.dispatchEvent(new InputEvent("input", { bubbles: true }));
}

// A list takes the first choice that begins as is typed.
function choose(key, list) {
  if (list !== chosen) prefix = "";
  chosen = list;
  if (key === "ArrowDown" || key === "ArrowUp") {
    const by = key === "ArrowDown" ? 1 : -1;
    list.selectedIndex = Math.min(list.length - 1, Math.max(0, list.selectedIndex + by));
  } else if (key.length === 1) {
    prefix += key.toLowerCase();
    const found = [...list.options].find((one) => one.text.toLowerCase().startsWith(prefix));
    if (found) list.value = found.value;
  } else return;
  list.dispatchEvent(new Event("change", { bubbles: true }));
}

function turn(radio, by) {
  const all = [...radio.form.querySelectorAll(`[name="${radio.name}"]`)].filter((one) => one.checkVisibility());
  const to = all[(all.indexOf(radio) + by + all.length) % all.length];
  to.focus();
  to.checked = true;
}

addEventListener("keydown", (event) => {
  const { key, shiftKey, ctrlKey, altKey, metaKey } = event;
  if (!event.isTrusted || !busy && !waiting.length || altKey || metaKey || ctrlKey && key !== "Enter") return;
  if (key.length > 1 && !NAMED.includes(key)) return;
  event.preventDefault();
  event.stopImmediatePropagation();
  if (!repeats(event)) add({ key, shiftKey, ctrlKey });
}, { capture: true });
