// One idea: the page shows what the record says now, and a tap is an event. It decides nothing that the tables do not.

import { clock, drawAct, itemName, thing } from "./act.js";
import { button, drawForm, open, row, sheet, value } from "./ask.js";
import { jumped, own, restarted } from "./clock.js";
import { h, render } from "./dom.js";
import { asked, be, begin, crew, device, fresh, id, job, known, log, me, named, offer, pack, page, put, records, refresh, rows, say, standing, told, ui, view, writing } from "./here.js";
import { call, heard, jobs, kept, offerPhoto, packOf } from "./keep.js";

const leap = (href, name) => h("a.row", { href }, name);
const section = (name, all) => all[0] && h("section", h("h2", say(name)), all);

// The valley in small: the way in goes down on the left, the way back up on the right.
function valley() {
  const share = (wanted) => {
    const ways = pack.operations.filter(wanted);
    return ways.filter((op) => view.done.has(op.n)).length / (ways.length || 1);
  };
  const way = (d, far) => `<path d="${d}" pathLength="1" stroke-dasharray="${far} 2"/>`;
  return `<svg viewBox="0 0 96 36"><path class="hair" d="M3 3 38 33H58L93 3"/>${
    way("M3 3 38 33", share((op) => op.twin > op.n)) + way("M58 33 93 3", share((op) => op.twin < op.n))}</svg>`;
}

const header = () => h("header",
  h("a", { href: `/jobs/${job}`, "aria-label": say("plan"), innerHTML: valley() }), h("p", h("b", view.owed), say("owed")),
  me && button(named(me), menu),
  h("p.sync", { role: "status" }, told || rows.some((one) => one.open) ? "◌ " : "● ", standing(), !isSecureContext && say("plain")));

// Who works here is chosen once, and kept on this phone.
const coming = { kind: "person came", given: {}, end: ([[, { who }]]) => { be(who); befriend(); fresh(); } };

// A list to choose from: each line goes to a page or does something.
const list = (title, lines) => fresh({ list: { title, lines } });
const drawList = ({ title, lines }) => h("section", h("h1", say(title)),
  lines.map(([text, to]) => to.call ? row(text, () => to()) : leap(to, text)), row(say("back"), () => fresh()));
const away = (name) => [say(name), `/jobs/${job}/${name}`];

const menu = () => list("menu", [[say("who"), () => fresh({ form: coming })],
  ...pack.forms.menu.map((kind) => [pack.forms.kinds[kind].title, () => open(kind)]),
  ...["car", "record", "findings"].map(away), [say("jobs"), "/"]]);

const doneWords = (n) => { const op = view.ops.get(n); return [op.verb, thing(op) || op.note, op.thread].join(" "); };

// After a gap the last operations are asked again, by name.
function gap() {
  const since = rows.findLast((one) => one.event.person)?.event.at, minutes = (Date.now() - Date.parse(since)) / 6e4;
  const asks = [...view.done].slice(-3).map(([n, key]) => ({
    key, how: "tick", usual: 0, want: 1, words: doneWords(n), hold: { gate: "gap", item: view.ops.get(n).item } }));
  return asks[0] && minutes > pack.looks.gap_minutes && sheet({
    title: say("gap"), zone: say("after", { gap: minutes < 99 ? `${Math.round(minutes)} min` : `${Math.round(minutes / 60)} h` }), go: say("go on"), asks, then: {},
    facts: () => [["gap ended", { since, asked: asks.filter(value).map((ask) => ask.key) }]] });
}

// A photo: its digest is made here, or by the server where a page may not.
async function take({ target: { files: [file] } }, item) {
  try {
    const digest = crypto.subtle && new Uint8Array(await crypto.subtle.digest("SHA-256", await file.arrayBuffer()));
    const sha256 = digest ? Array.from(digest, (n) => n.toString(16).padStart(2, 0)).join("") : (await offerPhoto(job, file)).sha256;
    const view = new URLSearchParams(location.search).get("view");
    log([["photo taken", { sha256, bytes: file.size, media: file.type, item, view }]], ui, digest && file);
  } catch (wrong) {
    put({ wrong: say("no photo", { why: wrong.message }) });
  }
}

const tools = (item) => h("div.four",
  ["not as planned", "noted"].map((kind) => button(pack.forms.kinds[kind].title, () => open(kind, { item }, { about: item && itemName(item) }))),
  button(say("finding"), () => findings(item)),
  h("label", say("photo"), h("input", { type: "file", accept: "image/*", capture: "environment", onchange: (event) => take(event, item) })));

