// One idea: whatever is asked, at an act or at a gate, is a list of lines in the pack, drawn and read in one manner.

import { own, stamp } from "./clock.js";
import { h } from "./dom.js";
import { busy, crew, id, known, log, me, named, pack, page, put, rows, say, ui, view, fresh } from "./here.js";

export const button = (text, onclick, more) => h("button", { onclick, type: "button", ...more }, text);
export const row = (text, onclick, more) => h("button.row", { onclick, type: "button" }, h("span", text), h("small", more));
export const number = (text) => Number(String(text).replace(",", "."));

// What is touched and not logged yet: of the form that is open, else of the act.
const touched = () => ui.form ?? ui;
const name = (ask) => ask.key ?? [ask.kind, ask.also, ask.n, ask.field ?? ask.words, ask.into].join();
const set = (ask, to) => { Object.assign(touched(), { [name(ask)]: to, pass: 0 }); page.draw(); };

// As many as came out go back; what was said last on this phone is offered again.
const last = (ask) => ask.kept && own[name(ask)];
const usual = (ask) => ask.joint ? view.off[ask.joint] ?? ask.usual : ask.how === "person" ? me
  : ask.how === "count" ? +(last(ask) ?? ask.usual) : last(ask) ?? ask.usual;

export const value = (ask) => touched()[name(ask)] ?? usual(ask);
const wanted = (ask) => ask.want ?? usual(ask);

const input = (ask, more, tag = "input") => h(tag, {
  value: value(ask), "aria-label": ask.words, oninput: (event) => set(ask, event.target.value), ...more });

const choice = (ask, of) => h("div.few", of.map(([one, text = one]) =>
  button(text, () => set(ask, one), { "aria-pressed": one === value(ask) })));

// One thing to look at: tapped once, or as often as it is wanted.
function tick(ask, words = ask.words, more = ask.more) {
  const done = value(ask);
  return h("button.tick", { type: "button", "aria-pressed": done === ask.want, onclick: () => set(ask, (done + 1) % (ask.want + 1)) },
    h("i", done === ask.want ? "●" : done ? "◐" : "○"), h("span", words, h("small", more)));
}

const nudge = (ask, by, sign) => button(sign, () => set(ask, Math.max(0, value(ask) + by)), { "aria-label": say(by) });
const label = (ask) => [ask.bold && h("b", ask.bold, " "), ask.words, ask.may && say("may"), h("small", ask.more)];
const line = (ask, ...control) => h("div.line", h("span", label(ask)), control);
const block = (ask, ...control) => h("div", h("p.ask", label(ask)), control);

function person(ask) {
  const owners = rows.flatMap(({ event }) => event.kind === "owner named" ? event.body.who : []);
  const there = ask.how === "owner" ? owners : Object.keys(crew).filter((one) => !owners.includes(one) && (ask.how === "person" || one !== me));
  return block(ask, choice(ask, there.map((one) => [one, named(one)])),
    input(ask, { value: crew[value(ask)] ? "" : value(ask), placeholder: say("other name") }));
}

const HOW = {
  say: (ask) => h("p.note", ask.words),
  head: (ask) => h("h2", ask.words),
  picture: (ask) => h("figure", { innerHTML: ask.words }),
  text: (ask) => block(ask, input(ask, { rows: 2 }, "textarea")),
  word: (ask) => line(ask, input(ask)),
  number: (ask) => line(ask, input(ask, { inputmode: "decimal" })),
  date: (ask) => line(ask, input(ask, { type: "date" })),
  count: (ask) => line(ask, nudge(ask, -1, "−"), h("b", value(ask)), nudge(ask, 1, "+")),
  choice: (ask) => block(ask, choice(ask, ask.of), ask.want && value(ask) && value(ask) !== ask.want && h("p.held", { role: "alert" }, say("wrong"), ask.want)),
  tick: (ask) => tick(ask, ask.words, value(ask) && value(ask) < ask.want ? say("again") : ask.more),
  pieces: (ask) => tick(ask, `${value(ask)} / ${ask.want} ${ask.words}`),
  person,
  other: person,
  owner: person,
};

