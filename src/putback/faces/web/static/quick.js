// One idea: one line says one thing done; it is read by the tables of the core, held against what is left of the plan,
// and shown as what it would count. A test holds this against the core's own reading. Nothing here logs.

import { TABLES as T } from "./quick_words.js";

const STOPS = [",", ";", ".", ":", "!", "?"], LONGEST = 300, SPAN = 12;
const GROUPS = { on: "back", start: "back", tighten: "back", renew: "back", fill: "back", off: "in", drain: "in" };
const has = (all, one) => Object.hasOwn(all, one);
const at = (all, one) => has(all, one) ? all[one] : undefined;
const fill = (text, facts) => text.replace(/\{(\w+)\}/g, (_, name) => facts[name]);

function singular(word) {
  if (has(T.singular, word)) return T.singular[word];
  if (/(shes|ches|sses|xes)$/.test(word)) return word.slice(0, -2);
  return /s$/.test(word) && !/(ss|us|is)$/.test(word) && [...word].length > 3 ? word.slice(0, -1) : word;
}

const whole = (number) => number && !/[./]/.test(number);

// A whole number in words: [value, the place behind it].
function wholeAt(tokens, place) {
  const low = tokens[place], units = (one) => at(T.units, tokens[one]) ?? 0;
  const past = (one) => tokens[one] === "-" ? one + 1 : one;
  let value, after = place + 1;
  if (has(T.units, low)) value = T.units[low];
  else if (has(T.tens, low)) {
    value = T.tens[low];
    const unit = past(after);
    if (units(unit) > 0 && units(unit) < 10) [value, after] = [value + units(unit), unit + 1];
  } else return [null, place];
  if (value && tokens[after] === "hundred") {
    [value, after] = [value * 100, after + 1];
    const [rest, behind] = wholeAt(tokens, tokens[after] === "and" ? after + 1 : after);
    if (rest != null && rest < 100) [value, after] = [value + rest, behind];
  }
  return [value, after];
}

// The number that begins at a word, as it is written, and the place behind it; "" where none does.
function numberAt(tokens, place) {
  const low = tokens[place] ?? "";
  if (/^[0-9]/.test(low))
    return low.length <= SPAN && !low.includes("/0") ? [low.replace(",", "."), place + 1] : ["", place];
  const [value, after] = wholeAt(tokens, place);
  if (value == null) {
    const part = at(T.parts, low);
    return part && T.inches.includes(tokens[after + 1] ?? "") ? [`1/${part}`, place + 1] : ["", place];
  }
  const behind = tokens[after] === "-" ? after + 1 : after, part = at(T.parts, tokens[behind]);
  if (part && value < part) return [`${value}/${part}`, behind + 1];
  let digits = "", end = after + 1;
  if (tokens[after] === "point")
    while ((at(T.units, tokens[end]) ?? 10) < 10) digits += T.units[tokens[end++]];
  return digits ? [`${value}.${digits}`, end] : [`${value}`, after];
}

// What a line says; `names` are the words of all names of the job.
export function read(line, names) {
  const text = [...line.normalize("NFKC").toLowerCase()];
  const { heard, doubts, groups, weak, soft } = hear(text.slice(0, LONGEST).join(""), names);
  if (text.length > LONGEST) doubts.unshift("long");
  let { does = weak, ...rest } = heard;
  if (does === "slack" || does === "other") doubts.push(does), does = "";
  return { does, ...rest, words: [...new Set(groups.flat())], soft: [...new Set(soft)], doubts: [...new Set(doubts)] };
}