// A finding that the car file knows of is one more tap: its minutes and amount are logged with it.
function findings(item) {
  const free = () => open("finding seen", { finding: `free-${id()}`, item });
  const there = pack.findings.filter((one) => one.at === item).map((one) => [one.trigger, () => found(one, item)]);
  if (there[0]) list("which", [...there, [say("other finding"), free]]);
  else free();
}

async function found({ id: finding, minutes, before, adds }, item) {
  const { amount = before, currency } = rows.findLast(({ event }) => event.kind === "scope signed")?.event.body ?? {};
  await log([["finding seen", { finding, item, minutes, amount: adds && (+amount + +adds).toFixed(2), currency }]]);
  list("letter", [away("findings")]);
}

// What is off and not back yet, by the tray that it was put in.
function trays() {
  const found = {};
  for (const { n, verb, joint, stow, item, thread } of pack.operations) {
    const left = verb === "undo" ? (view.off[joint] ?? 0) - (view.back[joint] ?? 0) : 0;
    const tray = records.get(view.done.get(n))?.event.body.stow ?? stow ?? say("no tray");
    if (left > 0) (found[tray] ??= []).push(h("p.owes", h("span", itemName(item)), h("i"), h("b", left, " × ", thread)));
  }
  return Object.entries(found).sort().map(([tray, all]) => [h("h3", tray), all]);
}

const slip = ([n, mends]) => h("p.line", doneWords(n), ui.slip === mends
  ? button(say("take back"), () => log([["operation taken back", { mends }]])) : button(say("slip"), () => put({ slip: mends })));

// Waits that run, one of each energy, wherever they hold something.
function running() {
  const gates = Object.values(view.shut).flat().filter((gate) => gate.kind === "wait" && gate.clock?.ends);
  return [...new Map(gates.map((gate) => [gate.energy, gate])).values()];
}

function work() {
  const { acts, items, zones } = pack, { left, standing } = view;
  const place = left[ui.act]?.[0] ? ui.act : view.suggested, act = acts[place];
  return [
    act ? drawAct(place) : h("section", h("h1", say("nothing")), row(say("close"), () => open("job closed"))),
    tools(items[act?.thing] && act.thing),
    section("clocks", running().map(clock)),
    section("possible", acts.flatMap((act, at) => at === place || !/^[ps]/.test(standing[at]) ? []
      : row(act.title, () => fresh({ act: at }), standing[at] === "shut" ? say("shut") : zones[items[act.thing]?.zone]))),
    section("done last", [...view.done].slice(-3).reverse().map(slip)), section("trays", trays())];
}

function whole() {
  const wrong = ui.wrong && h("p.held", { role: "alert" }, ui.wrong);
  if (!view) return [h("main", h("h1", "Jobs on this phone"), wrong, ui.jobs?.map((one) => leap(`/bay?job=${one.job}`, one.pack.title)), leap("/", "All jobs, at the server"))];
  if (!me) ui.form ??= coming;
  return [header(), h("main", wrong, ui.form ? drawForm(ui.form) : ui.list ? drawList(ui.list) : gap() || work())];
}

page.draw = () => writing || render(whole(), document.body);

// Names go to the server, and those of others come; without it those of this phone serve.
async function befriend() {
  try {
    for (const [id, { name, unsent }] of Object.entries(crew)) if (unsent) await call("people", JSON.stringify({ id, name }));
    known(Object.fromEntries((await call("people")).people.map((one) => [one.id, one])));
  } catch { /* they are offered again at the next start */ }
  refresh();
}

let seconds = 0, lit;

// Each second. While a wait runs the screen stays on: a phone that sleeps stops the steady clock, and waits get longer.
function beat() {
  if (running()[0]) lit ??= navigator.wakeLock?.request("screen").catch(() => {});
  const apart = jumped(60);
  if (apart) log([["clock jumped", { device, seconds: apart }]], ui);
  if (++seconds % 5) return page.draw();
  refresh();
  return offer();
}

const load = async () => refresh(await kept(job));
const awake = () => { lit = null; if (view && !document.hidden) offer(); };
heard((one) => one === job && load());
document.onvisibilitychange = ononline = awake;
try {
  if (job) {
    begin(await packOf(job));
    await load();
    if (restarted && rows[0]) await log([["device restarted", { device }]]);
    offer();
    befriend();
    setInterval(beat, 1000);
  } else put({ jobs: await jobs() });
} catch (wrong) {
  put({ wrong: `This job cannot be shown here: ${wrong.message}` });
}
navigator.serviceWorker?.register("/sw.js");
navigator.storage?.persist();
