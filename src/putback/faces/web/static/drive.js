// One idea: what is shown of a drive is asked for anew each second, and is gone as soon as nobody says it may be shown.

const place = document.getElementById("now");
const EVERY_MS = 1000, BLANK_AFTER_MS = 2000, PATIENCE_MS = 30000;
const SILENT = '<p class="told" role="status">Blank: no word from the server yet, so the speed is not known.</p>';
let shown;

function show(text) {
  if (text !== shown) place.innerHTML = text;
  shown = text;
}

// The server looks at the speed last, so an answer that was long in the making is not old.
async function look() {
  const blank = setTimeout(show, BLANK_AFTER_MS, SILENT);
  try {
    const answer = await fetch(place.dataset.from, { cache: "no-store", signal: AbortSignal.timeout(PATIENCE_MS) });
    if (!answer.ok) throw new Error(answer.status);
    const text = await answer.text();
    clearTimeout(blank);
    show(text);
  } catch {
    clearTimeout(blank);
    show(SILENT);
  }
}

async function again() {
  await look();
  setTimeout(again, EVERY_MS);
}

// A page that was out of sight is old, whatever it shows.
addEventListener("pageshow", () => show(""));
document.addEventListener("visibilitychange", () => show(""));
again();