function hear(text, names) {
  const tokens = text.match(/[0-9]+(?:[.,][0-9]+)?(?:\/[0-9]+)?|\p{L}+(?:['’]\p{L}+)*|\S/gu) ?? [];
  const heard = {}, doubts = [], groups = [[]], soft = [];
  let place = 0, corrects = false, slot = "", weak = "";
  const low = (one) => tokens[one] ?? "", isName = (word) => names.has(singular(word));
  const stops = (one) => STOPS.includes(low(one));

  function set(what, value) {
    if (what in heard && `${heard[what]}` !== `${value}` && !corrects) doubts.push("two");
    heard[what] = value;
    corrects = false;
    slot = what;
    return true;
  }

  function torqueUnit(one) {
    for (const [unit, name] of T.torque_units)
      if (unit.every((word, n) => low(one + n) === word)) return [name, one + unit.length];
  }

  function isUnit(one) {
    const word = low(low(one) === "-" ? one + 1 : one);
    return T.millimetres.includes(word) || T.inches.includes(word) || torqueUnit(one);
  }

  function label(one) {
    const letter = /^[a-z]$/.test(low(one)) ? low(one).toUpperCase() : "";
    const [number, after] = numberAt(tokens, letter ? one + 1 : one);
    return whole(number) && (letter || !isUnit(after)) ? [letter + number, after] : [letter, letter ? one + 1 : one];
  }

  function stop() {
    if (!stops(place)) return false;
    if (groups.at(-1)[0]) groups.push([]);
    return ++place;
  }

  function tray() {
    const word = low(place), [mended, behind] = label(place);
    if (corrects && slot === "tray" && mended) return place = behind, set("tray", mended);
    if (!T.stores.includes(word) || isName(word)) return false;
    const [found, after] = label(place + 1);
    place = after;
    if (found || word !== "tray") set("tray", word === "tray" ? found : `${word} ${found}`.trim());
    weak = "";
    return true;
  }

  function tool() {
    if (!["with", "using"].includes(low(place))) return false;
    let end = place + 1, last = 0;
    while (end < tokens.length && !stops(end)) end++;
    for (let one = place; one < end; one++) if (T.tools.includes(singular(tokens[one]))) last = one;
    if (!last) return ++place;
    const inside = tokens.slice(place + 1, last + 1).filter((one) => !["the", "a", "an", "my"].includes(one));
    set("tool", inside.join(" "));
    const { size } = hear(inside.join(" "), new Set()).heard;
    if (size && !("size" in heard)) set("size", size);
    return place = last + 1;
  }

  function lettered() {
    const letter = at(T.letters, low(place)), one = place + (low(place + 1) === "-" ? 2 : 1);
    let [number, after] = numberAt(tokens, one);
    if (!letter || !whole(number) || !(+number > 0 && +number <= 100)) return false;
    let size = letter + number;
    if (letter === "M" && ["x", "×"].includes(low(after))) {
      const [length, behind] = numberAt(tokens, after + 1);
      if (length) [size, after] = [`${size}x${length}`, behind];
    }
    set(letter === "M" ? "thread" : "size", size);
    return place = after;
  }

  function tens() {
    const head = at(T.tens_of, low(place));
    if (head === undefined) return false;
    set("size", `${head}mm`);
    return ++place;
  }

  function sized(number, unit) {
    const drive = at(T.drives, low(place));
    if (drive) place++;
    return set("size", number + unit + (drive ? ` ${drive}` : ""));
  }

  // A number alone: a count; after "to" a torque without its unit, which is none.
  function counted(number, one, after) {
    place = after + (["x", "×", "of", "s"].includes(low(after)) ? 1 : 0);
    if (low(after) === "s") return set("size", `${number}mm`);
    if (one && low(one - 1) === "to" || !whole(number) || !(+number > 0 && +number < 1000)) return doubts.push("no unit");
    return set("count", +number);
  }

  function number() {
    const one = place + (["x", "×"].includes(low(place)) ? 1 : 0), [found, after] = numberAt(tokens, one);
    if (!found || names.has(singular(low(one))) && isName(low(after))) return false;
    const behind = after + (low(after) === "-" ? 1 : 0), unit = torqueUnit(behind);
    if (unit) {
      place = unit[1];
      return set("torque", [found, unit[0]]);
    }
    const inch = T.inches.includes(low(behind));
    if (T.millimetres.includes(low(behind))) return place = behind + 1, sized(found, "mm");
    if (inch || found.includes("/")) return place = behind + (inch ? 1 : 0), sized(found, "in");
    if (T.other_units.includes(low(behind))) return place = behind + 1;
    return counted(found, one, after);
  }

  function correction() {
    const word = low(place), before = place ? low(place - 1) : "";
    if (!T.corrects.includes(word) || isName(word)) return false;
    const behind = tokens.slice(place + 1).some((one) => !STOPS.includes(one));
    if (!behind || !before || word === "no" && !STOPS.includes(before) && !slot) return false;
    corrects = true;
    return ++place;
  }

  // A second word of the same direction makes the first exact; another direction is a doubt.
  function direct(does) {
    const known = heard.does, group = (one) => GROUPS[one] ?? one, plain = (one) => one === "on" || one === "off";
    if (known && !corrects && group(known) === group(does)) {
      if (plain(does)) return;
      if (plain(known)) return heard.does = does;
    }
    set("does", does);
  }

  function direction(word) {
    if (T.weak.includes(word)) {
      weak ||= ["on", "in"].includes(word) ? "on" : "";
      return true;
    }
    const does = at(T.particles, word) || at(T.verbs, word);
    if (does === undefined || has(T.fasteners, word) || isName(word) && !T.participles.includes(word)) return false;
    if (does) direct(does);
    return true;
  }

  function fastener(word) {
    if (!has(T.fasteners, word)) return false;
    if (isName(word)) soft.push(singular(word));
    return set("kind", T.fasteners[word]);
  }

  function saysNothing(word) {
    return T.passed_over.includes(word) || T.of_fasteners.includes(word) || T.weak.includes(word) || word === "to"
      || !/^\p{L}+$/u.test(word) && !/['’]/.test(word);
  }

  // A word of what it is called. After a correction it takes the place of what stood before.
  function named(word) {
    if (corrects && slot === "words") groups.splice(0, Infinity, ...groups.filter((one) => one[0]).slice(0, -1), []);
    corrects = false;
    slot = "words";
    groups.at(-1).push(word);
  }

  function word() {
    const one = low(place++);
    if (T.negations.includes(one) && !isName(one)) doubts.push("not");
    else if (direction(one) || fastener(one)) return;
    else if (one === "new") heard.new = true;
    else if (isName(one) || !saysNothing(one)) named(singular(one));
  }

  while (place < tokens.length)
    stop() || tray() || tool() || lettered() || tens() || number() || correction() || word();
  return { heard, doubts, groups, weak, soft };
}

const wordsIn = (text) => (text.normalize("NFKC").toLowerCase().match(/[0-9]+|\p{L}+/gu) ?? []).map(singular);

export function namesIn({ items, zones, guards, operations }) {
  const texts = [
    ...Object.keys(items), ...Object.values(items).map((one) => one.name), ...Object.values(zones),
    ...Object.keys(guards), ...Object.values(guards), ...operations.map((op) => op.fluid ?? "")];
  return new Set(texts.flatMap(wordsIn));
}

const called = ({ items, guards }, thing) => items[thing]?.name ?? guards[thing] ?? thing;
const thingOf = ({ acts }, act, [op = {}]) => op.guard || op.item || acts[act].thing || "";
const planned = ({ off }, { verb, joint, count = 0 }) => verb !== "undo" && joint in off ? off[joint] : count;

// The sizes of the tools that an operation names: hex10 is a head of 10 mm.
function heads({ tools = [] }) {
  return tools.flatMap((tool) => {
    const [, as, size] = /^(hex|socket-|allen|T|E)([0-9]+)$/.exec(tool) ?? [];
    return !as ? [] : as === "T" || as === "E" ? as + size : `${size}mm`;
  });
}

// In how many of head, thread and kind an operation differs from what was said; what is not known does not.
function differs(op, { kind, thread: said, size }) {
  const { thread = "" } = op, known = heads(op), threaded = /^M[0-9]/.test(thread), soft = /^cl(ip|amp)$/.test(kind);
  const parts = said?.split("x");
  return (kind && thread && (soft ? !thread.includes(kind) : !threaded) ? 1 : 0)
    + (said && `${thread.split("x").slice(0, parts.length)}` !== `${parts}` ? 1 : 0)
    + (size && (known[0] ? !known.includes(size.split(" ")[0]) : thread && !threaded) ? 1 : 0);
}

// Operations of one act that may be meant together, with those whose fasteners are spoken of.
function choices({ does }, left, said) {
  const verbs = T.verbs_of[said.does];
  if (!left.some(({ verb }) => !verbs || verbs.includes(verb))) return [];
  if (said.does !== "renew" && !said.count && !said.size && !said.thread && !said.kind) return [[left, []]];
  const groups = new Map();
  for (const op of left) if ((T.counted[said.does] ?? verbs).includes(op.verb)) {
    const key = op.joint || op.guard || op.item || "";
    groups.set(key, [...groups.get(key) ?? [], op]);
  }
  return [...groups.values()].map((group) =>
    [does === "on" && left.some((op) => op.n < group.at(-1).n && !group.includes(op)) ? left : group, group]);
}

function fit(pack, stand, said, act, chosen, counted) {
  const thing = thingOf(pack, act, counted), [op = {}] = counted, { items, zones } = pack;
  const name = [...new Set(wordsIn(called(pack, thing)))], item = thing in items ? thing : op.item ?? "";
  const beside = [thing, op.thread ?? "", item, items[item]?.name ?? "", zones[items[item]?.zone] ?? ""].flatMap(wordsIn);
  const known = (word) => name.includes(word) || beside.includes(word);
  const missing = said.words.filter((word) => !known(word)), hits = [...said.words, ...said.soft].filter(known);
  if (missing.length > hits.length || said.words[0] && !hits[0]) return [];
  const named = said.words[0] || said.soft[0];
  const unsaid = named ? name.filter((word) => !said.words.includes(word) && !said.soft.includes(word)).length : 0;
  const count = said.count && counted[0] && said.count !== planned(stand, op) ? 1 : 0;
  const standing = ["possible", "shut", "later"].indexOf(stand.standing[act]);
  const key = [
    missing.length, counted[0] ? differs(op, said) : 0, named ? 0 : standing, unsaid ? 0 : count, unsaid, count,
    act === stand.suggested ? 0 : 1 + standing, act, chosen[0].n];
  return { act, chosen, counted, missing, key };
}

const newtons = ([value, unit]) => {
  const [top, bottom = 1] = value.split("/");
  return [top / bottom, T.newton_metres[unit]];
};

// Whether a torque that was said is the one of the car file, to half a percent for another unit.
function sameTorque({ torque: said }, { torque: known }) {
  if (!said || !known) return false;
  const [value, factor] = newtons(said), wanted = (T.newton_metres[known.unit] ?? 0) * known.value;
  return said[1] === known.unit ? value === known.value : Math.abs(value * factor - wanted) <= wanted / 200;
}

// What does not fit: it is never taken silently.
function differences(stand, said, { chosen, counted, missing }) {
  const [op] = counted, { says } = T, all = [];
  if (missing[0]) all.push(fill(says.name, { words: missing.join(", ") }));
  if (op && said.count && said.count !== planned(stand, op))
    all.push(fill(says.count, { said: said.count, planned: planned(stand, op) }));
  if (op && differs(op, said)) {
    const parts = [said.thread, said.size, said.kind].filter(Boolean);
    const known = [...op.thread ? [op.thread] : [], ...heads(op)];
    all.push(fill(says.size, { said: parts.join(" · "), planned: known.join(" · ") }));
  }
  if (said.torque && !chosen.some((one) => sameTorque(said, one))) {
    const shown = chosen.find((one) => one.shown)?.shown;
    all.push(fill(says[shown ? "torque" : "no torque"], { said: said.torque.join(" "), planned: shown }));
  }
  return all;
}

function answer({ field, how, hold }, said, same) {
  if (how === "count") return said.count;
  if (how === "tick") return hold?.gate === "torque_not_the_sources" && same
    || hold?.gate === "one_time_part_back_in" && (said.new || said.does === "renew") ? 1 : undefined;
  if (field === "torque" && said.torque?.[1] === "N·m" && !said.torque[0].includes("/")) return said.torque[0];
  return { tool: said.tool, stow: said.tray }[field];
}

// What the line answers of the act's sheet, and what it says beside.
function answers({ logs, asks }, said, { chosen, counted }) {
  const given = {}, more = {}, own = new Set((counted[0] ? counted : chosen).map((op) => op.n));
  const same = chosen.some((op) => sameTorque(said, op));
  if (said.tool) more.tool = said.tool;
  if (said.tray) more.stow = said.tray;
  for (const ask of asks) {
    if (!ask.to?.some((one) => own.has(logs[one][1].planned))) continue;
    const value = answer(ask, said, same);
    if (value === undefined) continue;
    given[ask.key] = value;
    delete more[ask.field];
  }
  return { given, more };
}

function text(pack, stand, said, { act, chosen, counted }) {
  const [op] = counted[0] ? counted : chosen, shown = chosen.length > counted.length ? chosen : counted;
  const count = counted[0] ? said.count || planned(stand, op) : 0;
  const tray = said.tray || chosen.find((one) => one.stow)?.stow;
  return fill(T.says.line, {
    verbs: [...new Set(shown.map((one) => one.verb))].join(", "),
    amount: !count ? "" : op.thread ? `${count} × ${op.thread}, ` : `${count} × `,
    thing: called(pack, thingOf(pack, act, counted)), tray: tray ? fill(T.says.tray, { tray }) : "",
    n: op.n, of: pack.operations.at(-1).n });
}

const before = ({ key: one }, { key: other }) => {
  const place = one.findIndex((value, n) => value !== other[n]);
  return place < 0 ? 0 : one[place] - other[place];
};

// What a line would count of what is left of the plan: chips, best first, and what is to be said of it.
export function understand(pack, stand, line) {
  const said = read(line, namesIn(pack)), { says } = T, { words, soft, count, size, thread, kind, doubts } = said;
  if (doubts[0]) return { chips: [], says: says[doubts[0]] };
  if (!(words[0] || soft[0] || count || size || thread || kind))
    return { chips: [], says: line.trim() ? says.beside : says.empty };
  const ops = new Map(pack.operations.map((op) => [op.n, op]));
  const found = pack.acts.flatMap((act, place) => !T.acts[said.does].includes(act.does) ? []
    : choices(act, stand.left[place].map((n) => ops.get(n)), said).flatMap(([chosen, counted]) =>
      fit(pack, stand, said, place, chosen, counted))).sort(before);
  const best = found.filter(({ key }) => `${key.slice(0, 4)}` === `${found[0].key.slice(0, 4)}`);
  const chips = best.slice(0, T.most).map((one) => {
    const wrong = differences(stand, said, one), standing = stand.standing[one.act];
    const all = standing === "possible" ? wrong : [...wrong, says[standing]];
    return {
      act: one.act, operations: one.chosen.map((op) => op.n), text: text(pack, stand, said, one), differs: wrong, against: all,
      ...answers(pack.acts[one.act], said, one), open: !all[0] };
  });
  return { chips, says: !chips[0] ? says.beside : best.length > T.most ? fill(says.many, T) : "" };
}

// The chips as the page draws them, with the means of the page: one tap counts, or opens the act's own sheet.
export function draw(line, { pack, view, h, button, count, keep }) {
  const { left, standing, suggested, off } = view, { chips, says } = understand(pack, { left, standing, suggested, off }, line);
  return [
    ...chips.map((chip) => button(
      [h("b", chip.text), h("small", chip.against.join(" · "))], () => count(chip), {}, "button.chip")),
    says && h("p.note", says),
    line.trim() && !chips.some((chip) => chip.open) && button(T.says.keep, keep)];
}
