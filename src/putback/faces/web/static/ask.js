// One idea: whatever is asked, at an act or at a gate, is a list of lines in the pack, drawn and read in one manner.

import { own, stamp } from "./clock.js";
import { assign, gaps, h, keys } from "./dom.js";
import {
  be, befriend, busy, crew, fresh, id, job, known, log, me, named, pack, page, put, rows, say, ui, view,
} from "./here.js";
import { call, offerPhoto } from "./keep.js";

export const button = (text, onclick, more, kind = "button") => h(kind, { onclick, type: "button", ...more }, text);
export const row = (text, onclick, more) => button([h("span", text), h("small", more)], onclick, {}, "button.row");
export const leap = (text, href) => h("a.row", { href }, text);
export const number = (text) => Number(String(text).replace(",", "."));
export const alert = (...text) => h("div.held", { role: "alert" }, text);

// What is touched and not logged yet: of the form that is open, else of the act.
const touched = () => ui.form ?? ui;
const set = ({ key }, to) => { touched()[key] = to; put({ pass: false }); };

// As many as came out go back; what was said last on this phone is offered again.
const KNOWN = { now: stamp, new: id, me: () => me };
const usual = ({ how, joint, kept, usual }) => KNOWN[how]?.() ?? view.off[joint] ?? own[kept] ?? usual;

export const value = (ask) => touched()[ask.key] ?? usual(ask);
const wanted = (ask) => ask.want ?? usual(ask);

const input = (ask, more, tag = "input") => h(tag, {
  value: value(ask), "aria-label": ask.words, oninput: (event) => set(ask, event.target.value), ...more });

const choice = (ask, of) => h("div.few", of.map(([one, text = one]) =>
  button(text, () => set(ask, one), { "aria-pressed": one === value(ask) })));

const nudge = (ask, by, sign) =>
  button(sign, () => set(ask, Math.max(0, +value(ask) + by)), { "aria-label": say(by) });
const label = (as, ask) => h(as, ask.bold && h("b", ask.bold, " "), ask.words, h("small", ask.more));
const line = (ask, ...control) => h("div.line", label("span", ask), control);
const block = (ask, ...control) => h("div", label("p.ask", ask), control);

// One thing to look at: tapped once, or as often as it is wanted.
function tick(ask) {
  const { want, words, more, again = more, field } = ask, done = value(ask), all = done === want;
  return button([
    h("i", all ? "●" : done ? "◐" : "○"),
    h("span", field === "count" && `${done} / ${want} `, words, h("small", done && !all ? again : more))],
  () => set(ask, (done + 1) % (want + 1)), { "aria-pressed": all }, "button.tick");
}

function person(ask) {
  const owners = rows.flatMap(({ event }) => event.kind === "owner named" ? event.body.who : []);
  const there = ask.owner ? owners : keys(crew).filter((one) => !crew[one].role && (one !== me || ask.how === "me"));
  return block(ask, choice(ask, there.map((one) => [one, named(one)])),
    input(ask, { value: crew[value(ask)] ? "" : value(ask), placeholder: say("other name") }));
}

const share = ({ form: { text } } = ui) =>
  navigator.share ? navigator.share({ text }) : navigator.clipboard.writeText(text);

const word = (more) => (ask) => line(ask, input(ask, more));
const HOW = {
  say: ({ words }) => h("p.note", words),
  head: ({ words }) => h("h2", words),
  picture: ({ words }) => h("figure", { innerHTML: words }),
  open: ({ words, opens, given }) => row(words, () => open(opens, given)),
  page: ({ words, at }) => leap(words, `/jobs/${job}/${at}`),
  found: ({ words, at }) => row(words, () => found(pack.findings[at])),
  letter: () => h("p.letter", ui.form.text),
  share: () => isSecureContext && button(say("share"), share),
  photo: () => photo(ui.form.given),
  text: (ask) => block(ask, input(ask, { rows: 2 }, "textarea")),
  word: word(),
  number: (ask) => [word({ inputmode: "decimal" })(ask),
    Math.abs(number(value(ask) ?? 0)) > ask.most && alert(ask.wrong)],
  date: word({ type: "date" }),
  count: (ask) => line(ask, nudge(ask, -1, "−"), h("b", value(ask)), nudge(ask, 1, "+")),
  choice: (ask) => block(ask, choice(ask, ask.of),
    ask.wrong && value(ask) && value(ask) !== ask.want && alert(ask.wrong)),
  tick,
  person,
  me: person,
};

// What must be said before anything is logged; what is asked once by name and may be passed, with the rule that asks.
const numeric = ({ how }) => /^(num|cou)/.test(how);
const empty = (ask, said = value(ask)) => ask.how === "tick" ? !said
  : !String(said ?? "").trim() || numeric(ask) && isNaN(number(said));
const missing = (ask) => ask.field && ask.how !== "tick" && !ask.hold && empty(ask) && (!ask.may || value(ask));
function held(ask) {
  if (!ask.hold || (ask.any ? !empty(ask) : value(ask) === wanted(ask))) return [];
  const said = value(ask) || (ask.how === "tick" ? say("unticked") : say("unsaid"));
  return { ...ask.hold, note: `${ask.words}: ${said}${ask.field === "count" ? ` / ${wanted(ask)}` : ""}` };
}

