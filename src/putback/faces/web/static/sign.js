// One idea: a signature is the lines that a finger draws on the pad, sent with the form as the path they make.

const place = document.getElementById("draw");
const pad = place.querySelector("svg");
const line = pad.querySelector("path");
const field = place.querySelector("input");
const MOST = 19000;
let drawing = false;
let last = "";

function point(event) {
  const box = pad.getBoundingClientRect();
  const within = (share, most) => Math.round(Math.min(1, Math.max(0, share)) * most);
  return `${within((event.clientX - box.left) / box.width, 480)} ${within((event.clientY - box.top) / box.height, 160)}`;
}

function add(sign, at) {
  if (at === last && sign === "L" || field.value.length > MOST) return;
  last = at;
  field.value += `${field.value && " "}${sign}${at}`;
  line.setAttribute("d", field.value);
}

pad.addEventListener("pointerdown", (event) => {
  drawing = true;
  pad.setPointerCapture(event.pointerId);
  add("M", point(event));
});
pad.addEventListener("pointermove", (event) => drawing && add("L", point(event)));
for (const end of ["pointerup", "pointercancel"]) pad.addEventListener(end, () => (drawing = false));
place.querySelector("button").addEventListener("click", () => {
  field.value = "";
  line.setAttribute("d", "");
});
place.hidden = false;
