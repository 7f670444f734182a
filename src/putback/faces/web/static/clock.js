// One idea: beside the clock that anybody can set stands one that nobody can: it goes on while the page is open, and
// over a reload of the same tab, and is never ahead of the time that really went by.

// What this phone keeps of its own: small values.
export const own = localStorage;

// Whether the steady clock begins anew: neither this tab has it still, nor another one that ticked a moment ago.
export const restarted = !sessionStorage.open && Math.abs(Date.now() - (own.beat || 0)) > 5000;
if (restarted) own.steady = 0;
sessionStorage.open = 1;
const base = own.steady - performance.now() / 1000;

// Seconds. The largest that any tab has said counts, so no tab runs backwards against another.
export function steady() {
  own.beat = Date.now();
  return own.steady = Math.max(own.steady, Math.floor(base * 1000 + performance.now()) / 1000);
}

const apart = () => (Date.now() - performance.now()) / 1000;
let before = apart(), slept;
document.addEventListener("visibilitychange", () => { slept = true; });

// By how many seconds the clock of this phone jumped since it was last asked; 0 where it did not. A phone that slept
// finds its clock ahead of the steady one: that is no jump, and makes waits longer, never shorter.
export function jumped(most) {
  const by = apart() - before, sleep = slept && by > 0;
  slept = document.hidden;
  if (Math.abs(by) <= most) return 0;
  before = apart();
  return sleep ? 0 : Math.round(by);
}

// The time as a record has it: local, to the millisecond, with its offset.
export function stamp() {
  const now = new Date(), east = -now.getTimezoneOffset();
  const two = (n) => String(Math.trunc(Math.abs(n))).padStart(2, 0);
  const local = new Date(+now + east * 6e4).toISOString().slice(0, -1);
  return `${local}${east < 0 ? "-" : "+"}${two(east / 60)}:${two(east % 60)}`;
}