// The id of a person by name: somebody who is known, or somebody new.
function met(name) {
  const person = keys(crew).find((one) => crew[one].name === name) ?? `p-${id()}`;
  if (!crew[person]) known({ [person]: { name, unsent: 1 } });
  return person;
}

// What the owner agreed to pay so far: as signed, as answered since, else as quoted; and with more on top, if any.
function agreed(adds) {
  const said = rows.findLast(({ event: { kind, body } }) =>
    kind === "scope signed" || body.answer === "yes" && body.amount);
  const { amount: before = pack.quote, currency } = said?.event.body ?? {};
  return { before, currency, amount: adds && (+before + number(adds)).toFixed(2) };
}

// An event as its lines fill it in; none where a line that it cannot do without was left out.
export function filled([kind, given], asks) {
  const body = { ...given };
  let more;
  for (const ask of asks) {
    const { field, how, into, puts, kept, adds } = ask;
    let said = value(ask);
    if (empty(ask)) {
      if (ask.must) return [];
      continue;
    }
    assign(body, puts);
    if (numeric(ask)) said = number(said);
    if (adds) more = (more ?? 0) + said * adds;
    if (HOW[how] === person && !crew[said]) said = met(said.trim());
    if (kept) own[kept] = said;
    if (into) (body[field] ??= []).push(into);
    else if (field === "torque") body[field] &&= { ...body[field], value: said };
    else if (adds && field === "parts") body[field] = [{ name: say("parts"), amount: said.toFixed(2) }];
    else if (field) body[field] = said;
  }
  if (asks.some(({ into, field }) => into && !body[field])) return [];
  if (more) assign(body, agreed(more));
  return [[kind, body]];
}

// A sheet: lines, what shuts it, one button. `facts` gives its events, `then` what stays touched.
export function sheet({ top, zone, title, about, asks, more = [], shut, go, facts, then, end }) {
  const lacks = asks.filter(missing), holds = [...asks.flatMap(held), ...more], { form, pass } = ui;
  async function onsubmit(event) {
    event.preventDefault();
    if (shut || busy) return;
    if (lacks[0] || holds[0] && !pass) return put({ pass: true });
    const made = facts();
    await log([...holds.map((hold) => ["hold passed", hold]), ...made], then);
    end?.(made[0][1]);
  }
  return h("form", { onsubmit, novalidate: "" }, top, h("p.zone", zone), h("h1", title), h("p.note", about),
    asks.map((ask) => HOW[ask.how]?.(ask)),
    shut || go && h("div.foot",
      pass && (lacks[0] ? alert(say("lacks"), lacks.map((ask) =>
        ask.words + (value(ask) ? say("no number") : "")).join(", "))
        : holds[0] && alert(holds.map((hold) => h("p", hold.note)))),
      h("button.go", { disabled: busy }, pass && !lacks[0] && holds[0] ? say("pass") : go)),
    form && me && button(say(go ? "leave" : "back"), () => fresh({ ...ui, form: null })));
}

// The form of one kind of event opens; `given` is what it says without being asked.
export const open = (kind, given = {}, more) => fresh({ ...ui, form: { kind, given, ...more } });

// What follows a form of one kind.
const ENDS = {
  "person came": ({ who }) => { be(who); befriend(); fresh(); },
  "finding seen": (body) => letter(body, pack.says[body.amount ? "priced" : "unpriced"]),
};

export function drawForm({ kind, given, about, asks, end = ENDS[kind] }) {
  const { title, go, asks: all = asks } = pack.forms.kinds[kind];
  return sheet({
    title, about, go, asks: all, end, then: { ...ui, form: null }, facts: () => filled([kind, given], all) });
}

// A finding that the car file knows of is one more tap: what it costs is logged with it.
async function found({ id: finding, at: item, minutes, adds, message }) {
  const body = { finding, item, minutes, ...agreed(adds) };
  await log([["finding seen", body]], ui);
  letter(body, message);
}

// The message to the owner about a finding that was kept.
const letter = (body, text) => open("letter", body, {
  text: gaps(text, { ...agreed(), ...body, after: body.amount }) });

// A photo: its digest is made here, or by the server where a page may not.
async function take({ target: { files: [file] } }, about) {
  try {
    const digest = crypto.subtle && new Uint8Array(await crypto.subtle.digest("SHA-256", await file.arrayBuffer()));
    const sha256 = digest ? Array.from(digest, (n) => n.toString(16).padStart(2, 0)).join("")
      : (await offerPhoto(job, file)).sha256;
    const said = { ...about, sha256, bytes: file.size, media: file.type };
    log([["photo taken", said]], ui, digest && file);
  } catch (wrong) {
    put({ wrong: say("no photo", { why: wrong.message }) });
  }
}

export const photo = (about) => h("label", say("photo"), h("input", {
  type: "file", accept: "image/*", capture: "environment", onchange: (event) => take(event, about) }));
