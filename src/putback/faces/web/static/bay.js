// One idea: the page shows what the record says now, and a tap is an event. It decides nothing that the tables do not.

import { clock, drawAct, itemName } from "./act.js";
import { alert, button, drawForm, leap, open, photo, row, sheet, value } from "./ask.js";
import { jumped, restarted } from "./clock.js";
import { entries, fromEntries, h, render, values } from "./dom.js";
import {
  asked, befriend, begin, device, fresh, job, log, me, named, offer, pack, page, put, records, refresh, rows, say,
  standing, ui, view, writing,
} from "./here.js";
import { drift, channel, jobs, packOf, rowsOf } from "./keep.js";

const section = (name, all) => all[0] && h("section", h("h2", say(name)), all);

function header() {
  const [ways, back] = pack.ways, done = (way) => way.filter((n) => view.done.has(n)).length;
  const valley = say("valley", { ways: ways.length, off: done(ways), back: done(back) });
  return h("header",
    h("a", { href: `/jobs/${job}`, "aria-label": say("plan"), innerHTML: valley }),
    h("p", h("b", view.owed), say("owed")),
    me && button(named(me), () => open("menu")),
    drift > pack.gates.slack && alert(say("apart", { apart: Math.round(drift / 6e4) })),
    h("p.sync", { role: "status" }, standing(), !isSecureContext && say("plain")));
}

// After a gap the last operations are asked again, by name.
function gap() {
  const since = rows.findLast(({ event }) => event.person && event.kind !== "person came")?.event.at;
  const asks = [...view.done].slice(-3).map(([n, key], at, all, { said, item } = view.ops.get(n)) => ({
    key, how: "tick", usual: 0, want: 1, words: said, hold: { gate: "gap", item } }));
  return asks[0] && Date.now() - Date.parse(since) > pack.looks.gap_minutes * 6e4 && sheet({
    title: say("gap"), go: say("go on"), asks, then: ui,
    zone: say("since", { since: since.slice(0, 16).replace("T", " ") }),
    facts: () => [["gap ended", { since, asked: asks.filter(value).map((ask) => ask.key) }]] });
}

function tools(item) {
  const { kinds } = pack.forms, finding = `findings ${item}`, about = item && itemName(item);
  return h("div.four",
    ["not as planned", "noted", kinds[finding] ? finding : "finding seen"].map((kind) =>
      button(kinds[kind].title, () => open(kind, { item }, { about }))),
    photo({ item }));
}

// What is off and in no hole yet, by the tray that it was put in.
function trays() {
  const found = {};
  for (const { n, joint, stow, item, thread } of pack.stows) {
    const left = view.out[joint];
    const tray = records.get(view.done.get(n))?.event.body.stow ?? stow;
    if (left > 0) (found[tray] ??= []).push(
      h("p.owes", h("span", itemName(item)), h("i"), h("b", left, " × ", thread)));
  }
  return entries(found).sort().map(([tray, all]) => [h("h3", tray), all]);
}

const slip = ([n, mends]) => h("p.line", view.ops.get(n).said, ui.slip === mends
  ? button(say("take back"), () => log([["operation taken back", { mends }]]))
  : button(say("slip"), () => put({ slip: mends })));

// Waits that run, one of each energy, wherever they hold something.
function running() {
  const gates = values(view.shut).flat().filter((gate) => gate.kind === "wait" && gate.clock);
  return values(fromEntries(gates.map((gate) => [gate.energy, gate])));
}

let quick;

// One line says one thing: what reads it is loaded when it is touched. A chip answers the sheet of its act and presses
// that sheet's own button, so the same is asked and the same is shut.
async function hear({ target: { value: said } }) {
  put({ said });
  try {
    quick ??= await import("/static/quick.js");
    page.draw();
  } catch (wrong) {
    put({ wrong: `A line cannot be read now: ${wrong.message}` });
  }
}

function count({ act, operations, given, more, differs }) {
  fresh({ act, ...given, differs, only: fromEntries(operations.map((n) => [n, view.ops.get(n).count ? more : {}])) });
  drawAct(act).props.onsubmit(new Event("submit"));
}

const toChip = (event) => event.key === "Enter" && document.querySelector(".chip")?.focus();
const spoken = () => h("div.say", h("input", {
  "aria-label": "Say it in one line", placeholder: "four ten-mil off, front cowl, tray C", value: ui.said ?? "",
  oninput: hear, onfocus: hear, onkeyup: toChip, enterkeyhint: "go", autocomplete: "off" }),
h("div", { "aria-live": "polite" }, ui.said && quick?.draw(ui.said, {
  pack, view, h, button, count, keep: () => log([["noted", { note: ui.said.trim() }]]) })));

function work() {
  const { acts, items, forms } = pack, { left, standing, suggested } = view;
  const place = left[ui.act]?.[0] ? ui.act : suggested, now = acts[place];
  return [
    now ? drawAct(place)
      : h("section", h("h1", say("nothing")), row(forms.kinds["job closed"].title, () => open("job closed"))),
    tools(items[now?.thing] && now.thing),
    spoken(),
    section("clocks", running().map(clock)),
    section("possible", acts.flatMap(({ title, zone }, act) => act === place || !/^[ps]/.test(standing[act]) ? []
      : row(title, () => fresh({ act }), standing[act] === "shut" ? say("shut") : zone))),
    section("done last", [...view.done].slice(-3).reverse().map(slip)),
    section("trays", trays())];
}

// A photo of the walk-round, as the page of the intake asks for it: it alone is of that view.
function walk(view) {
  const all = rows.filter(({ event }) => event.body.view === view).length;
  return h("section", h("h1", say("walk", { view })), h("p.note", say("taken", { all })), photo({ view }),
    leap(say("intake"), `/jobs/${job}/intake`), leap(say("back"), `/bay?job=${job}`));
}

function whole() {
  const wrong = ui.wrong && alert(ui.wrong);
  if (!view) return [h("main", h("h1", "Jobs on this phone"), wrong,
    ui.jobs?.map((one) => leap(one.pack.title, `/bay?job=${one.job}`)), leap("All jobs, at the server", "/"))];
  if (!me) ui.form ??= { kind: "person came", given: {} };
  return [header(), h("main", wrong, me && gap() || (ui.form ? drawForm(ui.form)
    : asked.get("view") ? walk(asked.get("view")) : work()))];
}

page.draw = () => writing || render(whole(), document.body);

let seconds = 0, lit;

// Each second. While a wait runs the screen stays on: a phone that sleeps stops the steady clock, and waits get
// longer.
function beat() {
  if (running()[0]) lit ??= navigator.wakeLock?.request("screen").catch(() => {});
  const apart = jumped(60);
  if (apart) log([["clock jumped", { device, seconds: apart }]], ui);
  if (++seconds % 5) return page.draw();
  refresh();
  return offer();
}

const load = async () => refresh(await rowsOf(job));
channel.onmessage = ({ data }) => data === job && load();
document.onvisibilitychange = ononline = () => { lit = null; if (view && !document.hidden) offer(); };
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