// What must be said before anything is logged; what is asked once by name and may be passed, with the rule that asks.
export const empty = (ask) => !String(value(ask) ?? "").trim() || ask.how === "number" && isNaN(number(value(ask)));
const missing = (ask) => ask.field && ask.how !== "now" && !ask.may && !ask.hold && empty(ask);
const held = (ask) => ask.hold && (ask.any ? empty(ask) : value(ask) !== wanted(ask))
  ? { ...ask.hold, note: `${ask.words}: ${ask.how === "tick" ? say("unticked") : value(ask) || say("unsaid")}${/cou|pie/.test(ask.how) ? ` / ${wanted(ask)}` : ""}` } : [];

// The id of a person by name: somebody who is known, or somebody new.
function met(name) {
  const person = Object.keys(crew).find((one) => crew[one].name === name) ?? `p-${id()}`;
  if (!crew[person]) known({ [person]: { name, unsent: 1 } });
  return person;
}

// The fields that lines fill in of one operation or one event.
export function fill(asks) {
  const body = {};
  for (const ask of asks) {
    let said = ask.how === "now" ? stamp() : value(ask);
    if (ask.how === "tick") {
      if (said && ask.into) (body[ask.field] ??= []).push(ask.into);
      if (said) Object.assign(body, ask.puts);
    }
    if (!ask.field || ask.into || ask.how !== "now" && empty(ask)) continue;
    if (ask.how === "number") said = number(said);
    if (/pers|oth|own/.test(ask.how) && !crew[said]) said = met(said.trim());
    if (ask.kept) own[name(ask)] = said;
    if (ask.field !== "torque") body[ask.field] = said;
    else if (body.torque) body.torque = { ...body.torque, value: said };
  }
  return body;
}

// A sheet: lines, what shuts it, one button. `facts` gives its events, `then` what stays touched.
export function sheet({ top, zone, title, about, asks, more = [], shut, go, facts, then, end }) {
  const lacks = asks.filter(missing), holds = [...asks.flatMap(held), ...more], { pass } = touched();
  const onsubmit = (event) => {
    event.preventDefault();
    if (shut || busy) return null;
    if (lacks[0] || holds[0] && !pass) return put(ui.form ? { form: { ...ui.form, pass: 1 } } : { pass: 1 });
    const made = facts();
    return log([...holds.map((hold) => ["hold passed", hold]), ...made], then ?? { ...ui, form: null }).then(() => end?.(made));
  };
  const told = pass && (lacks[0] ? [say("lacks"), lacks.map((ask) => ask.words).join(", ")] : holds.map((hold) => h("p", hold.note)));
  return h("form", { onsubmit, novalidate: "" }, top, h("p.zone", zone), h("h1", title), h("p.note", about),
    asks.map((ask) => HOW[ask.how ?? "text"]?.(ask)),
    shut || h("div.foot", told?.[0] && h("div.held", { role: "alert" }, told),
      h("button.go", { disabled: busy }, pass && holds[0] && !lacks[0] ? say("pass") : go)),
    ui.form && me && button(say("leave"), () => put({ form: null })));
}

// The form of one kind of event opens; `given` is what it says without being asked.
export const open = (kind, given = {}, more) => fresh({ ...ui, list: 0, form: { kind, given, ...more } });

export function drawForm({ kind, given, about, end }) {
  const { title, go, asks } = pack.forms.kinds[kind];
  const shown = asks.filter(({ only }) => !only || only.includes(given.phase)).map((ask) => ({ ...ask, kind, bold: ask.field === "value" && given.unit }));
  return sheet({ title, about, go, asks: shown, end, facts: () => [[kind, { ...given, ...fill(shown) }]] });
}
